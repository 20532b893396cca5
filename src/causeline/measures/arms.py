"""Where the lead arm points, and how straight each arm is, as the picture shows them."""

from __future__ import annotations

from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_at
from causeline.measures.holds import ANGLE_HOLDS, JOINT_HOLDS
from causeline.measures.in_plane import measure_joint
from causeline.measures.pose import Pose
from causeline.measures.spec import ANYWHERE, COMMON_PRACTICE, MeasureSpec
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats, from_vertical_deg, joint_deg

STRAIGHT_DEG = 180.0


def measure_lead_arm_angle(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lean of the line from lead wrist up to lead shoulder: 0 hanging, 90 level going back."""
    return measure_at(context, LEAD_ARM_ANGLE, moment, _lead_arm)


def measure_lead_elbow_angle(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Angle at the lead elbow between upper arm and forearm."""
    limbs = (
        ("upper_arm", "lead_shoulder", "lead_elbow"),
        ("forearm", "lead_elbow", "lead_wrist"),
    )
    return measure_joint(context, LEAD_ELBOW_ANGLE, moment, _lead_elbow, limbs, STRAIGHT_DEG)


def measure_trail_elbow_angle(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Angle at the trail elbow between upper arm and forearm."""
    limbs = (
        ("upper_arm", "trail_shoulder", "trail_elbow"),
        ("forearm", "trail_elbow", "trail_wrist"),
    )
    return measure_joint(context, TRAIL_ELBOW_ANGLE, moment, _trail_elbow, limbs, STRAIGHT_DEG)


def _lead_arm(pose: Pose) -> Floats:
    return from_vertical_deg(pose.point("lead_wrist"), pose.point("lead_shoulder"))


def _lead_elbow(pose: Pose) -> Floats:
    ends = (pose.point("lead_shoulder"), pose.point("lead_wrist"))
    return joint_deg(ends[0], pose.point("lead_elbow"), ends[1])


def _trail_elbow(pose: Pose) -> Floats:
    ends = (pose.point("trail_shoulder"), pose.point("trail_wrist"))
    return joint_deg(ends[0], pose.point("trail_elbow"), ends[1])


LEAD_ARM_ANGLE = MeasureSpec(
    name="lead_arm_angle",
    title="Lead arm, from hanging down",
    unit="°",
    moments=tuple(name for name in MomentName if name is not MomentName.FINISH),
    views=(View.FACE_ON,),
    landmarks=("lead_shoulder", "lead_wrist"),
    how="direction of the line from lead shoulder to lead wrist in the picture",
    zero="hanging straight down",
    positive="away from the target",
    range="(-180, 180]",
    degenerate="the arm points at the camera, so that its two ends coincide",
    holds=ANGLE_HOLDS,
    source=COMMON_PRACTICE,
    widest=12.0,
    measure=measure_lead_arm_angle,
)

LEAD_ELBOW_ANGLE = MeasureSpec(
    name="lead_elbow_angle",
    title="Lead elbow",
    unit="°",
    moments=(
        MomentName.ADDRESS,
        MomentName.ARM_LEVEL_BACK,
        MomentName.TOP,
        MomentName.ARM_LEVEL_DOWN,
        MomentName.IMPACT,
    ),
    views=ANYWHERE,
    landmarks=("lead_shoulder", "lead_elbow", "lead_wrist"),
    how="angle between upper arm and forearm in the picture",
    zero="forearm folded onto the upper arm; 180 is straight",
    positive="straighter",
    range="[0, 180], without a sign: an error near 180 can only read low",
    degenerate="either limb points toward the camera by more than 35°",
    holds=JOINT_HOLDS,
    source="limb out of plane: Stevens et al. 2006, Am J Phys Anthropol 129:399-402",
    widest=20.0,
    measure=measure_lead_elbow_angle,
)

TRAIL_ELBOW_ANGLE = MeasureSpec(
    name="trail_elbow_angle",
    title="Trail elbow",
    unit="°",
    moments=LEAD_ELBOW_ANGLE.moments,
    views=ANYWHERE,
    landmarks=("trail_shoulder", "trail_elbow", "trail_wrist"),
    how="angle between upper arm and forearm in the picture",
    zero="forearm folded onto the upper arm; 180 is straight",
    positive="straighter",
    range="[0, 180], without a sign: an error near 180 can only read low",
    degenerate="either limb points toward the camera by more than 35°",
    holds=JOINT_HOLDS,
    source="limb out of plane: Stevens et al. 2006, Am J Phys Anthropol 129:399-402",
    widest=20.0,
    measure=measure_trail_elbow_angle,
)
