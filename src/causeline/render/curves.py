"""Curves of a swing over time, out of its body track: what the page plots, with the ± of each.

Each curve is in degrees or in per cent of the golfer's height, so that clips of any size compare.
The height in pixels is built from segment lengths at the first moment: ankle to knee to hip to
shoulder to ear, 0.89 of the stature (Drillis and Contini 1966 for the ankle at 0.039, the ear at
0.93 from memory), because a golfer at address stands bent. Its own error, about 3 %, stretches a
whole curve and is left out of the ±.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.model.tracks import BodyTrack
from causeline.quantities.angle import Floats

MARGIN_S = 0.1
"""Shown before the first moment and after the last."""
SPEED_WINDOW_S = 0.02
"""Half of the window over which a speed is fitted; one frame either side where that is longer."""
TINY_S = 1e-9
"""Keeps a frame that lies on the window's edge inside it, whatever the last bit says."""
SHORTEST_ARM = 0.3
"""Share of the arm's longest length in the picture below which it has no angle: it points at us."""
LANDMARKS_TO_STATURE = 0.89
WIDEST_TURN_DEG = 10.0
"""A turn less sure than this is not drawn, as its measure is not given."""


@dataclass(frozen=True, slots=True)
class Series:
    """One line of a plot: `value` and `sd` (n,), NaN where there is nothing."""

    name: str
    value: Floats
    sd: Floats


@dataclass(frozen=True, slots=True)
class Curve:
    """One plot over time."""

    name: str
    title: str
    unit: str
    explains: str
    """One line: what zero is and which way is up."""
    time_s: Floats
    series: tuple[Series, ...]
    least: float = -np.inf
    """No value lies below, whatever its ±: the axis ends there."""
    most: float = np.inf


def render_curves(swing: Swing) -> tuple[Curve, ...]:
    """The curves of one swing, from just before its first moment to just after its last.

    A swing without moments, or whose size cannot be told, has none.
    """
    if not swing.moments.found:
        return ()
    body = _windowed(swing)
    rest = _rest_row(swing, body)
    stature = _stature_px(body, rest)
    if not np.isfinite(stature):
        return ()
    flat = (_lead_arm(body), *_hands(body, rest, stature), *_travel(body, rest, stature))
    return (*_turns(swing, body), *flat)


def _lead_arm(body: BodyTrack) -> Curve:
    """The lead arm's angle above level in the picture: zero level, -90 hanging, 90 upright.

    Range [-90, 90]; degenerate: an arm that points at the camera gives NaN.
    """
    arm = body.point("lead_wrist") - body.point("lead_shoulder")
    length = np.hypot(arm[:, 0], arm[:, 1])
    seen = length >= SHORTEST_ARM * _largest(length)
    value = np.degrees(np.arctan2(-arm[:, 1], np.abs(arm[:, 0])))
    spread = np.hypot(body.spread("lead_wrist"), body.spread("lead_shoulder"))
    sd = np.degrees(spread / np.where(length > 0, length, np.nan))
    series = Series("Lead arm", np.where(seen, value, np.nan), np.where(seen, sd, np.nan))
    return Curve(
        "lead_arm",
        "Lead arm",
        "°",
        "Angle above level, as the picture shows it: 0 is level with the ground, −90 hangs down.",
        body.time_s,
        (series,),
        least=-90.0,
        most=90.0,
    )


def _turns(swing: Swing, body: BodyTrack) -> tuple[Curve, ...]:
    """Shoulders and pelvis from straight above, where their ± is worth showing."""
    if swing.motion is None:
        return ()
    lines = []
    for title, name in (("Shoulders", "shoulder_turn_level"), ("Pelvis", "pelvis_turn")):
        turn, sd = swing.motion.turn(name)
        told = sd <= WIDEST_TURN_DEG
        value, spread = (
            np.interp(body.time_s, swing.motion.time_s, np.where(told, each, np.nan))
            for each in (turn, sd)
        )
        lines.append(Series(title, value, spread))
    if not any(np.isfinite(line.value).any() for line in lines):
        return ()
    explains = "Since address, from straight above: up the page is away from the target."
    return (Curve("turn", "Turn", "°", explains, body.time_s, tuple(lines)),)


