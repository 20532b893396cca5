"""What stands on a row's picture, as shapes: as `frontend/src/scene/describe.ts` has it.

Places are clip pixels as the clip shows them. Widths, sizes of signs and of letters are those of a
picture `REFERENCE_PX` high on the screen, whatever the zoom. A fixture that both sides' tests read
holds the two together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, sin

import numpy as np

from causeline.model.talk import Layers
from causeline.quantities.angle import Floats
from causeline.render.talk_facts import SwingFacts
from causeline.render.talk_measured import (
    Mark,
    render_mark_number,
    render_placed,
    render_spots,
)

REFERENCE_PX = 720
SURE = 0.5
LABEL_SIZE = 15.0
ARC_SHARE = 0.3
BONES = (
    ("ear", "shoulder"),
    ("shoulder", "elbow"),
    ("elbow", "wrist"),
    ("shoulder", "hip"),
    ("hip", "knee"),
    ("knee", "ankle"),
    ("heel", "toe"),
)
ACROSS = ("shoulder", "hip")
JOINTS = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """A line through points."""

    points: Floats
    """(n, 2)"""
    ink: str
    width: float
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Area:
    """What an edge encloses, filled."""

    points: Floats
    """(n, 2)"""
    ink: str


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A circle; its radius is clip pixels."""

    at: Floats
    radius: float
    ink: str
    width: float


@dataclass(frozen=True, slots=True, eq=False)
class Sign:
    """A small sign at a point: full, hollow, or square where a person set it."""

    at: Floats
    form: str
    size: float
    ink: str


@dataclass(frozen=True, slots=True, eq=False)
class Text:
    """Words at a point."""

    at: Floats
    text: str
    ink: str
    size: float


Shape = Path | Area | Ring | Sign | Text


def render_shapes(
    facts: SwingFacts, frame: int, mirrored: bool, layers: Layers, marks: Sequence[Mark]
) -> list[Shape]:
    """Everything on the picture, the first undermost. A mark that makes no sense is left out."""
    row = facts.row(frame)
    shapes: list[Shape] = []
    if layers.body:
        shapes += _body(facts, row, frame)
    if layers.club:
        shapes += _club(facts, row, frame)
    if layers.marks:
        for mark in marks:
            try:
                if _is_shown(mark, facts, frame):
                    shapes += _drawn(mark, facts, frame, mirrored, layers.numbers)
            except (KeyError, TypeError, ValueError, IndexError):
                continue  # of a newer version, or not made by the bench
    return shapes


def _is_shown(mark: Mark, facts: SwingFacts, frame: int) -> bool:
    """Whether a mark is there at a frame: between its moments, where both are known."""
    first, last = (facts.moments.get(mark.get(end) or "") for end in ("from", "to"))
    return (first is None or frame >= first) and (last is None or frame <= last)


def _body(facts: SwingFacts, row: int, frame: int) -> list[Shape]:
    """The lead side is drawn whole, the trail side broken."""
    shapes: list[Shape] = []
    for side, dash in (("trail", (5.0, 4.0)), ("lead", ())):
        for start, end in BONES:
            shapes += _line(facts, row, (f"{side}_{start}", f"{side}_{end}"), dash)
    for part in ACROSS:
        shapes += _line(facts, row, (f"trail_{part}", f"lead_{part}"), ())
    for part in JOINTS:
        for side in ("trail", "lead"):
            shapes += _sign(facts, f"{side}_{part}", row, frame, "body")
    return shapes


def _line(
    facts: SwingFacts, row: int, ends: tuple[str, str], dash: tuple[float, ...]
) -> list[Shape]:
    points = np.stack([facts.point(name, row) for name in ends])
    return [Path(points, "body", 1.6, dash)] if np.isfinite(points).all() else []


def _club(facts: SwingFacts, row: int, frame: int) -> list[Shape]:
    points = np.stack([facts.point(name, row) for name in ("grip", "hosel")])
    if not np.isfinite(points).all():
        return []
    dash = () if facts.sure("hosel", row) >= SURE else (3.0, 5.0)
    signs = [_sign(facts, name, row, frame, "club") for name in ("grip", "head")]
    return [Path(points, "club", 2.2, dash), *signs[0], *signs[1]]


def _sign(facts: SwingFacts, name: str, row: int, frame: int, ink: str) -> list[Shape]:
    at = facts.point(name, row)
    if not np.isfinite(at).all():
        return []
    by_hand = frame in facts.touched.get(name, ())
    form = "square" if by_hand else "full" if facts.sure(name, row) >= SURE else "hollow"
    return [Sign(at, form, 5.0 if by_hand else 3.0, ink)]


