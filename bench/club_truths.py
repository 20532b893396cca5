"""What each measure of the club truly is, from the metres of a truth file.

One truth for measures and for calls: what the club does in the world, seen from afar by a camera
that stands level and square to the view. Where a real camera stands is a part of the ±. Written
from docs/measures.md. The face-on picture shows y and z, the other x and z.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from bench.truths import Truth

Floats = NDArray[np.float64]
FACE_ON, DOWN_THE_LINE = "face-on", "down-the-line"
LEVELS = 25
LOW_POINT_SPAN_S = 0.1
SPEED_SPAN_S = 0.012


def true_club_value(truth: Truth, name: str, moment: str | None, view: str) -> float | None:
    """The true value in a view; None where this file cannot tell."""
    if name in WHOLE:
        return WHOLE[name](truth)
    if moment is None or name not in POSES or moment not in truth.moments:
        return None
    needed = ["address"] + ["arm_level_back"] * (name == "shaft_steepening")
    if any(each not in truth.moments for each in needed):
        return None
    return POSES[name](truth, moment, view)


def _shaft(truth: Truth, moment: str) -> Floats:
    return truth.at("hosel", moment) - truth.at("butt", moment)


def _wrap(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0


def _hanging(truth: Truth, moment: str, view: str) -> float:
    shaft = _shaft(truth, moment)
    across = shaft[1] if view == FACE_ON else shaft[0]
    return float(np.degrees(np.arctan2(-across, -shaft[2])))


def _upright(truth: Truth, moment: str, view: str) -> float:
    shaft = _shaft(truth, moment)
    across = shaft[1] if view == FACE_ON else shaft[0]
    return float(np.degrees(np.arctan2(across, shaft[2])))


def _slope(along: Floats) -> float:
    """Of a line, in the picture down the line: 0 toward the golfer's back, 90 up."""
    return float(np.degrees(np.arctan2(along[2], -along[0])))


def _above_forearm(truth: Truth, moment: str, _view: str) -> float:
    forearm = truth.at("trail_elbow", moment) - truth.at("trail_wrist", moment)
    return _wrap(_slope(_shaft(truth, moment)) - _slope(forearm))


def _steepening(truth: Truth, moment: str, _view: str) -> float:
    return _wrap(_slope(_shaft(truth, moment)) - _slope(_shaft(truth, "arm_level_back")))


def _against_address(truth: Truth, moment: str, _view: str) -> float:
    return _wrap(_slope(_shaft(truth, moment)) - _slope(-_shaft(truth, "address")))


def _outside(truth: Truth, moment: str, _view: str) -> float:
    out = truth.at("head", moment) - truth.at("butt", moment)
    return float(100.0 * out[0] / truth.stature_m)


def _off_plane(truth: Truth, moment: str, _view: str) -> float:
    address = _shaft(truth, "address")
    normal = np.array([-address[2], address[0]]) / np.hypot(address[0], address[2])
    out = truth.at("head", moment) - truth.at("butt", moment)
    return float(100.0 * (out[0] * normal[0] + out[2] * normal[1]) / truth.stature_m)


def _hinge(truth: Truth, moment: str, _view: str) -> float:
    forearm = (truth.at("lead_elbow", moment) - truth.at("lead_wrist", moment))[1:]
    shaft = _shaft(truth, moment)[1:]
    cosine = forearm @ shaft / np.linalg.norm(forearm) / np.linalg.norm(shaft)
    return float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))


def _ball(truth: Truth, moment: str, _view: str) -> float:
    apart = truth.at("lead_ankle", moment) - truth.at("head", moment)
    return float(100.0 * apart[1] / truth.stature_m)


def _low_point(truth: Truth) -> float | None:
    """Where the head is truly lowest around impact, centimetres past its place at address."""
    if any(end not in truth.moments for end in ("address", "impact")):
        return None
    times, head = _path(truth, ("head",))
    near = np.abs(times - truth.moments["impact"]) <= LOW_POINT_SPAN_S
    if near.sum() < 3:
        return None
    fine = np.linspace(times[near][0], times[near][-1], 400)
    up, along = (np.interp(fine, times, head[:, axis]) for axis in (2, 1))
    return float(100.0 * (along[np.argmin(up)] - truth.at("head", "address")[1]))


def _speed(truth: Truth) -> float | None:
    """Metres per second over the same last frames, in space."""
    if "impact" not in truth.moments:
        return None
    times, head = _path(truth, ("head",))
    impact = truth.moments["impact"]
    ends = [
        np.array([np.interp(at, times, head[:, axis]) for axis in range(3)])
        for at in (impact - SPEED_SPAN_S, impact)
    ]
    return float(np.linalg.norm(ends[1] - ends[0]) / SPEED_SPAN_S)


def _path(truth: Truth, names: tuple[str, ...]) -> tuple[Floats, Floats]:
    """Times, and the mean of some points in every frame, (n, 3) metres."""
    times = np.asarray(truth.facts["frames"]["time_s"], float)
    return times, np.mean([np.asarray(truth.facts["points_m"][n], float) for n in names], axis=0)


def _loop(names: tuple[str, ...], ends: tuple[str, str, str]) -> Callable[[Truth], float | None]:
    def value(truth: Truth) -> float | None:
        if any(end not in truth.moments for end in ends):
            return None
        times, points = _path(truth, names)
        path = points[:, [0, 2]]
        first, top, last = (truth.moments[end] for end in ends)
        up = _rising(path[(times >= first) & (times <= top)])
        down = _rising(path[(times >= top) & (times <= last)][::-1])
        if not len(up) or not len(down):
            return None
        low, high = max(up[0, 1], down[0, 1]), min(up[-1, 1], down[-1, 1])
        if low >= high:
            return None
        levels = np.linspace(low, high, LEVELS)
        apart = np.interp(levels, down[:, 1], down[:, 0]) - np.interp(levels, up[:, 1], up[:, 0])
        return float(100.0 * apart[np.argmax(np.abs(apart))] / truth.stature_m)

    return value


def _rising(path: Floats) -> Floats:
    """From the lowest place to the highest, without the places that do not rise."""
    if not len(path):
        return path
    part = path[int(np.argmin(path[:, 1])) : int(np.argmax(path[:, 1])) + 1]
    new = np.diff(np.maximum.accumulate(part[:, 1]), prepend=-np.inf) > 0
    return np.asarray(part[new])


POSES: dict[str, Callable[[Truth, str, str], float]] = {
    "shaft_angle": _hanging,
    "shaft_lean": _hanging,
    "shaft_from_upright": _upright,
    "shaft_above_forearm": _above_forearm,
    "shaft_steepening": _steepening,
    "shaft_against_address": _against_address,
    "head_outside_hands": _outside,
    "head_off_plane": _off_plane,
    "wrist_hinge": _hinge,
    "ball_position": _ball,
}
WHOLE: dict[str, Callable[[Truth], float | None]] = {
    "hands_loop": _loop(("lead_wrist", "trail_wrist"), ("start", "top", "impact")),
    "head_loop": _loop(("head",), ("shaft_level_back", "top", "shaft_level_down")),
    "low_point": _low_point,
    "head_speed": _speed,
}
