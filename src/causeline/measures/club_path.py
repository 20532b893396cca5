"""The way of hands and head: the loop between up and down, the low point, the head's speed."""

from __future__ import annotations

import math

import numpy as np

from causeline.measures.club_at import (
    LEAST_SURE,
    measure_club_hidden,
    measure_club_result,
)
from causeline.measures.context import SwingContext
from causeline.measures.lacking import measure_lacking
from causeline.measures.spec import COMMON_PRACTICE, MeasureSpec
from causeline.model.clip import ScaleFrom, View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats
from causeline.quantities.length import Scale

SLOWEST_HZ = 200.0
"""At 120 Hz a fast head goes 0.4 m from frame to frame: too few places for a speed."""
SPEED_SPAN_S = 0.012
"""Time over which the head's way is measured, just before impact: the fewest that hold 3 frames."""
LOW_POINT_HZ = 100.0
LOW_POINT_SPAN_S = 0.03

LOOP_SHARE = {"hands_loop": 0.035, "head_loop": 0.145}
"""Standard deviation of a loop, in statures: hands and head are nearer the camera one way than the
other, which a camera not square to the view shows as a loop. Chosen as `club_spread` says; the
head's on 22 training swings, 82 % of which lay inside 90 % intervals at 0.11."""
LOW_POINT_SHARE = 0.04
"""Of the low point. Judged."""
HEAD_SHARE = 0.02
"""Of the head's place in one frame, blurred. Judged. At 0.01, which is what the track errs, a full
swing's speed would be told, and two of two clips of known truth were 9 m/s too fast: the head is
nearer the camera than the golfer whose size is the scale. So it stays refused."""

LEVELS = 25
"""Heights at which the way down is compared with the way up."""

FEWEST = 4
"""Frames that each way must have."""


def measure_hands_loop(context: SwingContext) -> Measure | Refusal:
    """How far the hands' way down lies from their way up, down the line, where it is farthest."""
    return _loop(context, HANDS_LOOP, (MomentName.START, MomentName.TOP, MomentName.IMPACT))


def measure_head_loop(context: SwingContext) -> Measure | Refusal:
    """The same of the clubhead, between shaft level and arm level."""
    return _loop(
        context,
        HEAD_LOOP,
        (MomentName.SHAFT_LEVEL_BACK, MomentName.TOP, MomentName.SHAFT_LEVEL_DOWN),
    )


def measure_low_point(context: SwingContext) -> Measure | Refusal:
    """How far past the head's place at address the head's path is lowest, face-on."""
    ready = _ready(context, LOW_POINT, (MomentName.ADDRESS, MomentName.IMPACT))
    if isinstance(ready, Refusal):
        return ready
    rate = context.clip.capture_rate_hz
    if not rate >= LOW_POINT_HZ:
        return _too_slow(LOW_POINT, rate, LOW_POINT_HZ)
    address, impact = ready
    times, head = _sure_head(context)
    near = np.abs(times - impact) <= LOW_POINT_SPAN_S
    before = head[np.argmin(np.abs(times - address))] if len(times) else np.full(2, np.nan)
    if near.sum() < FEWEST:
        return Refusal(LOW_POINT.name, None, "The clubhead is not seen well enough around impact.")
    bend, slope, _ = np.polyfit(head[near, 0] - before[0], head[near, 1], 2)
    if bend >= 0:
        return Refusal(LOW_POINT.name, None, "The clubhead's path has no lowest place.")
    return _placed(context, LOW_POINT, float(-slope / (2 * bend)), LOW_POINT_SHARE)


