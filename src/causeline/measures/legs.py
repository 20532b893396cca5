"""How much the lead knee is bent."""

from __future__ import annotations

from functools import partial

from causeline.measures.context import SwingContext
from causeline.measures.figure import TO_BALL, Figure, lean_deg
from causeline.measures.holds import JOINT_HOLDS, OFFSETS_SOURCE
from causeline.measures.in_plane import measure_joint
from causeline.measures.in_space import measure_best
from causeline.measures.pose import Pose
from causeline.measures.spec import ANYWHERE, MeasureSpec
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats, direction_deg, wrap_deg


def measure_lead_knee_flexion(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Direction of the thigh (knee to hip) − direction of the shank (ankle to knee)."""
    limbs = (("thigh", "lead_hip", "lead_knee"), ("shank", "lead_knee", "lead_ankle"))
    flat = partial(
        measure_joint, context, LEAD_KNEE_FLEXION, moment, _lead_knee, limbs, straight=0.0
    )
    return measure_best(context, LEAD_KNEE_FLEXION, (moment,), _lead_knee_in_space, flat)


def _lead_knee(pose: Pose) -> Floats:
    thigh = direction_deg(pose.point("lead_knee"), pose.point("lead_hip"))
    shank = direction_deg(pose.point("lead_ankle"), pose.point("lead_knee"))
    return wrap_deg(thigh - shank)


def _lead_knee_in_space(figure: Figure) -> Floats:
    hip, knee, ankle = (figure.point(f"lead_{part}") for part in ("hip", "knee", "ankle"))
    return wrap_deg(lean_deg(knee - ankle, TO_BALL) - lean_deg(hip - knee, TO_BALL))


LEAD_KNEE_FLEXION = MeasureSpec(
    name="lead_knee_flexion",
    title="Lead knee, flexion",
    unit="°",
    moments=(MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT),
    views=(View.DOWN_THE_LINE,),
    landmarks=("lead_hip", "lead_knee", "lead_ankle"),
    how="turn from the direction of the shank to that of the thigh, seen along the target line",
    zero="hip, knee and ankle in one line",
    positive="knee toward the ball, in front of that line; negative is bent backward",
    range="(-180, 180]",
    degenerate="thigh or shank points toward the camera by more than 35°",
    holds=JOINT_HOLDS,
    source=(
        f"limb out of plane: Stevens et al. 2006, Am J Phys Anthropol 129:399-402; {OFFSETS_SOURCE}"
    ),
    widest=15.0,
    measure=measure_lead_knee_flexion,
    space_views=ANYWHERE,
)
