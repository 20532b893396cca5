"""Advice from where the golfer is in the picture, and when."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.pose import measure_pose
from causeline.model.clip import View
from causeline.model.filming import Advice, Severity
from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats, direction_deg, wrap_deg
from causeline.quantities.length import Scale

SMALL_PX, TINY_PX = 350.0, 200.0
"""Stature in the picture: below the first the landmark engine has to enlarge the golfer (it looks
at 256 pixels), below the second an error of one pixel is 0.9 cm."""

CLUB_REACH = 0.5
"""How far the club reaches beyond the hands, as a share of stature: 1.14 m of driver less the grip,
in 1.75 m, seldom quite in the picture's plane."""

TILTED_DEG = 5.0
OFF_AXIS_DEG = 20.0
"""Feet tell roll to about 3° and a camera off the line to about 10°; less is not spoken of."""

TYPICAL_STANCE = 0.27
"""Ankle to ankle as a share of stature, for a full swing: common practice, from memory."""

MOVED_SHARE = 0.03
FEET = ("ankle", "heel")
PART_COSTS = {
    MomentName.ADDRESS: Severity.COSTS,
    MomentName.TOP: Severity.SPOILS,
    MomentName.IMPACT: Severity.SPOILS,
    MomentName.FINISH: Severity.NOTE,
}

BodyCheck = Callable[[SwingContext], Advice | None]


def _too_small(swing: SwingContext) -> Advice | None:
    if not isinstance(swing.scale, Scale) or swing.scale.stature_px.value >= SMALL_PX:
        return None
    size = swing.scale.stature_px.value
    return Advice(
        "too_small",
        Severity.SPOILS if size < TINY_PX else Severity.COSTS,
        f"You are only {size:.0f} pixels tall in the picture. Come nearer, turn the phone upright, "
        "or film at a higher resolution, until you fill two thirds of its height.",
    )


def _leaves_picture(swing: SwingContext) -> Advice | None:
    xy, body = swing.body.xy, swing.body
    outside = np.any((xy < 0) | (xy > _far_corner(swing)), axis=2)
    names = [BODY_LANDMARKS[i] for i in np.flatnonzero(np.any(outside, axis=0))]
    if not names:
        return None
    frames = int(np.any(outside, axis=1).sum())
    parts = ", ".join(dict.fromkeys(_body_part(name) for name in names))
    return Advice(
        "leaves_picture",
        Severity.SPOILS if frames > len(body) / 2 else Severity.COSTS,
        f"Part of you leaves the picture ({parts}; {frames} of {len(body)} frames). Stand the "
        "camera farther away, or turn it, so that there is room on all sides.",
    )


def _club_leaves_picture(swing: SwingContext) -> Advice | None:
    """By the hands' distance from the left, upper and right edge; below is the ground."""
    if not isinstance(swing.scale, Scale) or _leaves_picture(swing):
        return None
    reach = CLUB_REACH * swing.scale.stature_px.value
    hands = swing.body.middle("wrist")
    right = _far_corner(swing)[0] - hands[:, 0]
    room = np.column_stack([hands, right])
    if not np.any(room < reach):
        return None
    return Advice(
        "club_leaves_picture",
        Severity.NOTE,
        "Your hands come so near the edge of the picture that the club may leave it. Leave a "
        "club's length of room around your hands.",
    )


def _tilted(swing: SwingContext) -> Advice | None:
    """Only face-on: down the line the feet lie one behind the other and show no level line."""
    if swing.view is not View.FACE_ON:
        return None
    address = _address(swing)
    slopes = [_slope_deg(address[f"trail_{part}"], address[f"lead_{part}"]) for part in FEET]
    slope = float(np.mean(slopes))
    if not abs(slope) > TILTED_DEG:
        return None
    side = "target" if slope > 0 else "other"
    return Advice(
        "tilted",
        Severity.COSTS,
        f"The line of your feet rises by about {abs(slope):.0f}° to the {side} side. Unless the "
        "ground does, the camera is tilted, and every lean is off by as much: hold it level.",
    )


