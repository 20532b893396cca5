"""BVH motion files: a tree of joints with offsets and channels, then one line of numbers a frame.

Rotations are read in the order in which a joint's channels name them, each about the axes that the
ones before have turned (degrees). Lengths keep the file's unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from studio.performance import Floats
from studio.rotation import turn_matrix

_AXES = {"X": 0, "Y": 1, "Z": 2}
END = "end"
"""Name of the nameless tip of a chain, after its parent: `LeftFoot end`."""


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """One joint of the tree."""

    name: str
    parent: int
    """Place of the parent in the motion's joints; -1 for the root."""
    offset: Floats
    """(3,) from the parent, at rest."""
    channels: tuple[str, ...]
    """As the file names them: Xposition, Zrotation ..."""


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """A motion file, read. J joints, F frames."""

    joints: tuple[Joint, ...]
    frame_s: float
    values: Floats
    """(F, C) the channels of all joints, in the joints' order."""

    def index(self, name: str) -> int:
        """Place of a joint."""
        names = [joint.name for joint in self.joints]
        if name not in names:
            raise ValueError(f"no joint is called {name!r}; the file has {', '.join(names)}")
        return names.index(name)

    def pose(self) -> tuple[Floats, Floats]:
        """World rotations from rest (F, J, 3, 3) and places (F, J, 3), in the file's axes."""
        count = len(self.values)
        turns = np.empty((count, len(self.joints), 3, 3))
        places = np.empty((count, len(self.joints), 3))
        column = 0
        for i, joint in enumerate(self.joints):
            values = self.values[:, column : column + len(joint.channels)]
            column += len(joint.channels)
            turn, shift = _local(joint, values)
            if joint.parent < 0:
                turns[:, i], places[:, i] = turn, shift
                continue
            above = turns[:, joint.parent]
            turns[:, i] = above @ turn
            places[:, i] = places[:, joint.parent] + (above @ shift[..., None])[..., 0]
        return turns, places

    def rest(self) -> Floats:
        """(J, 3) places when nothing is turned, the root at its offset."""
        places = np.zeros((len(self.joints), 3))
        for i, joint in enumerate(self.joints):
            above = places[joint.parent] if joint.parent >= 0 else 0.0
            places[i] = above + joint.offset
        return places


def _local(joint: Joint, values: Floats) -> tuple[Floats, Floats]:
    """A joint's rotation (F, 3, 3) and shift (F, 3). A position channel stands for the offset."""
    turn = np.broadcast_to(np.eye(3), (len(values), 3, 3))
    shift = np.tile(joint.offset, (len(values), 1))
    for channel, value in zip(joint.channels, values.T, strict=True):
        axis = _AXES[channel[0]]
        if channel.endswith("position"):
            shift[:, axis] = value
        else:
            turn = turn @ turn_matrix(np.eye(3)[axis] * np.radians(value)[:, None])
    return turn, shift


def load_motion(path: Path) -> Motion:
    """Read a BVH file."""
    words = path.read_text().split()
    if not words or words[0] != "HIERARCHY" or "MOTION" not in words:
        raise ValueError(f"{path.name} is not BVH: expected HIERARCHY and MOTION, got {words[:1]}")
    split = words.index("MOTION")
    joints = _read_tree(words[1:split])
    numbers = words[split + 1 :]
    if numbers[0] != "Frames:" or numbers[2:4] != ["Frame", "Time:"]:
        raise ValueError(f"{path.name}: expected 'Frames:' and 'Frame Time:', got {numbers[:4]}")
    count, frame_s = int(numbers[1]), float(numbers[4])
    width = sum(len(joint.channels) for joint in joints)
    values = np.array(numbers[5:], dtype=np.float64)
    if len(values) != count * width:
        raise ValueError(
            f"{path.name} has {len(values)} numbers; expected {count} frames of {width} channels"
        )
    return Motion(joints, frame_s, values.reshape(count, width))


def _read_tree(words: list[str]) -> tuple[Joint, ...]:
    joints: list[Joint] = []
    open_joints: list[int] = []
    at, name = 0, ""
    while at < len(words):
        word = words[at]
        if word in ("ROOT", "JOINT"):
            name, at = words[at + 1], at + 2
        elif word == "End":
            name, at = f"{joints[open_joints[-1]].name} {END}", at + 2
        elif word == "{":
            parent = open_joints[-1] if open_joints else -1
            joint, at = _read_joint(words, at + 1, name, parent)
            joints.append(joint)
            open_joints.append(len(joints) - 1)
        elif word == "}":
            open_joints.pop()
            at += 1
        else:
            raise ValueError(f"got {word!r} in the hierarchy; expected JOINT, End, {{ or }}")
    return tuple(joints)


def _read_joint(words: list[str], at: int, name: str, parent: int) -> tuple[Joint, int]:
    """A joint's offset and channels, and where the words go on."""
    if words[at] != "OFFSET":
        raise ValueError(f"joint {name!r} begins with {words[at]!r}; expected OFFSET")
    offset = np.array(words[at + 1 : at + 4], dtype=np.float64)
    at += 4
    channels: tuple[str, ...] = ()
    if at < len(words) and words[at] == "CHANNELS":
        count = int(words[at + 1])
        channels = tuple(words[at + 2 : at + 2 + count])
        at += 2 + count
    return Joint(name, parent, offset, channels), at
