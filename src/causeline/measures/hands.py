"""Where the hands are at the top.

Height is for the face-on view: down the line the hands are about 0.3 m nearer to the camera than
the shoulders are, and high above its axis, so that perspective alone lifts them by centimetres.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_at
from causeline.measures.figure import TO_BALL, Figure
from causeline.measures.holds import LENGTH_HOLDS
from causeline.measures.in_space import SPACE_HOLDS, measure_best, measure_in_space
from causeline.measures.pose import Pose
from causeline.measures.spec import (
    ANYWHERE,
    COMMON_PRACTICE,
    MeasureSpec,
    measure_spec_percent,
)
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats


def measure_hands_height(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the wrists above the middle of the shoulders, face-on."""
    return measure_at(context, HANDS_HEIGHT, moment, _above_shoulders)


def measure_hands_height_percent(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """The same as a share of stature."""
    return measure_at(context, HANDS_HEIGHT_PERCENT, moment, _above_shoulders)


def measure_hands_depth(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the wrists behind the middle of the shoulders."""
    return _depth(context, HANDS_DEPTH, moment)


def measure_hands_depth_percent(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """The same as a share of stature."""
    return _depth(context, HANDS_DEPTH_PERCENT, moment)


def measure_hands_beside_chest(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far the middle of the wrists lies beside the middle of the chest, to the trail side.

    Zero in front of the middle of the chest, on the plane through the middle of the shoulders and
    square to their line. Degenerate: shoulders that coincide.
    """
    return measure_in_space(context, HANDS_BESIDE_CHEST, (moment,), _beside_chest)


def measure_hands_beside_chest_percent(
    context: SwingContext, moment: MomentName
) -> Measure | Refusal:
    """The same as a share of stature."""
    return measure_in_space(context, HANDS_BESIDE_CHEST_PERCENT, (moment,), _beside_chest)


def _depth(context: SwingContext, spec: MeasureSpec, moment: MomentName) -> Measure | Refusal:
    flat = partial(measure_at, context, spec, moment, _behind_shoulders)
    return measure_best(context, spec, (moment,), _behind_shoulders_in_space, flat)


def _above_shoulders(pose: Pose) -> Floats:
    return (pose.middle("shoulder") - pose.middle("wrist"))[..., 1]


def _behind_shoulders(pose: Pose) -> Floats:
    return (pose.middle("shoulder") - pose.middle("wrist"))[..., 0]


def _behind_shoulders_in_space(figure: Figure) -> Floats:
    return (figure.middle("shoulder") - figure.middle("wrist"))[..., TO_BALL]


def _beside_chest(figure: Figure) -> Floats:
    line = figure.line("shoulder")
    along = line / np.linalg.norm(line, axis=-1, keepdims=True)
    beside: Floats = -((figure.middle("wrist") - figure.middle("shoulder")) * along).sum(axis=-1)
    return beside


HANDS_HEIGHT = MeasureSpec(
    name="hands_height",
    title="Hands, above the shoulders",
    unit="cm",
    moments=(MomentName.TOP,),
    views=(View.FACE_ON,),
    landmarks=("lead_wrist", "trail_wrist", "lead_shoulder", "trail_shoulder"),
    how="height of the middle of the wrists over the middle of the shoulders in the picture",
    zero="level with the shoulders",
    positive="above them",
    range="any",
    degenerate="a wrist or a shoulder unseen",
    holds=LENGTH_HOLDS,
    source=COMMON_PRACTICE,
    widest=10.0,
    measure=measure_hands_height,
)
HANDS_HEIGHT_PERCENT = measure_spec_percent(HANDS_HEIGHT, measure_hands_height_percent)

HANDS_DEPTH = MeasureSpec(
    name="hands_depth",
    title="Hands, behind the shoulders",
    unit="cm",
    moments=(MomentName.TOP,),
    views=(View.DOWN_THE_LINE,),
    landmarks=("lead_wrist", "trail_wrist", "lead_shoulder", "trail_shoulder"),
    how="distance from the middle of the shoulders to the middle of the wrists, square to the "
    "target line and level",
    zero="in line with the shoulders",
    positive="away from the ball",
    range="any",
    degenerate="a wrist or a shoulder unseen",
    holds=LENGTH_HOLDS,
    source=COMMON_PRACTICE,
    widest=8.0,
    measure=measure_hands_depth,
    space_views=ANYWHERE,
)
HANDS_DEPTH_PERCENT = measure_spec_percent(HANDS_DEPTH, measure_hands_depth_percent)

HANDS_BESIDE_CHEST = replace(
    HANDS_DEPTH,
    name="hands_beside_chest",
    title="Hands, beside the middle of the chest",
    moments=(
        MomentName.ADDRESS,
        MomentName.ARM_LEVEL_BACK,
        MomentName.TOP,
        MomentName.ARM_LEVEL_DOWN,
        MomentName.IMPACT,
    ),
    views=(),
    how="distance of the middle of the wrists from the plane through the middle of the shoulders "
    "and square to their line",
    zero="in front of the middle of the chest",
    positive="to the trail side",
    degenerate="the shoulders coincide",
    holds=SPACE_HOLDS,
    measure=measure_hands_beside_chest,
    space_views=ANYWHERE,
)
HANDS_BESIDE_CHEST_PERCENT = replace(
    measure_spec_percent(HANDS_BESIDE_CHEST, measure_hands_beside_chest_percent),
    holds=SPACE_HOLDS,
)
