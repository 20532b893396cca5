"""The ten moments of a performance, found in its own motion in space.

The definitions are the package's (model/moments.py), applied to true joints and club: nothing of
the timing that drove the swing is looked at.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from studio.clubs import BALL_RADIUS_M
from studio.figures import Joints
from studio.performance import Floats
from studio.rotation import unit

LEFT_BALL_M = 0.01
"""The head has left the ball when it is farther than this from where it stood, for good."""
STANDS_M_S = {"head": 0.05, "hands": 0.03}
"""A golfer stands still while head and hands are slower than this."""
RESTS_M_S = 0.10
"""The hands have come to rest, after the swing, below this speed for `RESTS_S`."""
RESTS_S = 0.15
WARM_UP_S = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """What the moments are looked for in, (n, ...) each."""

    time_s: Floats
    head: Floats
    hands: Floats
    shaft: Floats
    """(n, 3) unit, grip to head."""
    arm: Floats
    """(n, 3) unit, lead shoulder to wrist."""
    to_ball: Floats
    """(n,) how far the face still is from the ball, along the target line."""

    def within(self, first_s: float, last_s: float) -> Motion:
        """The part of it between two times."""
        kept = (self.time_s >= first_s) & (self.time_s <= last_s)
        return Motion(*(getattr(self, name)[kept] for name in _TRACKS))

    def speed(self, name: str) -> Floats:
        """(n,) metres a second, of the head or the hands."""
        path: Floats = getattr(self, name)
        return np.linalg.norm(np.gradient(path, self.time_s, axis=0), axis=1)


_TRACKS = ("time_s", "head", "hands", "shaft", "arm", "to_ball")


def motion_of(
    time_s: Floats, joints: Joints, club: Mapping[str, Floats], ball: Floats, face_m: float
) -> Motion:
    """From joints, the club's points and the ball; `face_m`: head's centre to its face."""
    return Motion(
        time_s=time_s,
        head=club["head"],
        hands=club["hands"],
        shaft=unit(club["hosel"] - club["butt"]),
        arm=unit(joints["lead_wrist"] - joints["lead_shoulder"]),
        to_ball=ball[1] - BALL_RADIUS_M - face_m - club["head"][:, 1],
    )


def find_moments(motion: Motion) -> dict[str, float]:
    """Seconds of each moment, by the house's names; what a short swing does not reach is absent."""
    fastest = int(np.argmax(motion.speed("head")))
    impact = _last_cross(motion, motion.to_ball, fastest, -1)
    near = int(np.searchsorted(motion.time_s, impact)) if impact is not None else fastest
    top = _top(motion, near)
    back = int(np.searchsorted(motion.time_s, top))
    start, address = _start(motion, back)
    first = int(np.searchsorted(motion.time_s, start))
    found: dict[str, float | None] = {
        "address": address,
        "start": start,
        "shaft_level_back": _cross(motion, motion.shaft[:, 2], (first, back), 1),
        "arm_level_back": _cross(motion, motion.arm[:, 2], (first, back), 1),
        "top": top,
        "arm_level_down": _cross(motion, motion.arm[:, 2], (back, near), -1),
        "shaft_level_down": _last_level(motion, (back, near)),
        "impact": impact,
        "shaft_level_through": _cross(
            motion, motion.shaft[:, 2], (near, len(motion.time_s) - 1), 1
        ),
        "finish": _finish(motion, near),
    }
    return {name: float(time) for name, time in found.items() if time is not None}


def _between(motion: Motion, value: Floats, k: int) -> float:
    """Time at which the value is zero between samples k and k + 1."""
    share = value[k] / (value[k] - value[k + 1])
    return float(motion.time_s[k] + share * (motion.time_s[k + 1] - motion.time_s[k]))


def _cross(motion: Motion, value: Floats, span: tuple[int, int], way: int) -> float | None:
    """The first time in the span at which the value passes zero, upward (1) or downward (-1)."""
    signed = way * value
    for k in range(span[0], span[1]):
        if signed[k] < 0 <= signed[k + 1]:
            return _between(motion, value, k)
    return None


def _last_level(motion: Motion, span: tuple[int, int]) -> float | None:
    """The last time in the span at which the shaft comes down through the level."""
    for k in range(span[1] - 1, span[0] - 1, -1):
        if motion.shaft[:, 2][k] > 0 >= motion.shaft[:, 2][k + 1]:
            return _between(motion, motion.shaft[:, 2], k)
    return None


def _last_cross(motion: Motion, value: Floats, near: int, way: int) -> float | None:
    """The crossing nearest to a sample."""
    signed = way * value
    crossed = np.flatnonzero((signed[:-1] < 0) & (signed[1:] >= 0))
    if len(crossed) == 0:
        return None
    return _between(motion, value, int(crossed[np.argmin(np.abs(crossed - near))]))


def _top(motion: Motion, impact: int) -> float:
    """Where the lead arm's angle, in the plane that it swings in, stops going back."""
    arms = motion.arm[:impact]
    moving = motion.speed("hands")[:impact] > 0.5
    normal = np.linalg.svd(arms[moving] if moving.sum() > 8 else arms)[2][-1]
    across = unit(np.cross(normal, arms[0] - (arms[0] @ normal) * normal))
    along = np.cross(across, normal)
    angle = np.unwrap(np.arctan2(arms @ across, arms @ along))
    angle = angle * np.sign(angle[np.argmax(np.abs(angle - angle[0]))] - angle[0])
    return _vertex(motion.time_s, angle, int(np.argmax(angle)))


def _vertex(time_s: Floats, value: Floats, k: int) -> float:
    if not 0 < k < len(value) - 1:
        return float(time_s[k])
    before, at, after = value[k - 1 : k + 2]
    bend = before - 2 * at + after
    shift = 0.5 * (before - after) / bend if bend < 0 else 0.0
    return float(time_s[k] + shift * (time_s[k + 1] - time_s[k]))


def _start(motion: Motion, top: int) -> tuple[float, float]:
    """When the head leaves its place for good, and the last stillness before that."""
    rest = _rest_place(motion, top)
    away = np.linalg.norm(motion.head[:top] - rest, axis=1) - LEFT_BALL_M
    inside = np.flatnonzero(away <= 0)
    k = int(inside[-1]) if len(inside) else 0
    start = _between(motion, away, k) if k + 1 < top else float(motion.time_s[k])
    moving = np.zeros(k + 1, dtype=np.bool_)
    for name, limit in STANDS_M_S.items():
        moving |= motion.speed(name)[: k + 1] > limit
    still = np.flatnonzero(~moving)
    return start, float(motion.time_s[still[-1]]) if len(still) else float(motion.time_s[0])


def _rest_place(motion: Motion, top: int) -> Floats:
    """Where the head stood: the last place before the top where it hardly moved."""
    low = motion.head[:top, 2] < motion.head[:top, 2].min() + 0.05
    still = np.flatnonzero(low & (motion.speed("head")[:top] < STANDS_M_S["head"]))
    return motion.head[still[-1]] if len(still) else motion.head[0]


def _finish(motion: Motion, impact: int) -> float | None:
    """When the hands first rest after impact."""
    step = float(np.median(np.diff(motion.time_s)))
    need = max(int(RESTS_S / step), 1)
    slow = motion.speed("hands") < RESTS_M_S
    for k in range(impact + int(WARM_UP_S / step), len(slow) - need):
        if slow[k : k + need].all():
            return float(motion.time_s[k])
    return None