def measure_head_speed(context: SwingContext) -> Measure | Refusal:
    """Speed of the clubhead just before impact, where the capture rate and the scale allow it."""
    ready = _ready(context, HEAD_SPEED, (MomentName.IMPACT,))
    if isinstance(ready, Refusal):
        return ready
    rate, scale = context.clip.capture_rate_hz, context.scale
    if isinstance(scale, Refusal):
        return Refusal(HEAD_SPEED.name, None, scale.refused)
    if context.clip.time_scale_from is ScaleFrom.INFERRED:
        return Refusal(HEAD_SPEED.name, None, "The file does not say how much it was slowed down.")
    if not rate >= SLOWEST_HZ:
        return _too_slow(HEAD_SPEED, rate, SLOWEST_HZ)
    times, head = _sure_head(context)
    span = (times > ready[0] - SPEED_SPAN_S - 1 / rate) & (times <= ready[0] + 1e-6)
    if span.sum() < 3:
        return Refusal(HEAD_SPEED.name, None, "The clubhead is not seen well enough before impact.")
    way = float(np.hypot(*np.diff(head[span], axis=0).T).sum())
    lasted = float(times[span][-1] - times[span][0])
    return _speed(scale, way, lasted)


def _speed(scale: Scale, way_px: float, lasted_s: float) -> Measure | Refusal:
    metres = scale.stature_m.value / scale.stature_px.value
    value = way_px * metres / lasted_s
    own = HEAD_SHARE * scale.stature_m.value * 2**0.5 / lasted_s
    size = math.hypot(
        scale.stature_px.sd / scale.stature_px.value, scale.stature_m.sd / scale.stature_m.value
    )
    out_of_plane = 0.05
    sd = math.hypot(own, value * size, value * out_of_plane)
    if sd > HEAD_SPEED.widest:
        return Refusal(HEAD_SPEED.name, None, f"It would be unsure by ±{sd:.0f} m/s.")
    told = f"{HEAD_SPEED.how}; ± holds {HEAD_SPEED.holds}"
    return Measure(HEAD_SPEED.name, None, value, sd, HEAD_SPEED.unit, told)


def _loop(
    context: SwingContext, spec: MeasureSpec, names: tuple[MomentName, ...]
) -> Measure | Refusal:
    ready = _ready(context, spec, names)
    if isinstance(ready, Refusal):
        return ready
    first, top, last = ready
    times, path = _sure_head(context) if spec is HEAD_LOOP else _hands(context)
    up, down = path[(times >= first) & (times <= top)], path[(times >= top) & (times <= last)]
    if len(up) < FEWEST or len(down) < FEWEST:
        return Refusal(spec.name, None, "Too few frames show the way up or the way down.")
    apart = _apart(_one_way(up, rising=True), _one_way(down, rising=False))
    if not len(apart):
        return Refusal(spec.name, None, "The ways up and down share no height.")
    value = float(apart[np.argmax(np.abs(apart))])
    return _placed(context, spec, value, LOOP_SHARE[spec.name])


def _one_way(path: Floats, rising: bool) -> Floats:
    """The part of a path from its lowest to its highest place (or back), its heights in order."""
    low, high = int(np.argmax(path[:, 1])), int(np.argmin(path[:, 1]))
    part = path[low : high + 1] if rising else path[high : low + 1][::-1]
    if len(part) < 2:
        return part
    highest = np.minimum.accumulate(part[:, 1])
    new = np.concatenate([[True], np.diff(highest) < 0])
    return np.asarray(part[new])


def _apart(up: Floats, down: Floats) -> Floats:
    """Pixels by which the way down lies to the right of the way up, at heights that both pass."""
    if len(up) < 2 or len(down) < 2:
        return np.empty(0)
    low, high = min(up[0, 1], down[0, 1]), max(up[-1, 1], down[-1, 1])
    if low <= high:
        return np.empty(0)
    levels = np.linspace(low, high, LEVELS)
    return np.asarray(
        np.interp(-levels, -down[:, 1], down[:, 0]) - np.interp(-levels, -up[:, 1], up[:, 0])
    )


def _ready(
    context: SwingContext, spec: MeasureSpec, names: tuple[MomentName, ...]
) -> tuple[float, ...] | Refusal:
    hidden = measure_club_hidden(context, spec)
    if hidden is not None:
        return hidden
    times = []
    for name in names:
        moment = context.moments.get(name)
        if moment is None:
            return Refusal(spec.name, None, measure_lacking(context.moments, name))
        times.append(moment.time_s)
    return tuple(times)


