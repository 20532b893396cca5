"""Where the camera stands, and which way round the golfer plays.

Face-on, the golfer's chest, feet and shoulders are seen broad, the trunk upright, and the hands go
to the trail side and over to the lead side. Down the line the trunk is seen leaning toward the
ball, feet and shoulders are seen edge-on, and chest, then back, turn to the camera.

All angles are of the picture at address; distances are in trunk lengths.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from causeline.model.clip import Called, Hand, View
from causeline.model.moments import SwingWindow
from causeline.model.tracks import LandmarkTrack
from causeline.moments.coarse import between, hands, middle, trunk_px
from causeline.quantities.angle import Floats, from_vertical_deg
from causeline.quantities.uncertain import Uncertain

TRUNK_LEAN_DEG = 32.0
BREADTH = 0.95
REACH = 0.9
"""A usual golfer's lean seen down the line, breadth of shoulders and feet seen face-on, and reach
of the hands seen down the line (common practice)."""
BETWEEN_DEG, TURN_SPREAD_DEG = 45.0, 7.0
"""Camera's turn from face-on that belongs to either view, and how sharply the two part."""
LEAN_SPREAD_DEG, REACH_SPREAD = 10.0, 0.25
SIDE_SPREAD = 0.25
"""Trunk lengths of sideways travel of the hands that tell left from right face-on."""
STANCE, STANCE_SPREAD = 0.95, 0.25
"""Trunk lengths between the ankles at address, across golfers and clubs (common practice)."""
AIM_SPREAD_DEG = 6.0
"""How far off the target line golfers stand without knowing it (common practice)."""
HANDS_OUT, HANDS_OUT_SPREAD = 0.95, 0.3
"""Trunk lengths that the hands hang out in front of the hips at address."""
STAND_S = 0.5


def find_view(track: LandmarkTrack, window: SwingWindow) -> Called:
    """Face-on or down-the-line, with the probability that it is right.

    The camera's turn is judged from how much of the trunk's lean and of the hands' reach is seen
    to one side, against how much of the breadth of shoulders and feet. A camera half-way between
    (about 45°) gives a probability near one half.
    """
    stance = _stance(track, window)
    sides = [abs(stance.lean_deg) / TRUNK_LEAN_DEG, abs(stance.reach) / REACH]
    sides = [side for side in sides if math.isfinite(side)]
    if not (sides and math.isfinite(stance.breadth)):
        return Called(View.FACE_ON, 0.5)
    turn = math.degrees(math.atan2(sum(sides) / len(sides), stance.breadth / BREADTH))
    chance = _logistic((turn - BETWEEN_DEG) / TURN_SPREAD_DEG)
    if chance >= 0.5:
        return Called(View.DOWN_THE_LINE, chance)
    return Called(View.FACE_ON, 1.0 - chance)


def find_hand(track: LandmarkTrack, window: SwingWindow, view: View) -> Called:
    """Right- or left-handed, with the probability that it is right.

    Face-on: a right-hander's hands go to the left of the picture first and end on the right. Down
    the line: a right-hander leans and reaches to the right of the picture.
    """
    stance = _stance(track, window)
    if view == View.DOWN_THE_LINE:
        lean, reach = stance.lean_deg / LEAN_SPREAD_DEG, stance.reach / REACH_SPREAD
        votes = [vote for vote in (lean, reach) if math.isfinite(vote)]
    else:
        votes = [vote / SIDE_SPREAD for vote in _sideways(track, window) if math.isfinite(vote)]
    if not votes:
        return Called(Hand.RIGHT, 0.5)
    chance = _logistic(sum(max(-3.0, min(3.0, vote)) for vote in votes))
    return Called(Hand.RIGHT, chance) if chance >= 0.5 else Called(Hand.LEFT, 1.0 - chance)


