"""How wide the golfer stands."""

from __future__ import annotations

from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_at
from causeline.measures.holds import LENGTH_HOLDS, OFFSETS_SOURCE
from causeline.measures.pose import Pose
from causeline.measures.spec import COMMON_PRACTICE, MeasureSpec, measure_spec_percent
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats


def measure_stance_width(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lead ankle's x − trail ankle's x, face-on."""
    return measure_at(context, STANCE_WIDTH, moment, _between_ankles)


def measure_stance_width_percent(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """The same as a share of stature."""
    return measure_at(context, STANCE_WIDTH_PERCENT, moment, _between_ankles)


def _between_ankles(pose: Pose) -> Floats:
    return (pose.point("lead_ankle") - pose.point("trail_ankle"))[..., 0]


STANCE_WIDTH = MeasureSpec(
    name="stance_width",
    title="Stance width, ankle to ankle",
    unit="cm",
    moments=(MomentName.ADDRESS,),
    views=(View.FACE_ON,),
    landmarks=("lead_ankle", "trail_ankle"),
    how="distance between the ankles along the picture's horizontal",
    zero="ankles one above the other in the picture",
    positive="lead ankle nearer the target",
    range="any; negative only when lead and trail were mixed up",
    degenerate="an ankle unseen",
    holds=LENGTH_HOLDS,
    source=f"{COMMON_PRACTICE}; {OFFSETS_SOURCE}",
    widest=8.0,
    measure=measure_stance_width,
)
STANCE_WIDTH_PERCENT = measure_spec_percent(STANCE_WIDTH, measure_stance_width_percent)