def _off_axis(swing: SwingContext) -> Advice | None:
    """Only down the line, where the two ankles should lie one behind the other."""
    if swing.view is not View.DOWN_THE_LINE or not isinstance(swing.scale, Scale):
        return None
    address = _address(swing)
    apart = abs(float(address["lead_ankle"][0] - address["trail_ankle"][0]))
    stance = TYPICAL_STANCE * swing.scale.stature_px.value
    off = math.degrees(math.asin(min(1.0, apart / stance))) if math.isfinite(apart) else math.nan
    if not off > OFF_AXIS_DEG:
        return None
    return Advice(
        "off_axis",
        Severity.COSTS,
        f"The camera seems to stand about {off:.0f}° off the line through your feet (to ±10°). "
        "Stand it behind your hands, at hand height, and point it along a line to the target.",
    )


def _camera_moved(swing: SwingContext) -> Advice | None:
    """Both ankles moving alike from address to impact is the camera, not the golfer."""
    impact = swing.moments.get(MomentName.IMPACT) or swing.moments.get(MomentName.TOP)
    if impact is None or not isinstance(swing.scale, Scale):
        return None
    address = _address(swing)
    later = _pose(swing, impact.time_s)
    ankles = ("lead_ankle", "trail_ankle")
    moves = np.stack([later[name] - address[name] for name in ankles])
    alike = np.where(np.sign(moves[0]) == np.sign(moves[1]), np.min(np.abs(moves), axis=0), 0.0)
    if not float(np.hypot(*alike)) > MOVED_SHARE * swing.scale.stature_px.value:
        return None
    return Advice(
        "camera_moved",
        Severity.COSTS,
        "Both your feet move alike in the picture, so the camera seems to have moved. How far your "
        "head and pelvis travel is off by as much. Put the phone on a stand.",
    )


def _part_missing(swing: SwingContext) -> Advice | None:
    missing = [name for name in PART_COSTS if swing.moments.get(name) is None]
    if not missing:
        return None
    told = " and ".join(missing)
    return Advice(
        "part_missing",
        max((PART_COSTS[name] for name in missing), key=list(Severity).index),
        f"The clip does not show the whole swing: {told} could not be found. Start filming two "
        "seconds before you move, and stop after you hold your finish.",
    )


def _address(swing: SwingContext) -> dict[str, Floats]:
    stand = swing.moments.get(MomentName.ADDRESS) or swing.moments.get(MomentName.START)
    return _pose(swing, stand.time_s if stand else math.inf)


def _pose(swing: SwingContext, time_s: float) -> dict[str, Floats]:
    pose = measure_pose(swing.body, BODY_LANDMARKS, time_s)
    return dict(zip(pose.names, pose.xy, strict=True))


def _slope_deg(trail: Floats, lead: Floats) -> float:
    """Slope of a line across the picture, in (-90, 90]; positive counter-clockwise as seen."""
    slope = float(direction_deg(trail, lead))
    return float(wrap_deg(2 * slope)) / 2


def _far_corner(swing: SwingContext) -> Floats:
    return np.array([swing.clip.width - 1.0, swing.clip.height - 1.0])


def _body_part(name: str) -> str:
    part = name.rsplit("_", 1)[-1]
    groups = {
        "head": ("nose", "ear"),
        "arms": ("shoulder", "elbow"),
        "hands": ("wrist", "knuckle"),
        "legs": ("hip", "knee"),
        "feet": ("ankle", "heel", "toe"),
    }
    return next(group for group, members in groups.items() if part in members)


BODY_CHECKS: tuple[BodyCheck, ...] = (
    _too_small,
    _leaves_picture,
    _club_leaves_picture,
    _tilted,
    _off_axis,
    _camera_moved,
    _part_missing,
)
