"""The lean of the trunk, from the middle of the hips to the middle of the shoulders.

Of the body in space, seen along the target line or square to it; where it could not be followed
there, of its picture, if filmed from that side. These are not joint angles: at the top a projected
forward bend differs from the joint angle by -6.5 ± 3.6°, at impact a projected side bend by
8.7 ± 2.9° (Smith et al. 2016, J Appl Biomech 32:23-31). They are not to be compared with norms of
joint angles.
"""

from __future__ import annotations

from functools import partial

from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_at, measure_since_address
from causeline.measures.figure import TO_BALL, TO_TARGET, Figure, lean_deg
from causeline.measures.holds import ANGLE_HOLDS, OFFSETS_SOURCE
from causeline.measures.in_space import measure_best
from causeline.measures.pose import Pose
from causeline.measures.spec import ANYWHERE, MeasureSpec
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats, from_vertical_deg, wrap_deg

PROJECTED = "a lean in the picture is no joint angle: Smith et al. 2016, J Appl Biomech 32:23-31"

TRUNK = ("lead_hip", "trail_hip", "lead_shoulder", "trail_shoulder")


def measure_trunk_forward_bend(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lean of the trunk toward the ball."""
    flat = partial(measure_at, context, TRUNK_FORWARD_BEND, moment, _lean)
    return measure_best(context, TRUNK_FORWARD_BEND, (moment,), _bend, flat)


def measure_trunk_side_bend(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lean of the trunk away from the target."""
    flat = partial(measure_at, context, TRUNK_SIDE_BEND, moment, _lean_back)
    return measure_best(context, TRUNK_SIDE_BEND, (moment,), _bend_back, flat)


def measure_posture_change(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Forward bend at the moment − forward bend at address."""
    flat = partial(measure_since_address, context, POSTURE_CHANGE, moment, _more_lean)
    return measure_best(context, POSTURE_CHANGE, (MomentName.ADDRESS, moment), _more_bend, flat)


def _lean(pose: Pose) -> Floats:
    return from_vertical_deg(pose.middle("hip"), pose.middle("shoulder"))


def _lean_back(pose: Pose) -> Floats:
    return wrap_deg(-_lean(pose))


def _more_lean(address: Pose, pose: Pose) -> Floats:
    return wrap_deg(_lean(pose) - _lean(address))


def _bend(figure: Figure) -> Floats:
    return lean_deg(figure.trunk(), TO_BALL)


def _bend_back(figure: Figure) -> Floats:
    return -lean_deg(figure.trunk(), TO_TARGET)


def _more_bend(address: Figure, at: Figure) -> Floats:
    return wrap_deg(_bend(at) - _bend(address))


TRUNK_FORWARD_BEND = MeasureSpec(
    name="trunk_forward_bend",
    title="Trunk, forward bend",
    unit="°",
    moments=(MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT),
    views=(View.DOWN_THE_LINE,),
    landmarks=TRUNK,
    how="lean of the line from the middle of the hips to that of the shoulders",
    zero="upright",
    positive="toward the ball",
    range="(-180, 180]",
    degenerate="hips and shoulders coincide, seen from that side",
    holds=ANGLE_HOLDS,
    source=f"{PROJECTED}; {OFFSETS_SOURCE}",
    widest=12.0,
    measure=measure_trunk_forward_bend,
    space_views=ANYWHERE,
)

TRUNK_SIDE_BEND = MeasureSpec(
    name="trunk_side_bend",
    title="Trunk, side bend",
    unit="°",
    moments=(MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT),
    views=(View.FACE_ON,),
    landmarks=TRUNK,
    how="lean of the line from the middle of the hips to that of the shoulders",
    zero="upright",
    positive="away from the target, over the trail leg",
    range="(-180, 180]",
    degenerate="hips and shoulders coincide, seen from that side",
    holds=ANGLE_HOLDS,
    source=f"{PROJECTED}; {OFFSETS_SOURCE}",
    widest=12.0,
    measure=measure_trunk_side_bend,
    space_views=ANYWHERE,
)

POSTURE_CHANGE = MeasureSpec(
    name="posture_change",
    title="Posture, change since address",
    unit="°",
    moments=(MomentName.TOP, MomentName.IMPACT),
    views=(View.DOWN_THE_LINE,),
    landmarks=TRUNK,
    how="forward bend at the moment − forward bend at address",
    zero="the forward bend of address",
    positive="more bent toward the ball; negative is standing up",
    range="(-180, 180]",
    degenerate="hips and shoulders coincide, seen from that side",
    holds=ANGLE_HOLDS,
    source=f"{PROJECTED}; {OFFSETS_SOURCE}",
    widest=12.0,
    measure=measure_posture_change,
    space_views=ANYWHERE,
)
