"""How hands hold a club: where the grip runs through each, and how the fingers close on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from studio.performance import Body, Floats
from studio.rotation import turn_matrix, unit

LETTER = {"lead": "L", "trail": "R"}
GRIP_RADIUS_M = 0.0115
_FLESH_M = 0.0085
"""Bone to skin of a finger, on the side that touches."""
_PALM_M = 0.0245
"""Knuckle joints to the middle of the grip, straight out of the palm, on a 1.76 m body."""
_TOWARD_FINGERS_M = {"lead": -0.010, "trail": -0.004}
"""From the fingers' roots to where the grip crosses: the trail hand holds more in the fingers."""
_SLANT_DEG = {"lead": 14.0, "trail": 8.0}
"""The grip crosses the palm aslant, nearer the heel of the hand at the little finger."""
_FINGER_EASE_DEG = (55.0, 70.0, 40.0)
"""Where the fit starts: each joint's bend beyond the half-open rest."""


@dataclass(frozen=True, slots=True, eq=False)
class Hold:
    """One hand on the grip, in the axes of the rest pose."""

    point: Floats
    """(3,) the middle of the grip inside the closed hand."""
    frame: Floats
    """(3, 3) columns: along the grip toward the clubhead, out of the back of the hand, and the
    cross product of the two."""


def hold_of(body: Body, side: str) -> Hold:
    """Where the grip runs through the hand: across the fingers' roots, from the heel pad."""
    wrist, first, last = _knuckles(body, side)
    scale = body.stature_m / 1.76
    across = unit(first - last)
    away = unit((first + last) / 2 - wrist)
    back = _sense(side) * unit(np.cross(first - wrist, last - wrist))
    slant = turn_matrix(back * np.radians(_SLANT_DEG[side]) * _sense(side))
    along = slant @ unit(across - (across @ back) * back)
    middle = (first + last) / 2 + scale * (_TOWARD_FINGERS_M[side] * away - _PALM_M * back)
    return Hold(middle, np.stack([along, back, np.cross(along, back)], axis=1))


def _sense(side: str) -> float:
    return 1.0 if side == "lead" else -1.0


def _head(body: Body, bone: str) -> Floats:
    return body.bone_heads[body.bones.index(bone)]


def _knuckles(body: Body, side: str) -> tuple[Floats, Floats, Floats]:
    letter = LETTER[side]
    names = (f"wrist.{letter}", f"finger2-1.{letter}", f"finger5-1.{letter}")
    wrist, first, last = (_head(body, name) for name in names)
    return wrist, first, last


@lru_cache(maxsize=64)
def finger_curls(body: Body) -> dict[str, Floats]:
    """Bone to rotation vector, in rest axes, that closes both hands about a grip."""
    curls: dict[str, Floats] = {}
    for side in LETTER:
        hold = hold_of(body, side)
        for finger in range(2, 6):
            curls |= _close_finger(body, side, finger, hold)
        curls |= _close_thumb(body, side, hold)
    return curls


def _joints(body: Body, letter: str, finger: int) -> list[Floats]:
    """Heads of the three bones and the tip."""
    heads = [_head(body, f"finger{finger}-{joint}.{letter}") for joint in (1, 2, 3)]
    bone = body.bones.index(f"finger{finger}-3.{letter}")
    mine = body.vertices[body.skin_bones[:, 0] == bone]
    tip = mine[np.argmax((mine - heads[2]) @ (heads[2] - heads[1]))]
    return [*heads, tip]


def _chain(joints: list[Floats], vectors: list[Floats]) -> list[Floats]:
    """Where the joints after the first lie when each bone turns by its vector."""
    turn, at, out = np.eye(3), joints[0], []
    for k, vector in enumerate(vectors):
        turn = turn @ turn_matrix(vector)
        at = at + turn @ (joints[k + 1] - joints[k])
        out.append(at)
    return out


def _from_axis(point: Floats, hold: Hold) -> float:
    arm = point - hold.point
    along = hold.frame[:, 0]
    return float(np.linalg.norm(arm - (arm @ along) * along))


def _close_finger(body: Body, side: str, finger: int, hold: Hold) -> dict[str, Floats]:
    letter = LETTER[side]
    joints = _joints(body, letter, finger)
    axis = -_sense(side) * hold.frame[:, 0]
    wanted = GRIP_RADIUS_M + _FLESH_M * body.stature_m / 1.76
    ease = np.radians(_FINGER_EASE_DEG)

    def miss(bend: NDArray[np.float64]) -> Floats:
        points = _chain(joints, [axis * b for b in bend])
        gaps = [(_from_axis(p, hold) - wanted) / 0.003 for p in points]
        return np.array([*gaps, *((bend - ease) / np.radians(25.0))])

    bend = least_squares(miss, ease, bounds=(np.radians(-5.0), np.radians(105.0)), ftol=1e-2).x
    return {f"finger{finger}-{k + 1}.{letter}": axis * b for k, b in enumerate(bend)}


def _close_thumb(body: Body, side: str, hold: Hold) -> dict[str, Floats]:
    """The thumb lies down along the grip, on its top."""
    letter = LETTER[side]
    joints = _joints(body, letter, 1)
    along, back = hold.frame[:, 0], hold.frame[:, 1]
    hinge = unit(np.cross(joints[2] - joints[1], back))
    wanted = GRIP_RADIUS_M + 0.009 * body.stature_m / 1.76

    def vectors(turns: NDArray[np.float64]) -> list[Floats]:
        return [turns[:3], hinge * turns[3], hinge * turns[4]]

    def miss(turns: NDArray[np.float64]) -> Floats:
        points = _chain(joints, vectors(turns))
        gaps = [(_from_axis(p, hold) - wanted) / 0.004 for p in points[1:]]
        last = unit(points[2] - points[0])
        return np.array([*gaps, *((last - along) / 0.25), *(turns / np.radians(40.0))])

    turns = least_squares(miss, np.zeros(5), bounds=(-1.2, 1.2), ftol=1e-2).x
    return {f"finger1-{k + 1}.{letter}": v for k, v in enumerate(vectors(turns))}
