"""What a measure looks like on the picture: the way that was moved, the angle that is enclosed.

Points are pixels of the clip as it is shown. A measure that is not in `SHAPES` has no drawing: its
number stands beside the picture.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from causeline.model.clip import View
from causeline.model.measures import Measure
from causeline.model.moments import Moment, MomentName
from causeline.model.reading import Swing
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

ARC_SHARE = 0.45
"""Radius of an angle's arc, as a share of its shorter leg."""
ARC_POINTS = 24
TRAVELS = ("_toward_target", "_toward_ball", "_rise")
"""Ends of the names of measures that are ways since address."""
ARROW_SHARE = 0.02
"""Half-width of an arrow's head, as a share of the golfer's height in the picture."""


@dataclass(frozen=True, slots=True, eq=False)
class MarkLine:
    """One line of a drawing."""

    points: Floats
    """(n, 2) pixels of the clip as it is shown."""
    guide: bool
    """A line to measure from, drawn thin and broken; otherwise what was measured."""


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """A measure drawn at one frame."""

    measure: Measure
    lines: tuple[MarkLine, ...]
    label_at: Floats
    """(2,) near which the number may stand."""
    travel: bool = False
    """An arrow shows which way: the number needs no sign."""


@dataclass(frozen=True, slots=True, eq=False)
class _At:
    """One frame of a swing, and the frame of address."""

    swing: Swing
    row: int
    address: int

    def point(self, name: str, row: int | None = None) -> Floats:
        """(2,) a landmark, the middle of a pair, or an end of the club; NaN where unknown."""
        row = self.row if row is None else row
        if name in ("grip", "clubhead", "shaft_end"):
            return self._club(name, row)
        xy = self.swing.body.shown_xy()[row]
        if name in BODY_LANDMARKS:
            return np.asarray(xy[BODY_LANDMARKS.index(name)])
        pair = [xy[BODY_LANDMARKS.index(f"{side}_{name}")] for side in ("lead", "trail")]
        return np.asarray(np.mean(pair, axis=0))

    def _club(self, name: str, row: int) -> Floats:
        club, body = self.swing.club, self.swing.body
        if club is None:
            return np.full(2, np.nan)
        ends = {"grip": club.grip, "clubhead": club.head, "shaft_end": club.shaft_end()}
        point = ends[name][row].astype(float)
        if body.mirrored:
            point[0] = body.width - 1 - point[0]
        return np.asarray(point)

    @property
    def tall(self) -> float:
        """Height of the golfer at address, pixels."""
        ear, ankle = self.point("ear", self.address), self.point("ankle", self.address)
        return float(abs(ankle[1] - ear[1]))


_Drawn = tuple[list[MarkLine], Floats]
_Shape = Callable[[_At], _Drawn]


def render_mark(swing: Swing, measure: Measure, view: View) -> Mark | None:
    """The drawing of one measure; None where this view has none, or a point is not known."""
    shape, views = SHAPES.get(measure.name.removesuffix("_percent"), (None, ()))
    moment = swing.moments.get(measure.moment) if measure.moment else None
    address = swing.moments.get(MomentName.ADDRESS) or swing.moments.get(MomentName.START)
    if shape is None or view not in views or moment is None or address is None:
        return None
    lines, label = shape(_At(swing, _row(swing, moment), _row(swing, address)))
    everything = np.concatenate([label[None], *(line.points for line in lines)])
    if not np.isfinite(everything).all():
        return None
    travel = measure.name.removesuffix("_percent").endswith(TRAVELS)
    return Mark(measure, tuple(lines), label, travel)


def _row(swing: Swing, moment: Moment) -> int:
    return int(np.argmin(np.abs(swing.body.frames - moment.frame)))


def _across(name: str) -> _Shape:
    """From a plumb line through the place at address to the place now."""

    def drawn(at: _At) -> _Drawn:
        was, now = at.point(name, at.address), at.point(name)
        half = 0.16 * at.tall
        plumb = np.array([[was[0], now[1] - half], [was[0], now[1] + half]])
        begin = np.array([was[0], now[1]])
        return [MarkLine(plumb, True), *_arrow(begin, now, at.tall)], plumb[1] + (0, 0.02 * at.tall)

    return drawn


def _upward(name: str) -> _Shape:
    """From a level line at the height of address to the height now."""

    def drawn(at: _At) -> _Drawn:
        was, now = at.point(name, at.address), at.point(name)
        half = 0.16 * at.tall
        level = np.array([[now[0] - half, was[1]], [now[0] + half, was[1]]])
        begin = np.array([now[0], was[1]])
        return [MarkLine(level, True), *_arrow(begin, now, at.tall)], level[1] + (0.02 * at.tall, 0)

    return drawn


def _from_plumb(low: str, high: str, down: bool = False) -> _Shape:
    """The angle between a plumb line and the line from one point to another."""

    def drawn(at: _At) -> _Drawn:
        corner, end = at.point(low), at.point(high)
        long = float(np.hypot(*(end - corner)))
        plumb = corner + np.array([0.0, long if down else -long])
        return _angle(corner, plumb, end)

    return drawn


def _from_level(low: str, high: str) -> _Shape:
    def drawn(at: _At) -> _Drawn:
        corner, end = at.point(low), at.point(high)
        long = float(np.hypot(*(end - corner)))
        way = 1.0 if end[0] >= corner[0] else -1.0
        return _angle(corner, corner + np.array([way * long, 0.0]), end)

    return drawn


def _joint(first: str, corner: str, second: str) -> _Shape:
    def drawn(at: _At) -> _Drawn:
        lines, label = _angle(at.point(corner), at.point(first), at.point(second))
        return [MarkLine(line.points, False) for line in lines], label

    return drawn