def _drawn(mark: Mark, facts: SwingFacts, frame: int, mirrored: bool, numbers: bool) -> list[Shape]:
    ink = f"ink{int(mark.get('ink', 0))}"
    points = [one.at for one in render_spots(mark, facts, frame)]
    shapes = _lines(mark, facts, frame, points, ink)
    at = _label_place(mark, points)
    number = render_mark_number(mark, facts, frame, mirrored) if numbers else ""
    words = "  ".join(part for part in (str(mark.get("text", "")), number) if part)
    if at is not None and words:
        shapes.append(Text(at, words, ink, LABEL_SIZE))
    return shapes


def _lines(
    mark: Mark, facts: SwingFacts, frame: int, points: list[Floats], ink: str
) -> list[Shape]:
    match mark["kind"]:
        case "line":
            return _path(points, ink)
        case "angle":
            return [*_path(points, ink), *_arc(points, ink)]
        case "arrow":
            return [*_path(points, ink), *_path(_barbs(points), ink)]
        case "circle":
            return _ring(points, ink)
        case "freehand":
            spots = mark.get("outline") or mark["spots"]
            row = facts.row(frame)
            edge = [render_placed(spot, facts, row).at for spot in spots]
            return [Area(np.stack(edge), ink)] if edge else []
        case "follow":
            return _followed(mark, facts, frame, points, ink)
    return []


def _path(points: Sequence[Floats], ink: str) -> list[Shape]:
    if len(points) < 2 or not np.isfinite(points).all():
        return []
    return [Path(np.stack(points), ink, 2.6)]


def _ring(points: list[Floats], ink: str) -> list[Shape]:
    if len(points) < 2 or not np.isfinite(points[:2]).all():
        return []
    return [Ring(points[0], hypot(*(points[1] - points[0])), ink, 2.6)]


def _followed(
    mark: Mark, facts: SwingFacts, frame: int, points: list[Floats], ink: str
) -> list[Shape]:
    """A followed line is drawn on past its ends, so that it can be laid against something."""
    follow = mark["follow"]
    if follow in ("head_path", "hands_path"):
        return _way(mark, facts, frame, ink)
    if len(points) < 2 or not np.isfinite(points).all():
        return []
    way = points[1] - points[0]
    back, on = (0.1, 1.2) if follow == "address_shaft" else (0.5, 0.5)
    ends = np.stack([points[0] - back * way, points[1] + on * way])
    return [Path(ends, ink, 1.4, (7.0, 5.0)), Path(np.stack(points), ink, 2.6)]


def _way(mark: Mark, facts: SwingFacts, frame: int, ink: str) -> list[Shape]:
    """The way that a point has come since the club left the ball; broken, the way still to go."""
    name = "head" if mark["follow"] == "head_path" else "hands"
    row = facts.row(frame)
    first = _row_at(facts, mark.get("from") or "start", 0)
    last = _row_at(facts, mark.get("to") or "finish", len(facts.frames) - 1)

    def stretch(low: int, high: int) -> Floats:
        way = [facts.point(name, at) for at in range(max(low, 0), high + 1)]
        return np.array([at for at in way if np.isfinite(at).all()]).reshape(-1, 2)

    gone, coming = stretch(first, min(row, last)), stretch(max(row, first), last)
    return [Path(coming, ink, 1.2, (2.0, 6.0)), Path(gone, ink, 2.6)]


def _row_at(facts: SwingFacts, moment: str, otherwise: int) -> int:
    frame = facts.moments.get(moment)
    return otherwise if frame is None else facts.row(frame)


def _arc(points: list[Floats], ink: str) -> list[Shape]:
    if len(points) < 3 or not np.isfinite(points).all():
        return []
    joint = points[1]
    legs = [points[0] - joint, points[2] - joint]
    radius = ARC_SHARE * min(hypot(*leg) for leg in legs)
    start, end = (atan2(leg[1], leg[0]) for leg in legs)
    turn = atan2(sin(end - start), cos(end - start))
    at = start + turn * np.arange(25) / 24
    return [Path(joint + radius * np.column_stack([np.cos(at), np.sin(at)]), ink, 1.6)]


def _barbs(points: list[Floats]) -> list[Floats]:
    if len(points) < 2:
        return []
    back = points[0] - points[1]
    long = hypot(*back)
    back = back * min(0.25 * long, 28.0) / max(long, 1e-9)

    def turned(by: float) -> Floats:
        return np.array(
            [back[0] * cos(by) - back[1] * sin(by), back[0] * sin(by) + back[1] * cos(by)]
        )

    return [points[1] + turned(0.45), points[1], points[1] + turned(-0.45)]


def _label_place(mark: Mark, points: list[Floats]) -> Floats | None:
    if not points:
        return None
    second = mark["kind"] in ("angle", "follow", "arrow") and len(points) > 1
    at = points[1] if second else points[0]
    return at if np.isfinite(at).all() else None