def _hands(body: BodyTrack, rest: int, stature: float) -> tuple[Curve, Curve]:
    hands = body.middle("wrist")
    sd = _middle_sd(body, "wrist")
    percent = 100 / stature
    height = Series("Hands", (hands[rest, 1] - hands[:, 1]) * percent, sd * percent)
    speed, speed_sd = _speed(body.time_s, hands, sd)
    per_second = Series("Hands", speed / stature, speed_sd / stature)
    return (
        Curve(
            "hands_height",
            "Hands’ height",
            "%",
            "How far the hands are above where they began.",
            body.time_s,
            (height,),
        ),
        Curve(
            "hands_speed",
            "Hands’ speed",
            "heights/s",
            "Across the picture.",
            body.time_s,
            (per_second,),
            least=0.0,
        ),
    )


def _travel(body: BodyTrack, rest: int, stature: float) -> tuple[Curve, Curve]:
    """Travel of head (ears) and pelvis (hips) from rest; x runs to the target or the ball."""
    sideways, upward = [], []
    for title, part in (("Head", "ear"), ("Pelvis", "hip")):
        moved = (body.middle(part) - body.middle(part)[rest]) * 100 / stature
        sd = _middle_sd(body, part) * 100 / stature
        sideways.append(Series(title, moved[:, 0], sd))
        upward.append(Series(title, -moved[:, 1], sd))
    return (
        Curve(
            "sideways",
            "Head and pelvis, sideways",
            "%",
            "Travel from where they began. Up the page is toward the target when filmed face-on, "
            "toward the ball when filmed down the line.",
            body.time_s,
            tuple(sideways),
        ),
        Curve(
            "upward",
            "Head and pelvis, up and down",
            "%",
            "Travel from where they began.",
            body.time_s,
            tuple(upward),
        ),
    )


def _windowed(swing: Swing) -> BodyTrack:
    body, found = swing.body, swing.moments.found
    first, last = found[0].time_s - MARGIN_S, found[-1].time_s + MARGIN_S
    keep = (body.time_s >= first) & (body.time_s <= last)
    if not keep.any():
        keep = np.ones(len(body), bool)
    return BodyTrack(
        body.frames[keep],
        body.time_s[keep],
        body.xy[keep],
        body.confidence[keep],
        body.sd_px[keep],
        body.width,
        body.mirrored,
    )


def _rest_row(swing: Swing, body: BodyTrack) -> int:
    """The row at which the golfer stood over the ball: address, else the first moment."""
    still = swing.moments.get(MomentName.ADDRESS) or swing.moments.found[0]
    return int(np.argmin(np.abs(body.time_s - still.time_s)))


def _stature_px(body: BodyTrack, row: int) -> float:
    """The golfer's height in pixels from segment lengths at a row; NaN where a joint is missing."""
    chain = [body.middle(part)[row] for part in ("ankle", "knee", "hip", "shoulder", "ear")]
    steps = np.diff(np.array(chain), axis=0)
    length = float(np.hypot(steps[:, 0], steps[:, 1]).sum()) / LANDMARKS_TO_STATURE
    return length if length > 0 else float("nan")


def _middle_sd(body: BodyTrack, part: str) -> Floats:
    """The ± of a pair's middle along each axis, its two points taken as independent."""
    return np.hypot(body.spread(f"lead_{part}"), body.spread(f"trail_{part}")) / 2


def _speed(time_s: Floats, xy: Floats, sd: Floats) -> tuple[Floats, Floats]:
    """Speed and its ± (n,), by a straight line fitted through the neighbours of each frame.

    The ± takes the frames as independent; for a smoothed track it is too small.
    """
    speed = np.full(len(time_s), np.nan)
    spread = speed.copy()
    for i, now in enumerate(time_s):
        near = np.flatnonzero(np.abs(time_s - now) <= SPEED_WINDOW_S + TINY_S)
        near = near if len(near) >= 3 else np.arange(max(0, i - 1), min(len(time_s), i + 2))
        near = near[np.isfinite(xy[near]).all(axis=1)]
        if len(near) < 2 or i not in near:
            continue
        apart = time_s[near] - time_s[near].mean()
        weights = apart / (apart @ apart)
        speed[i] = np.hypot(*(weights @ xy[near]))
        spread[i] = np.sqrt(weights**2 @ sd[near] ** 2)
    return speed, spread


def _largest(values: Floats) -> float:
    finite = values[np.isfinite(values)]
    return float(finite.max()) if len(finite) else float("nan")
