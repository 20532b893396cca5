"""What each measure truly is, from the metres of a truth file.

Written from the definitions in docs/measures.md and from nothing else of the package, so that the
bench is a second opinion. Frame of reference: x toward the ball, y toward the target, z up.
"""

from __future__ import annotations

import gzip
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TRAVELLERS = {
    "head": ("lead_ear", "trail_ear"),
    "pelvis": ("lead_hip", "trail_hip"),
    "lead_knee": ("lead_knee",),
}
AXES = {"toward_ball": 0, "toward_target": 1, "rise": 2}


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """One truth file."""

    facts: dict[str, Any]

    @property
    def moments(self) -> dict[str, float]:
        """Name to real seconds from the first frame."""
        return {name: entry["time_s"] for name, entry in self.facts["moments"].items()}

    @property
    def stature_m(self) -> float:
        """The golfer's height."""
        return float(self.facts["body"]["stature_m"])

    def at(self, name: str, moment: str) -> Floats:
        """A point in metres at a moment, (3,), between frames where it falls there."""
        times = np.asarray(self.facts["frames"]["time_s"])
        path = np.asarray(self.facts["points_m"][name], float)
        time = self.moments[moment]
        return np.array([np.interp(time, times, path[:, axis]) for axis in range(3)])

    def middle(self, names: tuple[str, ...], moment: str) -> Floats:
        """Mean of some points at a moment, (3,) metres."""
        return np.mean([self.at(name, moment) for name in names], axis=0)


def load(path: Path) -> Truth:
    """Read a truth file, compressed or not."""
    data = path.read_bytes()
    return Truth(json.loads(gzip.decompress(data) if path.suffix == ".gz" else data))


def true_shaft_deg(truth: Truth, mirrored: bool) -> Floats:
    """Direction of the shaft in every frame, (frames,) degrees, as a club track has it."""
    butt, hosel = (np.asarray(truth.facts["points_px"][name], float) for name in ("butt", "hosel"))
    along = hosel - butt
    return np.degrees(np.arctan2(-along[:, 1], -along[:, 0] if mirrored else along[:, 0]))


def true_value(truth: Truth, name: str, moment: str | None) -> float | None:
    """The true value of a measure; None where this file cannot tell."""
    needed = [moment, "address"] if moment else ["start", "top", "impact"]
    if any(each not in truth.moments for each in needed):
        return None
    percent = name.endswith("_percent")
    value = _value(truth, name.removesuffix("_percent"), moment)
    return value / truth.stature_m if percent and value is not None else value


def _value(truth: Truth, name: str, moment: str | None) -> float | None:
    if moment is None:
        if name == "turn_rate_needed":
            turned = [_turn(truth, "shoulder_turn_level", at) for at in ("top", "impact")]
            return (turned[0] - turned[1]) / (truth.moments["impact"] - truth.moments["top"])
        return TIMES[name](truth.moments) if name in TIMES else None
    for traveller, points in TRAVELLERS.items():
        if (
            name.startswith(traveller)
            and (axis := AXES.get(name.removeprefix(f"{traveller}_"))) is not None
        ):
            moved = truth.middle(points, moment) - truth.middle(points, "address")
            return float(100.0 * moved[axis])
    if name in truth.facts["turns_deg"]:
        times = truth.facts["frames"]["time_s"]
        return float(np.interp(truth.moments[moment], times, truth.facts["turns_deg"][name]))
    if name in TURNED:
        return TURNED[name](lambda turn: _turn(truth, turn, moment))
    return POSES[name](truth, moment) if name in POSES else None


def _turn(truth: Truth, name: str, moment: str) -> float:
    times = truth.facts["frames"]["time_s"]
    return float(np.interp(truth.moments[moment], times, truth.facts["turns_deg"][name]))


def _trunk(truth: Truth, moment: str) -> Floats:
    low = truth.middle(("lead_hip", "trail_hip"), moment)
    return truth.middle(("lead_shoulder", "trail_shoulder"), moment) - low


