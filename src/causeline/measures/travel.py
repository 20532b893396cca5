"""How far head, pelvis and lead knee move between address and a later moment.

What the engine sees beside the joint cancels, but for the share that turns with the body. A camera
that moves is not told from a golfer who moves: see `filming`.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_since_address
from causeline.measures.figure import TO_BALL, TO_TARGET, UP, Figure
from causeline.measures.holds import LENGTH_HOLDS, OFFSETS_SOURCE
from causeline.measures.in_space import measure_best
from causeline.measures.pose import Pose
from causeline.measures.spec import ANYWHERE, COMMON_PRACTICE, MeasureSpec, measure_spec_percent
from causeline.measures.spread import Formula
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats

AXES = {"_toward_ball": TO_BALL, "_toward_target": TO_TARGET, "_rise": UP}
AFTER_ADDRESS = tuple(name for name in MomentName if name is not MomentName.ADDRESS)


def measure_head_toward_target(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the ears: x at the moment − x at address, face-on."""
    return _travel(context, HEAD_TOWARD_TARGET, moment, _head_across)


def measure_head_toward_target_percent(
    context: SwingContext, moment: MomentName
) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, HEAD_TOWARD_TARGET_PERCENT, moment, _head_across)


def measure_head_toward_ball(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the ears: x at the moment − x at address, down the line."""
    return _travel(context, HEAD_TOWARD_BALL, moment, _head_across)


def measure_head_toward_ball_percent(
    context: SwingContext, moment: MomentName
) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, HEAD_TOWARD_BALL_PERCENT, moment, _head_across)


def measure_head_rise(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the ears: height at the moment − height at address."""
    return _travel(context, HEAD_RISE, moment, _head_up)


def measure_head_rise_percent(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, HEAD_RISE_PERCENT, moment, _head_up)


def measure_pelvis_toward_target(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the hips: x at the moment − x at address, face-on."""
    return _travel(context, PELVIS_TOWARD_TARGET, moment, _pelvis_across)


def measure_pelvis_toward_target_percent(
    context: SwingContext, moment: MomentName
) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, PELVIS_TOWARD_TARGET_PERCENT, moment, _pelvis_across)


def measure_pelvis_toward_ball(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the hips: x at the moment − x at address, down the line."""
    return _travel(context, PELVIS_TOWARD_BALL, moment, _pelvis_across)


def measure_pelvis_toward_ball_percent(
    context: SwingContext, moment: MomentName
) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, PELVIS_TOWARD_BALL_PERCENT, moment, _pelvis_across)


def measure_pelvis_rise(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Middle of the hips: height at the moment − height at address."""
    return _travel(context, PELVIS_RISE, moment, _pelvis_up)


def measure_pelvis_rise_percent(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, PELVIS_RISE_PERCENT, moment, _pelvis_up)


def measure_lead_knee_toward_target(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lead knee: x at the moment − x at address, face-on."""
    return _travel(context, LEAD_KNEE_TOWARD_TARGET, moment, _knee_across)


def measure_lead_knee_toward_target_percent(
    context: SwingContext, moment: MomentName
) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, LEAD_KNEE_TOWARD_TARGET_PERCENT, moment, _knee_across)


def measure_lead_knee_toward_ball(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lead knee: x at the moment − x at address, down the line."""
    return _travel(context, LEAD_KNEE_TOWARD_BALL, moment, _knee_across)


def measure_lead_knee_toward_ball_percent(
    context: SwingContext, moment: MomentName
) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, LEAD_KNEE_TOWARD_BALL_PERCENT, moment, _knee_across)


def measure_lead_knee_rise(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lead knee: height at the moment − height at address."""
    return _travel(context, LEAD_KNEE_RISE, moment, _knee_up)


def measure_lead_knee_rise_percent(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """The same as a share of stature."""
    return _travel(context, LEAD_KNEE_RISE_PERCENT, moment, _knee_up)


def _travel(
    context: SwingContext, spec: MeasureSpec, moment: MomentName, flat: Formula
) -> Measure | Refusal:
    axis = next(number for part, number in AXES.items() if part in spec.name)

    def moved(address: Figure, at: Figure) -> Floats:
        steps = [at.point(name) - address.point(name) for name in spec.landmarks]
        travel: Floats = np.mean(steps, axis=0)[..., axis]
        return travel

    seen = partial(measure_since_address, context, spec, moment, flat)
    return measure_best(context, spec, (MomentName.ADDRESS, moment), moved, seen)


def _head_across(address: Pose, pose: Pose) -> Floats:
    return (pose.middle("ear") - address.middle("ear"))[..., 0]


def _head_up(address: Pose, pose: Pose) -> Floats:
    return (address.middle("ear") - pose.middle("ear"))[..., 1]


def _pelvis_across(address: Pose, pose: Pose) -> Floats:
    return (pose.middle("hip") - address.middle("hip"))[..., 0]


def _pelvis_up(address: Pose, pose: Pose) -> Floats:
    return (address.middle("hip") - pose.middle("hip"))[..., 1]


def _knee_across(address: Pose, pose: Pose) -> Floats:
    return (pose.point("lead_knee") - address.point("lead_knee"))[..., 0]


def _knee_up(address: Pose, pose: Pose) -> Floats:
    return (address.point("lead_knee") - pose.point("lead_knee"))[..., 1]


HEAD_TOWARD_TARGET = MeasureSpec(
    name="head_toward_target",
    title="Head, toward the target",
    unit="cm",
    moments=AFTER_ADDRESS,
    views=(View.FACE_ON,),
    landmarks=("lead_ear", "trail_ear"),
    how="travel of the middle of the ears since address, level",
    zero="where it was at address",
    positive="toward the target",
    range="any",
    degenerate="a landmark unseen at address or at the moment",
    holds=LENGTH_HOLDS,
    source=f"{COMMON_PRACTICE}; {OFFSETS_SOURCE}",
    widest=8.0,
    measure=measure_head_toward_target,
    space_views=ANYWHERE,
)
HEAD_TOWARD_BALL = replace(
    HEAD_TOWARD_TARGET,
    name="head_toward_ball",
    title="Head, toward the ball",
    views=(View.DOWN_THE_LINE,),
    positive="toward the ball",
    measure=measure_head_toward_ball,
    space_views=ANYWHERE,
)
HEAD_RISE = replace(
    HEAD_TOWARD_TARGET,
    name="head_rise",
    title="Head, up or down",
    views=ANYWHERE,
    how="travel of the middle of the ears since address, upright",
    positive="up",
    measure=measure_head_rise,
    space_views=ANYWHERE,
)

PELVIS_TOWARD_TARGET = replace(
    HEAD_TOWARD_TARGET,
    name="pelvis_toward_target",
    title="Pelvis, toward the target",
    landmarks=("lead_hip", "trail_hip"),
    how="travel of the middle of the hips since address, level",
    measure=measure_pelvis_toward_target,
    space_views=ANYWHERE,
)
PELVIS_TOWARD_BALL = replace(
    PELVIS_TOWARD_TARGET,
    name="pelvis_toward_ball",
    title="Pelvis, toward the ball",
    views=(View.DOWN_THE_LINE,),
    positive="toward the ball",
    measure=measure_pelvis_toward_ball,
    space_views=ANYWHERE,
)
PELVIS_RISE = replace(
    PELVIS_TOWARD_TARGET,
    name="pelvis_rise",
    title="Pelvis, up or down",
    views=ANYWHERE,
    how="travel of the middle of the hips since address, upright",
    positive="up",
    measure=measure_pelvis_rise,
    space_views=ANYWHERE,
)

LEAD_KNEE_TOWARD_TARGET = replace(
    HEAD_TOWARD_TARGET,
    name="lead_knee_toward_target",
    title="Lead knee, toward the target",
    landmarks=("lead_knee",),
    how="travel of the lead knee since address, level",
    measure=measure_lead_knee_toward_target,
    space_views=ANYWHERE,
)
LEAD_KNEE_TOWARD_BALL = replace(
    LEAD_KNEE_TOWARD_TARGET,
    name="lead_knee_toward_ball",
    title="Lead knee, toward the ball",
    views=(View.DOWN_THE_LINE,),
    positive="toward the ball",
    measure=measure_lead_knee_toward_ball,
    space_views=ANYWHERE,
)
LEAD_KNEE_RISE = replace(
    LEAD_KNEE_TOWARD_TARGET,
    name="lead_knee_rise",
    title="Lead knee, up or down",
    views=ANYWHERE,
    how="travel of the lead knee since address, upright",
    positive="up",
    measure=measure_lead_knee_rise,
    space_views=ANYWHERE,
)


HEAD_TOWARD_TARGET_PERCENT = measure_spec_percent(
    HEAD_TOWARD_TARGET, measure_head_toward_target_percent
)
HEAD_TOWARD_BALL_PERCENT = measure_spec_percent(HEAD_TOWARD_BALL, measure_head_toward_ball_percent)
HEAD_RISE_PERCENT = measure_spec_percent(HEAD_RISE, measure_head_rise_percent)
PELVIS_TOWARD_TARGET_PERCENT = measure_spec_percent(
    PELVIS_TOWARD_TARGET, measure_pelvis_toward_target_percent
)
PELVIS_TOWARD_BALL_PERCENT = measure_spec_percent(
    PELVIS_TOWARD_BALL, measure_pelvis_toward_ball_percent
)
PELVIS_RISE_PERCENT = measure_spec_percent(PELVIS_RISE, measure_pelvis_rise_percent)
LEAD_KNEE_TOWARD_TARGET_PERCENT = measure_spec_percent(
    LEAD_KNEE_TOWARD_TARGET, measure_lead_knee_toward_target_percent
)
LEAD_KNEE_TOWARD_BALL_PERCENT = measure_spec_percent(
    LEAD_KNEE_TOWARD_BALL, measure_lead_knee_toward_ball_percent
)
LEAD_KNEE_RISE_PERCENT = measure_spec_percent(LEAD_KNEE_RISE, measure_lead_knee_rise_percent)
