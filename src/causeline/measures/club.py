"""What the club says: where the shaft points, beside the arms and beside its own way up."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from causeline.measures.club_at import LEVEL, measure_club
from causeline.measures.club_spread import CLUB_SHARE, Held
from causeline.measures.context import (
    SwingContext,
    measure_distance_m,
    measure_pixels_per_metre,
)
from causeline.measures.spec import ANYWHERE, COMMON_PRACTICE, MeasureSpec
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.angle import direction_deg, from_vertical_deg, joint_deg, wrap_deg

CAMERA_HOLDS = (
    "camera not level, not square and not at the height of the hands, rows exposed in turn"
)
SHAFT_HOLDS = f"the shaft's own error, {CAMERA_HOLDS}, timing of the moment"
FOREARM_HOLDS = f"the shaft's own error, where elbow and wrist are seen, {CAMERA_HOLDS}, timing"
PLACE_HOLDS = f"the head's own error, {CAMERA_HOLDS}, stature in pixels, timing of the moment"


def measure_shaft_angle(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Direction of the shaft: 0 hanging straight down; see the spec for its sign."""
    return measure_club(context, SHAFT_ANGLE, (moment,), _hanging)


def measure_shaft_from_upright(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lean of the shaft, head up, from upright: near 0 the club is in balance."""
    return measure_club(context, SHAFT_FROM_UPRIGHT, (moment,), _upright)


def measure_shaft_above_forearm(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """By how much the shaft lies above the line of the trail forearm, down the line."""
    return measure_club(context, SHAFT_ABOVE_FOREARM, (moment,), _above_forearm)


def measure_shaft_steepening(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Slope of the shaft coming down less its slope going back, lead arm level both times."""
    names = (MomentName.ARM_LEVEL_BACK, moment)
    return measure_club(context, SHAFT_STEEPENING, names, _steepening)


def measure_shaft_against_address(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Slope of the shaft less that of the shaft at address."""
    names = (MomentName.ADDRESS, moment)
    return measure_club(context, SHAFT_AGAINST_ADDRESS, names, _against_address)


def measure_head_outside_hands(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far the clubhead is outside the hands, toward the ball, down the line."""
    near = _drawn_in(context)
    return measure_club(context, HEAD_OUTSIDE_HANDS, (moment,), lambda held: _outside(near(held)))


def measure_head_off_plane(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far the clubhead lies off the plane of address through the hands, down the line."""
    names = (MomentName.ADDRESS, moment)
    near = _drawn_in(context) if moment in LEVEL else _as_seen

    def formula(address: Held, held: Held) -> float:
        return _off_plane(address, near(held))

    return measure_club(context, HEAD_OFF_PLANE, names, formula)


def _as_seen(held: Held) -> Held:
    return held


def _drawn_in(context: SwingContext) -> Callable[[Held], Held]:
    """The head as it would be seen at the hands' distance.

    With the shaft level, seen down the line, it is nearer the camera than the hands, by what the
    shaft seems to lack of its length; so it is drawn in toward the picture's middle by as much.
    """
    scale = context.scale
    if isinstance(scale, Refusal):
        return _as_seen
    long_px = CLUB_SHARE * scale.stature_px.value
    away_px = measure_distance_m(context, scale) * measure_pixels_per_metre(scale)

    def drawn(held: Held) -> Held:
        seen_px = float(np.hypot(*(held.head - held.grip)))
        nearer = math.sqrt(max(long_px**2 - seen_px**2, 0.0)) / away_px
        return replace(held, head=context.centre + (held.head - context.centre) * (1 - nearer))

    return drawn


def measure_wrist_hinge(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Angle between lead forearm and shaft in the picture."""
    return measure_club(context, WRIST_HINGE, (moment,), _hinge)


def measure_shaft_lean(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """Lean of the shaft from upright with the head down, face-on: hands ahead is positive."""
    return measure_club(context, SHAFT_LEAN, (moment,), _hanging)


def measure_ball_position(context: SwingContext, moment: MomentName) -> Measure | Refusal:
    """How far the clubhead behind the ball stands from the lead ankle, face-on."""
    return measure_club(context, BALL_POSITION, (moment,), _from_lead_ankle)


def _hanging(held: Held) -> float:
    return float(from_vertical_deg(held.hosel, held.grip))


def _upright(held: Held) -> float:
    return float(from_vertical_deg(held.grip, held.hosel))


def _slope(held: Held) -> float:
    """Of a shaft with its head up: 0 level toward the golfer's back, 90 upright."""
    return 180.0 - float(direction_deg(held.grip, held.hosel))


def _above_forearm(held: Held) -> float:
    forearm = direction_deg(held.point("trail_wrist"), held.point("trail_elbow"))
    return float(wrap_deg(forearm - direction_deg(held.grip, held.hosel)))


def _steepening(back: Held, down: Held) -> float:
    return float(wrap_deg(_slope(down) - _slope(back)))


def _against_address(address: Held, down: Held) -> float:
    at_address = 180.0 - float(direction_deg(address.hosel, address.grip))
    return float(wrap_deg(_slope(down) - at_address))


def _outside(held: Held) -> float:
    return float(held.head[0] - held.grip[0])


def _off_plane(address: Held, held: Held) -> float:
    along, out = address.hosel - address.grip, held.head - held.grip
    return float((out[0] * along[1] - out[1] * along[0]) / math.hypot(*along))


def _hinge(held: Held) -> float:
    wrist = held.point("lead_wrist")
    along = wrist + (held.hosel - held.grip)
    return float(joint_deg(held.point("lead_elbow"), wrist, along))


def _from_lead_ankle(held: Held) -> float:
    return float(held.point("lead_ankle")[0] - held.head[0])


_UP = tuple(
    name
    for name in MomentName
    if name not in (MomentName.ADDRESS, MomentName.START, MomentName.IMPACT)
)

SHAFT_ANGLE = MeasureSpec(
    name="shaft_angle",
    title="Shaft, from hanging down",
    unit="°",
    moments=tuple(name for name in MomentName if name is not MomentName.FINISH),
    views=ANYWHERE,
    landmarks=(),
    how="direction of the line from grip end to head in the picture",
    zero="head straight below the grip",
    positive="head away from the target (face-on), head toward the golfer's back (down the line)",
    range="(-180, 180]",
    degenerate="the shaft points at the camera, or is not made out",
    holds=SHAFT_HOLDS,
    source=COMMON_PRACTICE,
    widest=12.0,
    measure=measure_shaft_angle,
)

SHAFT_FROM_UPRIGHT = MeasureSpec(
    name="shaft_from_upright",
    title="Shaft, from upright",
    unit="°",
    moments=(MomentName.ARM_LEVEL_BACK,),
    views=ANYWHERE,
    landmarks=(),
    how="lean of the line from grip end up to the head in the picture",
    zero="upright, head straight above the grip: in balance",
    positive="head toward the target (face-on), head toward the ball line (down the line)",
    range="(-180, 180]",
    degenerate="the shaft points at the camera, or is not made out",
    holds=SHAFT_HOLDS,
    source=COMMON_PRACTICE,
    widest=12.0,
    measure=measure_shaft_from_upright,
)

SHAFT_ABOVE_FOREARM = MeasureSpec(
    name="shaft_above_forearm",
    title="Shaft, above the trail forearm",
    unit="°",
    moments=(MomentName.ARM_LEVEL_BACK, MomentName.TOP),
    views=(View.DOWN_THE_LINE,),
    landmarks=("trail_elbow", "trail_wrist"),
    how="angle from the line trail wrist to trail elbow up to the shaft in the picture",
    zero="shaft along the forearm",
    positive="shaft above the forearm, more upright than it",
    range="(-180, 180]",
    degenerate="forearm or shaft points at the camera",
    holds=FOREARM_HOLDS,
    source=COMMON_PRACTICE,
    widest=30.0,
    measure=measure_shaft_above_forearm,
)

SHAFT_STEEPENING = MeasureSpec(
    name="shaft_steepening",
    title="Shaft coming down, against going back",
    unit="°",
    moments=(MomentName.ARM_LEVEL_DOWN,),
    views=(View.DOWN_THE_LINE,),
    landmarks=(),
    how="slope of the shaft with the lead arm level coming down, less that going back",
    zero="as steep down as up",
    positive="steeper down; negative is shallower",
    range="(-180, 180]",
    degenerate="the shaft points at the camera at either moment",
    holds=SHAFT_HOLDS,
    source=COMMON_PRACTICE,
    widest=12.0,
    measure=measure_shaft_steepening,
)

SHAFT_AGAINST_ADDRESS = MeasureSpec(
    name="shaft_against_address",
    title="Shaft coming down, against its line at address",
    unit="°",
    moments=(MomentName.ARM_LEVEL_BACK, MomentName.ARM_LEVEL_DOWN),
    views=(View.DOWN_THE_LINE,),
    landmarks=(),
    how="slope of the shaft in the picture, less the slope of the shaft at address",
    zero="parallel to the shaft at address",
    positive="steeper than at address",
    range="(-180, 180]",
    degenerate="the shaft points at the camera at either moment",
    holds=SHAFT_HOLDS,
    source=COMMON_PRACTICE,
    widest=12.0,
    measure=measure_shaft_against_address,
)

HEAD_OUTSIDE_HANDS = MeasureSpec(
    name="head_outside_hands",
    title="Clubhead, outside the hands",
    unit="% of stature",
    moments=(MomentName.SHAFT_LEVEL_BACK,),
    views=(View.DOWN_THE_LINE,),
    landmarks=(),
    how="horizontal distance from grip end to the middle of the head, its nearness to the camera "
    "taken out",
    zero="head straight behind the hands, away from the target",
    positive="outside: toward the ball line; negative is inside",
    range="any",
    degenerate="the club is not made out",
    holds=PLACE_HOLDS,
    source=COMMON_PRACTICE,
    widest=14.0,
    measure=measure_head_outside_hands,
)

HEAD_OFF_PLANE = MeasureSpec(
    name="head_off_plane",
    title="Clubhead, off the plane of address",
    unit="% of stature",
    moments=(
        MomentName.SHAFT_LEVEL_BACK,
        MomentName.ARM_LEVEL_BACK,
        MomentName.TOP,
        MomentName.ARM_LEVEL_DOWN,
        MomentName.SHAFT_LEVEL_DOWN,
    ),
    views=(View.DOWN_THE_LINE,),
    landmarks=(),
    how="distance of the middle of the head from the line through the grip end that is parallel to "
    "the shaft at address; with the shaft level, the head's nearness to the camera is taken out",
    zero="head on that line",
    positive="above the plane, toward the ball: steeper; negative is below it, behind the golfer",
    range="any",
    degenerate="the club is not made out at either moment",
    holds=PLACE_HOLDS,
    source=COMMON_PRACTICE,
    widest=14.0,
    measure=measure_head_off_plane,
)

WRIST_HINGE = MeasureSpec(
    name="wrist_hinge",
    title="Lead forearm to shaft",
    unit="°",
    moments=(
        MomentName.ARM_LEVEL_BACK,
        MomentName.TOP,
        MomentName.ARM_LEVEL_DOWN,
        MomentName.SHAFT_LEVEL_DOWN,
        MomentName.IMPACT,
    ),
    views=(View.FACE_ON,),
    landmarks=("lead_elbow", "lead_wrist"),
    how="angle between the line lead wrist to lead elbow and the shaft in the picture",
    zero="shaft folded back onto the forearm; 90 is fully hinged for most, 180 is in line",
    positive="less hinged",
    range="[0, 180], without a sign; a projection, not the wrist joint's own angle",
    degenerate="forearm or shaft points at the camera",
    holds=FOREARM_HOLDS,
    source=COMMON_PRACTICE,
    widest=20.0,
    measure=measure_wrist_hinge,
)

SHAFT_LEAN = MeasureSpec(
    name="shaft_lean",
    title="Shaft lean, hands ahead",
    unit="°",
    moments=(MomentName.ADDRESS, MomentName.IMPACT),
    views=(View.FACE_ON,),
    landmarks=(),
    how="lean of the line from head up to grip end in the picture",
    zero="upright",
    positive="grip toward the target, hands ahead of the head",
    range="(-180, 180]",
    degenerate="the club is not made out",
    holds=SHAFT_HOLDS,
    source=COMMON_PRACTICE,
    widest=12.0,
    measure=measure_shaft_lean,
)

BALL_POSITION = MeasureSpec(
    name="ball_position",
    title="Clubhead at address, behind the lead ankle",
    unit="% of stature",
    moments=(MomentName.ADDRESS,),
    views=(View.FACE_ON,),
    landmarks=("lead_ankle",),
    how="distance from the lead ankle to the middle of the head along the picture's horizontal",
    zero="head in line with the lead ankle",
    positive="head farther from the target than the ankle",
    range="any",
    degenerate="ankle or head unseen",
    holds=PLACE_HOLDS,
    source=COMMON_PRACTICE,
    widest=8.0,
    measure=measure_ball_position,
)