def _forward_bend(truth: Truth, moment: str) -> float:
    trunk = _trunk(truth, moment)
    return float(np.degrees(np.arctan2(trunk[0], trunk[2])))


def _side_bend(truth: Truth, moment: str) -> float:
    trunk = _trunk(truth, moment)
    return float(np.degrees(np.arctan2(-trunk[1], trunk[2])))


def _posture_change(truth: Truth, moment: str) -> float:
    return _forward_bend(truth, moment) - _forward_bend(truth, "address")


def _lead_arm(truth: Truth, moment: str) -> float:
    arm = truth.at("lead_wrist", moment) - truth.at("lead_shoulder", moment)
    return float(np.degrees(np.arctan2(-arm[1], -arm[2])))


def _knee(truth: Truth, moment: str) -> float:
    hip, knee, ankle = (truth.at(f"lead_{part}", moment) for part in ("hip", "knee", "ankle"))
    shank, thigh = knee - ankle, hip - knee
    turn = np.arctan2(shank[0], shank[2]) - np.arctan2(thigh[0], thigh[2])
    return float(np.degrees(turn))


def _elbow(side: str) -> Callable[[Truth, str], float]:
    def angle(truth: Truth, moment: str) -> float:
        points = (truth.at(f"{side}_{part}", moment) for part in ("shoulder", "elbow", "wrist"))
        shoulder, elbow, wrist = points
        a, b = shoulder - elbow, wrist - elbow
        cosine = a @ b / np.linalg.norm(a) / np.linalg.norm(b)
        return float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))

    return angle


def _hands(axis: int, sign: float) -> Callable[[Truth, str], float]:
    def value(truth: Truth, moment: str) -> float:
        wrists = truth.middle(("lead_wrist", "trail_wrist"), moment)
        shoulders = truth.middle(("lead_shoulder", "trail_shoulder"), moment)
        return float(100.0 * sign * (wrists - shoulders)[axis])

    return value


def _beside_chest(truth: Truth, moment: str) -> float:
    line = truth.at("lead_shoulder", moment) - truth.at("trail_shoulder", moment)
    chest = truth.middle(("lead_shoulder", "trail_shoulder"), moment)
    hands = truth.middle(("lead_wrist", "trail_wrist"), moment)
    return float(-100.0 * (hands - chest) @ line / np.linalg.norm(line))


def _stance(truth: Truth, moment: str) -> float:
    apart = truth.at("lead_ankle", moment) - truth.at("trail_ankle", moment)
    return float(100.0 * apart[1])


TIMES: dict[str, Callable[[dict[str, float]], float]] = {
    "backswing_time": lambda m: m["top"] - m["start"],
    "downswing_time": lambda m: m["impact"] - m["top"],
    "swing_time": lambda m: m["impact"] - m["start"],
    "tempo_ratio": lambda m: (m["top"] - m["start"]) / (m["impact"] - m["top"]),
}
POSES: dict[str, Callable[[Truth, str], float]] = {
    "stance_width": _stance,
    "trunk_forward_bend": _forward_bend,
    "trunk_side_bend": _side_bend,
    "posture_change": _posture_change,
    "lead_knee_flexion": _knee,
    "lead_arm_angle": _lead_arm,
    "lead_elbow_angle": _elbow("lead"),
    "trail_elbow_angle": _elbow("trail"),
    "hands_height": _hands(2, 1.0),
    "hands_depth": _hands(0, -1.0),
    "hands_beside_chest": _beside_chest,
}
TURNED: dict[str, Callable[[Callable[[str], float]], float]] = {
    "separation": lambda turn: turn("shoulder_turn_level") - turn("pelvis_turn"),
    "shoulders_open": lambda turn: -turn("shoulder_turn_level"),
    "pelvis_open": lambda turn: -turn("pelvis_turn"),
}