def find_off_axis(track: LandmarkTrack, window: SwingWindow, view: View) -> Uncertain | None:
    """Degrees that the camera stands off its proper place; zero square, positive toward the ball.

    Down the line it is read from the line of the ankles, so a golfer who stands open or closed
    counts as a turned camera, and from a golfer's stance of common width. Face-on it is read from
    how far the hands hang to the side: positive is toward the target. Range about ±45°; None where
    feet, or hands, are not seen. For advice on filming, not for correcting measures.
    """
    stance = _stance(track, window)
    if view == View.DOWN_THE_LINE:
        toward_ball = -stance.feet_across * math.copysign(1.0, stance.reach)
        return _angle(toward_ball, STANCE, STANCE_SPREAD)
    sign = 1.0 if find_hand(track, window, view).name == Hand.RIGHT else -1.0
    return _angle(-sign * stance.reach, HANDS_OUT, HANDS_OUT_SPREAD)


@dataclass(frozen=True, slots=True)
class _Stance:
    lean_deg: float
    """The trunk's lean to the right of the picture."""
    breadth: float
    """Mean of the breadths of shoulders and feet."""
    reach: float
    """How far the hands are to the right of the hips."""
    feet_across: float
    """How far the nearer foot (lower in the picture) is to the right of the farther one."""


def _stance(track: LandmarkTrack, window: SwingWindow) -> _Stance:
    at = _standing(track, window)
    trunk = trunk_px(track)
    lean = from_vertical_deg(middle(track, "hip")[at], middle(track, "shoulder")[at])
    breadths = [np.abs(between(track, part)[at][:, 0]) / trunk for part in ("shoulder", "ankle")]
    feet = between(track, "ankle")[at] / trunk
    return _Stance(
        lean_deg=_middle_of(lean),
        breadth=float(np.mean([_middle_of(breadth) for breadth in breadths])),
        reach=_middle_of((hands(track) - middle(track, "hip"))[at][:, 0] / trunk),
        feet_across=_middle_of(feet[:, 0] * np.sign(feet[:, 1])),
    )


def _standing(track: LandmarkTrack, window: SwingWindow) -> slice:
    """Frames about address: up to a rise and a half before the top, half a second or a rise long.

    A clip that begins later is judged by the frames about impact, where the feet still stand.
    """
    if math.isfinite(window.rise_s):
        rise = max(window.rise_s, 2.5 * window.fall_s) if window.fall_s > 0 else window.rise_s
        last_s = window.top_s - 2.0 * rise
        first_s = last_s - max(STAND_S, 1.5 * rise)
    else:
        first_s, last_s = window.impact_s - window.fall_s / 3, window.impact_s
    time_s = track.time_s
    inside = np.flatnonzero((time_s >= first_s) & (time_s <= last_s))
    if len(inside) == 0:
        nearest = int(np.argmin(np.abs(time_s - last_s)))
        return slice(nearest, nearest + 1)
    return slice(int(inside[0]), int(inside[-1]) + 1)


def _sideways(track: LandmarkTrack, window: SwingWindow) -> tuple[float, float]:
    """How far left of the hips the hands are at the top, and how far right after impact."""
    side = (hands(track) - middle(track, "hip"))[:, 0] / trunk_px(track)
    fall = window.fall_s if math.isfinite(window.fall_s) else 0.1
    rising = _near(track.time_s, window.top_s - 2 * fall, window.top_s - fall)
    through = _near(track.time_s, window.impact_s + 0.5 * fall, window.impact_s + 2 * fall)
    return -_middle_of(side[rising]), _middle_of(side[through])


def _near(time_s: Floats, first_s: float, last_s: float) -> list[int]:
    """Indices of the frames from `first_s` to `last_s`; the nearest one where there are none."""
    if not math.isfinite(first_s) or first_s > time_s[-1] or last_s < time_s[0]:
        return []
    inside = np.flatnonzero((time_s >= first_s) & (time_s <= last_s))
    return [int(k) for k in inside] or [int(np.argmin(np.abs(time_s - first_s)))]


def _middle_of(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if len(known) else math.nan


def _angle(across: float, length: float, spread: float) -> Uncertain | None:
    if not math.isfinite(across):
        return None
    share = max(-0.95, min(0.95, across / length))
    off = math.degrees(math.asin(share))
    from_length = math.degrees(abs(share) / math.sqrt(1 - share**2)) * spread / length
    return Uncertain(off, math.hypot(AIM_SPREAD_DEG, from_length))


def _logistic(score: float) -> float:
    return 1.0 / (1.0 + math.exp(-score))
