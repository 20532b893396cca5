"""Turns of shoulders and pelvis: defined, and refused until more than one view carries them."""

from __future__ import annotations

from dataclasses import replace

from causeline.measures.context import SwingContext
from causeline.measures.holds import ANGLE_HOLDS
from causeline.measures.spec import MeasureSpec
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName


def measure_shoulder_turn(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the shoulder line about the trunk's own axis."""
    return _refused(context, SHOULDER_TURN, moment)


def measure_shoulder_turn_level(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the shoulder line about the vertical, as seen from above."""
    return _refused(context, SHOULDER_TURN_LEVEL, moment)


def measure_pelvis_turn(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Turn of the hip line about the vertical, as seen from above."""
    return _refused(context, PELVIS_TURN, moment)


def measure_separation(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Shoulder turn − pelvis turn, both about the vertical."""
    return _refused(context, SEPARATION, moment)


def _refused(context: SwingContext, spec: MeasureSpec, moment: MomentName) -> Refusal:
    return Refusal(
        spec.name,
        moment,
        f"One view, here {context.view}, does not carry a turn in degrees yet: it would rest on "
        "how deep in the picture each shoulder and hip lies, which has to be guessed. Measured "
        "elsewhere, such guesses err by tens of degrees.",
    )


SHOULDER_TURN = MeasureSpec(
    name="shoulder_turn",
    title="Shoulder turn, about the trunk",
    unit="°",
    moments=(MomentName.TOP, MomentName.IMPACT),
    views=(),
    landmarks=("lead_shoulder", "trail_shoulder", "lead_hip", "trail_hip"),
    how="rotation of the shoulder line about the line from mid-hip to mid-shoulder since address",
    zero="the shoulder line of address",
    positive="away from the target",
    range="(-180, 180]",
    degenerate="the shoulder line lies along the trunk",
    holds=ANGLE_HOLDS,
    source="definitions differ by up to 16°: Smith et al. 2016, J Appl Biomech 32:23-31",
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
