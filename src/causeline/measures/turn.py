"""Turns of shoulders and pelvis, from the body in three dimensions."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.figure import Figure, azimuth_deg
from causeline.measures.in_space import (
    NO_BODY,
    SPACE_HOLDS,
    Told,
    measure_finished,
    measure_in_space,
    measure_known,
)
from causeline.measures.lacking import measure_lacking
from causeline.measures.spec import ANYWHERE, COMMON_PRACTICE, MeasureSpec
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats, wrap_deg

DEFINITIONS = "definitions differ by up to 16°: Smith et al. 2016, J Appl Biomech 32:23-31"
TURNED = (
    MomentName.ARM_LEVEL_BACK,
    MomentName.TOP,
    MomentName.ARM_LEVEL_DOWN,
    MomentName.IMPACT,
    MomentName.FINISH,
)
SLOPE_S = 0.015
"""Half of the time over which a turn's speed is taken."""


def measure_shoulder_turn(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the shoulder line about the trunk's own axis since address.

    Zero at address, positive away from the target, unwrapped. Degenerate: the shoulder line lies
    along the trunk.
    """
    return _turn(context, SHOULDER_TURN, moment)


def measure_shoulder_turn_level(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the shoulder line since address, as seen from straight above; signs as above."""
    return _turn(context, SHOULDER_TURN_LEVEL, moment)


def measure_pelvis_turn(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the hip line since address, as seen from straight above; signs as above."""
    return _turn(context, PELVIS_TURN, moment)


def measure_shoulders_open(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far past their line of address the shoulders are: positive toward the target."""
    return _opened(_turn(context, SHOULDERS_OPEN, moment, "shoulder_turn_level"))


def measure_pelvis_open(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far past its line of address the pelvis is: positive toward the target."""
    return _opened(_turn(context, PELVIS_OPEN, moment, "pelvis_turn"))


def measure_separation(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Shoulder turn − pelvis turn since address, both as seen from above.

    Zero where both turned alike, positive where the shoulders turned farther from the target.
    """
    return measure_in_space(context, SEPARATION, (MomentName.ADDRESS, moment), _separation)


def measure_turn_rate_needed(context: SwingContext) -> Measure | Refusal:
    """(Turn at the top + openness at impact) / downswing time, degrees a second.

    Zero where nothing is turned back; positive toward the target. Degenerate: impact is not after
    the top.
    """
    spec = TURN_RATE_NEEDED
    known = measure_known(context, spec, None)
    if isinstance(known, Refusal):
        return known
    top = _told(context, "shoulder_turn_level", MomentName.TOP)
    impact = _told(context, "shoulder_turn_level", MomentName.IMPACT)
    if isinstance(top, str):
        return Refusal(spec.name, None, top)
    if isinstance(impact, str):
        return Refusal(spec.name, None, impact)
    time = impact.time_s - top.time_s
    rate = (top.value - impact.value) / time if time > 0 else math.nan
    # The lasting errors of two turns of one golfer count as independent, which is too wide. A turn
    # hardly changes at the top; at impact a late instant adds turn and time at once.
    late = (impact.slope + rate) * impact.time_sd
    sd = math.hypot(top.sd, impact.sd, (rate + top.slope) * top.time_sd, late) / max(time, 1e-9)
    return measure_finished(context, spec, None, Told(rate, sd, spec.how))


@dataclass(frozen=True, slots=True)
class _Turned:
    """A turn at a moment, degrees; `sd` does not hold what the moment's own ± adds."""

    value: float
    sd: float
    slope: float
    """Degrees a second."""
    time_s: float
    time_sd: float


def _turn(
    context: SwingContext, spec: MeasureSpec, moment: MomentName, curve: str = ""
) -> Measure | Refusal:
    known = measure_known(context, spec, moment)
    if isinstance(known, Refusal):
        return known
    if moment not in spec.moments:
        return Refusal(spec.name, moment, f"It is not defined at {moment.replace('_', ' ')}.")
    told = _told(context, curve or spec.name, moment)
    if isinstance(told, str):
        return Refusal(spec.name, moment, told)
    sd = math.hypot(told.sd, told.slope * told.time_sd)
    return measure_finished(context, spec, moment, Told(told.value, sd, spec.how))


def _told(context: SwingContext, name: str, moment: MomentName) -> _Turned | str:
    """A turn at a moment out of its curve, or why there is none."""
    found = context.moments.get(moment)
    if found is None:
        return measure_lacking(context.moments, moment)
    if context.motion is None:
        return NO_BODY
    turn, spread = context.motion.turn(name)
    reach = max(found.sd_s, SLOPE_S)
    at = found.time_s + np.array([-reach, 0.0, reach])
    before, value, after = np.interp(at, context.motion.time_s, turn)
    sd = np.interp(found.time_s, context.motion.time_s, spread)
    if not np.isfinite([before, value, after, sd]).all():
        return NO_BODY
    slope = float(after - before) / (2 * reach)
    return _Turned(float(value), float(sd), slope, found.time_s, found.sd_s)


def _opened(told: Measure | Refusal) -> Measure | Refusal:
    return told if isinstance(told, Refusal) else replace(told, value=-told.value)


def _separation(address: Figure, at: Figure) -> Floats:
    apart = _apart(at) - _apart(address)
    return wrap_deg(apart)


def _apart(figure: Figure) -> Floats:
    return azimuth_deg(figure.line("shoulder")) - azimuth_deg(figure.line("hip"))


SHOULDER_TURN = MeasureSpec(
    name="shoulder_turn",
    title="Shoulder turn, about the trunk",
    unit="°",
    moments=TURNED,
    views=(),
    space_views=ANYWHERE,
    landmarks=("lead_shoulder", "trail_shoulder", "lead_hip", "trail_hip"),
    how="rotation of the shoulder line about the line from mid-hip to mid-shoulder since address",
    zero="the shoulder line of address",
    positive="away from the target",
    range="unwrapped from address",
    degenerate="the shoulder line lies along the trunk",
    holds=SPACE_HOLDS,
    source=DEFINITIONS,
    widest=10.0,
    measure=measure_shoulder_turn,
)
SHOULDER_TURN_LEVEL = replace(
    SHOULDER_TURN,
    name="shoulder_turn_level",
    title="Shoulder turn, about the vertical",
    landmarks=("lead_shoulder", "trail_shoulder"),
    how="rotation of the shoulder line in the horizontal plane since address",
    degenerate="the shoulder line stands upright",
    measure=measure_shoulder_turn_level,
)
PELVIS_TURN = replace(
    SHOULDER_TURN_LEVEL,
    name="pelvis_turn",
    title="Pelvis turn, about the vertical",
    landmarks=("lead_hip", "trail_hip"),
    how="rotation of the hip line in the horizontal plane since address",
    zero="the hip line of address",
    degenerate="the hip line stands upright",
    measure=measure_pelvis_turn,
)
SEPARATION = replace(
    SHOULDER_TURN_LEVEL,
    name="separation",
    title="Separation of shoulders and pelvis, about the vertical",
    landmarks=("lead_shoulder", "trail_shoulder", "lead_hip", "trail_hip"),
    how="shoulder turn − pelvis turn, both in the horizontal plane",
    zero="both turned alike",
    positive="shoulders turned farther away from the target than the pelvis",
    degenerate="either line stands upright",
    measure=measure_separation,
)
SHOULDERS_OPEN = replace(
    SHOULDER_TURN_LEVEL,
    name="shoulders_open",
    title="Shoulders open, about the vertical",
    moments=(MomentName.IMPACT,),
    how="the shoulder turn in the horizontal plane, with its sign changed",
    positive="toward the target",
    measure=measure_shoulders_open,
)
PELVIS_OPEN = replace(
    PELVIS_TURN,
    name="pelvis_open",
    title="Pelvis open, about the vertical",
    moments=(MomentName.IMPACT,),
    how="the pelvis turn in the horizontal plane, with its sign changed",
    positive="toward the target",
    measure=measure_pelvis_open,
)
TURN_RATE_NEEDED = replace(
    SHOULDER_TURN_LEVEL,
    name="turn_rate_needed",
    title="Turn rate that the downswing needs",
    unit="°/s",
    moments=(),
    landmarks=(),
    how="(shoulder turn at the top + how far open they are at impact) / downswing time",
    zero="nothing to be turned back",
    positive="toward the target",
    range="any",
    degenerate="impact is not after the top",
    source=COMMON_PRACTICE,
    widest=120.0,
    measure=measure_turn_rate_needed,
)