def _since_address(low: str, high: str) -> _Shape:
    """The line as it was at address, moved onto its own lower end, and as it is now."""

    def drawn(at: _At) -> _Drawn:
        was = at.point(high, at.address) - at.point(low, at.address)
        corner = at.point(low)
        return _angle(corner, corner + was, at.point(high))

    return drawn


def _against_address_shaft(at: _At) -> _Drawn:
    """The shaft's line at address, run on upward, and the clubhead now."""
    grip, end = at.point("grip", at.address), at.point("shaft_end", at.address)
    head = at.point("clubhead")
    line = np.stack([end, end + 2.4 * (grip - end)])
    along = (grip - end) / max(float(np.hypot(*(grip - end))), 1e-9)
    foot = end + along * float((head - end) @ along)
    return [MarkLine(line, True), *_arrow(foot, head, at.tall)], head


def _turning(part: str) -> _Shape:
    """The line that turns, run on to both sides: its turn itself is not to be seen in a picture."""

    def drawn(at: _At) -> _Drawn:
        lead, trail = at.point(f"lead_{part}"), at.point(f"trail_{part}")
        more = 0.3 * (lead - trail)
        ends = np.stack([trail - more, lead + more])
        return [MarkLine(ends, False)], ends.mean(axis=0) + np.array([0.0, 0.04 * at.tall])

    return drawn


def _apart(first: str, second: str) -> _Shape:
    def drawn(at: _At) -> _Drawn:
        ends = np.stack([at.point(first), at.point(second)])
        low = ends + np.array([0.0, 0.05 * at.tall])
        return [MarkLine(low, False)], low.mean(axis=0) + np.array([0.0, 0.02 * at.tall])

    return drawn


def _angle(corner: Floats, first: Floats, second: Floats) -> _Drawn:
    """Two legs and the arc between them on the shorter way round."""
    legs = [first - corner, second - corner]
    start, stop = (float(np.arctan2(leg[1], leg[0])) for leg in legs)
    sweep = (stop - start + np.pi) % (2 * np.pi) - np.pi
    radius = ARC_SHARE * min(float(np.hypot(*leg)) for leg in legs)
    turn = start + sweep * np.linspace(0, 1, ARC_POINTS)
    arc = corner + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    label = corner + 1.25 * radius * np.array(
        [np.cos(start + sweep / 2), np.sin(start + sweep / 2)]
    )
    guides = [MarkLine(np.stack([corner, first]), True)]
    return [*guides, MarkLine(np.stack([corner, second]), False), MarkLine(arc, False)], label


def _arrow(start: Floats, end: Floats, tall: float) -> list[MarkLine]:
    """A line and its head; a way shorter than the head is drawn without."""
    way = end - start
    length = float(np.hypot(*way))
    shaft = MarkLine(np.stack([start, end]), False)
    size = ARROW_SHARE * tall
    if not length > 2 * size:
        return [shaft]
    along = way / length
    side = np.array([-along[1], along[0]])
    back = end - 1.6 * size * along
    return [shaft, MarkLine(np.stack([back + size * side, end, back - size * side]), False)]


_FACE_ON, _BEHIND = (View.FACE_ON,), (View.DOWN_THE_LINE,)
_ANY = (*_FACE_ON, *_BEHIND)

SHAPES: dict[str, tuple[_Shape, tuple[View, ...]]] = {
    "head_toward_target": (_across("ear"), _FACE_ON),
    "head_toward_ball": (_across("ear"), _BEHIND),
    "head_rise": (_upward("ear"), _ANY),
    "pelvis_toward_target": (_across("hip"), _FACE_ON),
    "pelvis_toward_ball": (_across("hip"), _BEHIND),
    "pelvis_rise": (_upward("hip"), _ANY),
    "lead_knee_toward_target": (_across("lead_knee"), _FACE_ON),
    "lead_knee_toward_ball": (_across("lead_knee"), _BEHIND),
    "lead_knee_rise": (_upward("lead_knee"), _ANY),
    "trunk_forward_bend": (_from_plumb("hip", "shoulder"), _BEHIND),
    "trunk_side_bend": (_from_plumb("hip", "shoulder"), _FACE_ON),
    "posture_change": (_since_address("hip", "shoulder"), _BEHIND),
    "lead_arm_angle": (_from_plumb("lead_shoulder", "lead_wrist", down=True), _FACE_ON),
    "lead_elbow_angle": (_joint("lead_shoulder", "lead_elbow", "lead_wrist"), _ANY),
    "trail_elbow_angle": (_joint("trail_shoulder", "trail_elbow", "trail_wrist"), _ANY),
    "lead_knee_flexion": (_joint("lead_hip", "lead_knee", "lead_ankle"), _BEHIND),
    "shoulder_turn": (_turning("shoulder"), _ANY),
    "shoulder_turn_level": (_turning("shoulder"), _ANY),
    "pelvis_turn": (_turning("hip"), _ANY),
    "stance_width": (_apart("lead_ankle", "trail_ankle"), _FACE_ON),
    "shaft_angle": (_from_level("grip", "shaft_end"), _ANY),
    "shaft_from_upright": (_from_plumb("grip", "shaft_end"), _ANY),
    "shaft_lean": (_from_plumb("shaft_end", "grip"), _FACE_ON),
    "wrist_hinge": (_joint("lead_elbow", "lead_wrist", "shaft_end"), _FACE_ON),
    "shaft_above_forearm": (_joint("lead_elbow", "lead_wrist", "shaft_end"), _BEHIND),
    "head_off_plane": (_against_address_shaft, _BEHIND),
    "shaft_against_address": (_against_address_shaft, _BEHIND),
}
"""By a measure's name without `_percent`; drawn only in the views whose picture shows it, though
the number may come from two views together."""
