"""Turns of shoulders and pelvis, from the body in three dimensions."""

from __future__ import annotations

from dataclasses import replace

from causeline.measures.context import SwingContext
from causeline.measures.in_space import (
    Told,
    measure_finished,
    measure_told,
    measure_turn_at,
)
from causeline.measures.spec import ANYWHERE, COMMON_PRACTICE, MeasureSpec
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName

SPACE_HOLDS = (
    "where the engine sees the joints, how the phone stood, unknown stature and proportions, how "
    "differently golfers move, timing of the moment"
)
DEFINITIONS = "definitions differ by up to 16°: Smith et al. 2016, J Appl Biomech 32:23-31"
TURNED = (
    MomentName.ARM_LEVEL_BACK,
    MomentName.TOP,
    MomentName.ARM_LEVEL_DOWN,
    MomentName.IMPACT,
    MomentName.FINISH,
)


def measure_shoulder_turn(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the shoulder line about the trunk's own axis since address.

    Zero at address, positive away from the target, unwrapped. Degenerate: the shoulder line lies
    along the trunk.
    """
    return measure_told(context, SHOULDER_TURN, moment, ("shoulder_turn",))


def measure_shoulder_turn_level(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the shoulder line since address, as seen from straight above; signs as above."""
    return measure_told(context, SHOULDER_TURN_LEVEL, moment, ("shoulder_turn_level",))


def measure_pelvis_turn(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the hip line since address, as seen from straight above; signs as above."""
    return measure_told(context, PELVIS_TURN, moment, ("pelvis_turn",))


def measure_separation(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Shoulder turn − pelvis turn, both as seen from above.

    Zero where both turned alike, positive where the shoulders turned farther from the target.
    """
    return measure_told(context, SEPARATION, moment, ("shoulder_turn_level", "pelvis_turn"))


def measure_shoulders_open(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far past their line of address the shoulders are: positive toward the target."""
    return measure_told(context, SHOULDERS_OPEN, moment, ("", "shoulder_turn_level"))


def measure_pelvis_open(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far past its line of address the pelvis is: positive toward the target."""
    return measure_told(context, PELVIS_OPEN, moment, ("", "pelvis_turn"))


def measure_turn_rate_needed(context: SwingContext) -> Measure | Refusal:
    """(Turn at the top + openness at impact) / downswing time, degrees a second.

    Zero where nothing is turned back; positive toward the target. Degenerate: impact is not after
    the top.
    """
    name = "shoulder_turn_level"
    found = [measure_turn_at(context, name, at) for at in (MomentName.TOP, MomentName.IMPACT)]
    for each in found:
        if isinstance(each, str):
            return Refusal(TURN_RATE_NEEDED.name, None, each)
    top, impact = (each for each in found if isinstance(each, Told))
    return measure_finished(TURN_RATE_NEEDED, None, _rate(top, impact))


def _rate(top: Told, impact: Told) -> Told:
    """The lasting errors of two turns of one golfer are taken as independent, which is too wide."""
    time = impact.time_s - top.time_s
    rate = (top.value - impact.value) / time
    timing = rate * (top.time_sd_s**2 + impact.time_sd_s**2) ** 0.5 / time
    sd = ((top.sd**2 + impact.sd**2) / time**2 + timing**2) ** 0.5
    return replace(top, value=rate, sd=sd)


SHOULDER_TURN = MeasureSpec(
    name="shoulder_turn",
    title="Shoulder turn, about the trunk",
    unit="°",
    moments=TURNED,
    views=ANYWHERE,
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