def _sure_head(context: SwingContext) -> tuple[Floats, Floats]:
    club = context.club
    if club is None:
        raise ValueError("got no club track; expected one, because it was asked for before")
    sure = (club.confidence >= LEAST_SURE) & np.isfinite(club.head).all(axis=1)
    if club.head_seen is not None:
        sure &= club.head_seen
    return context.body.time_s[sure], club.head[sure]


def _hands(context: SwingContext) -> tuple[Floats, Floats]:
    hands = context.body.middle("wrist")
    seen = np.isfinite(hands).all(axis=1)
    return context.body.time_s[seen], hands[seen]


def _placed(
    context: SwingContext, spec: MeasureSpec, value_px: float, share: float
) -> Measure | Refusal:
    """A place in pixels that is unsure by a share of the stature; refused without a scale."""
    scale = context.scale
    if isinstance(scale, Refusal):
        return Refusal(spec.name, None, scale.refused)
    parts = {"place": share * scale.stature_px.value}
    return measure_club_result(context, spec, None, value_px, parts)


def _too_slow(spec: MeasureSpec, rate: float, needed: float) -> Refusal:
    return Refusal(
        spec.name,
        None,
        f"Your clip has {rate:.0f} frames a second; {needed:.0f} are needed: film in slow motion.",
    )


HANDS_LOOP = MeasureSpec(
    name="hands_loop",
    title="Hands down, against hands up",
    unit="% of stature",
    moments=(),
    views=(View.DOWN_THE_LINE,),
    landmarks=("lead_wrist", "trail_wrist"),
    how="horizontal distance of the hands' way down from their way up, at the height where it is "
    "largest",
    zero="down the way they went up",
    positive="outside: nearer to the ball line; negative is inside",
    range="any",
    degenerate="the ways share no height",
    holds="where the hands are seen, stature in pixels",
    source=COMMON_PRACTICE,
    widest=8.0,
    measure=measure_hands_loop,
)

HEAD_LOOP = MeasureSpec(
    name="head_loop",
    title="Clubhead down, against clubhead up",
    unit="% of stature",
    moments=(),
    views=(View.DOWN_THE_LINE,),
    landmarks=(),
    how="horizontal distance of the head's way down from its way up, between shaft level and the "
    "top, at the height where it is largest",
    zero="down the way it went up",
    positive="outside: nearer to the ball line, steeper; negative is inside, shallower",
    range="any",
    degenerate="the ways share no height, or the head is not seen on one",
    holds="the tracked head's own error, stature in pixels",
    source=COMMON_PRACTICE,
    widest=16.0,
    measure=measure_head_loop,
)

LOW_POINT = MeasureSpec(
    name="low_point",
    title="Lowest place of the clubhead, past the ball",
    unit="cm",
    moments=(),
    views=(View.FACE_ON,),
    landmarks=(),
    how="where a parabola through the head's places around impact is lowest, from the head's place "
    "at address along the picture's horizontal",
    zero="at the head's place at address, just behind the ball",
    positive="toward the target",
    range="any",
    degenerate="the path has no lowest place, or too few frames show it",
    holds="the tracked head's own error, stature in pixels and in metres",
    source=COMMON_PRACTICE,
    widest=9.0,
    measure=measure_low_point,
)

HEAD_SPEED = MeasureSpec(
    name="head_speed",
    title="Clubhead speed before impact",
    unit="m/s",
    moments=(),
    views=(View.FACE_ON,),
    landmarks=(),
    how="way of the head over the last frames before impact, divided by their time",
    zero="at rest",
    positive="faster; without a sign",
    range="0 and more",
    degenerate="fewer than three frames show the head before impact",
    holds="the tracked head's own error, stature in pixels and in metres, way out of the picture's "
    "plane",
    source=COMMON_PRACTICE,
    widest=4.0,
    measure=measure_head_speed,
)
