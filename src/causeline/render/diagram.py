"""A drill's picture: an SVG from its data, for a page, a screen in the hand, or print.

Colours stand as attributes, so that the picture is whole by itself, and every element has a class,
so that a page with a dark paper overrides them with `DIAGRAM_CSS`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from html import escape

from causeline.model.clip import Hand
from causeline.model.drill import Diagram, Mark, Seen
from causeline.render.figures import BEHIND, FACE_ON, Point, Pose

WIDTH = 360.0
"""Units across; a page shows it about as wide as a phone, so that a unit is a pixel."""
TALLEST = 330.0
MARGIN = 14.0
TEXT = 13.5
LETTER = 0.55
"""Mean width of a letter, in its size."""

INK, QUIET, HAIR, MARK = "#0d2335", "#4a6072", "#c3cfd6", "#b23a1c"
NEAR, FAR, PAPER, SOFT, TOOL = "#aebfca", "#ccd8df", "#f7f9f9", "#e6cfae", "#8a6414"

DIAGRAM_CSS = """
.dg-ink { stroke: var(--ink); } .dg-fill { fill: var(--ink); } .dg-text { fill: var(--ink); }
.dg-hair { stroke: var(--hair); } .dg-quiet { stroke: var(--quiet); }
.dg-mark { stroke: var(--mark); } .dg-tip { fill: var(--mark); }
.dg-tool { stroke: var(--tool, #8a6414); } .dg-tool-fill { fill: var(--tool, #8a6414); }
.dg-near, .dg-far, .dg-halo { stroke: var(--paper); } .dg-hollow { fill: var(--paper); }
.dg-near { fill: var(--near, #aebfca); } .dg-far { fill: var(--far, #ccd8df); }
""".strip()


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where a centimetre lies in the picture."""

    scale: float
    left: float
    top: float
    side: float
    """1, or -1 where the picture is mirrored."""

    def at(self, point: Point) -> Point:
        return (
            (self.side * point[0] - self.left) * self.scale + MARGIN,
            (self.top - point[1]) * self.scale + MARGIN,
        )


def render_diagram(diagram: Diagram, hand: Hand = Hand.RIGHT) -> str:
    """The picture as one `<svg>` element with its caption as title, mirrored for a left-hander."""
    side = 1.0 if hand is Hand.RIGHT else -1.0
    sheet, height = _sheet(diagram, side)
    parts = list(_ground(diagram, sheet))
    for layer in _LAYERS:
        for mark in diagram.marks:
            if mark.kind in layer:
                parts += _DRAWN[mark.kind](mark, sheet, diagram.seen)
    return (
        f'<svg class="dg" viewBox="0 0 {WIDTH:g} {_n(height)}" role="img" '
        f'xmlns="http://www.w3.org/2000/svg"><title>{escape(diagram.caption)}</title>'
        f"{''.join(parts)}</svg>"
    )


def _sheet(diagram: Diagram, side: float) -> tuple[_Sheet, float]:
    """The largest scale at which everything fits, labels with their whole width."""
    points = [point for mark in diagram.marks for point in _corners(mark, diagram.seen)]
    if diagram.seen is not Seen.ABOVE:
        points.append((0.0, 0.0))
    labels = [mark for mark in diagram.marks if mark.kind == "label"]
    low, high = min(y for _, y in points), max(y for _, y in points)
    scale = min((TALLEST - 2 * MARGIN) / max(high - low, 1.0), 2.4)
    for _ in range(8):
        halves = [(mark.at[0] * side, _text_half(mark) / scale) for mark in labels]
        xs = [side * x for x, _ in points] + [x + d for x, half in halves for d in (-half, half)]
        wide = max(xs) - min(xs)
        scale = min(scale, (WIDTH - 2 * MARGIN) / wide)
    spare = (WIDTH - 2 * MARGIN) / scale - (max(xs) - min(xs))
    sheet = _Sheet(scale, min(xs) - spare / 2, high, side)
    return sheet, (high - low) * scale + 2 * MARGIN


def _corners(mark: Mark, seen: Seen) -> list[Point]:
    """Points that have to be in the picture."""
    (x, y), to = mark.at, mark.to
    if mark.kind == "golfer":
        pose = _pose(mark, seen)
        joints = [pose.head, *pose.toes, *pose.hands, *([pose.club] if pose.club else [])]
        spread = [(x + px, y + py) for px, py in joints]
        top = (x + pose.head[0], y + pose.head[1] + 14)
        return [*spread, top]
    if mark.kind == "feet":
        half = x / 2 + 12
        return [(-half, y - 10), (half, y + 32)]
    if mark.kind == "label":
        return [(x, y + 6), (x, y - 6), *([to] if to else [])]
    if mark.kind in {"arrow", "line", "stick", "pole", "club", "wall"} and to:
        return [mark.at, to, _middle(mark.at, to, mark.bend)]
    return [(x - 10, y - 10), (x + 10, y + 10)]


def _pose(mark: Mark, seen: Seen) -> Pose:
    poses = BEHIND if seen is Seen.BEHIND else FACE_ON
    return poses.get(mark.pose, poses["address"])


def _ground(diagram: Diagram, sheet: _Sheet) -> Iterable[str]:
    if diagram.seen is Seen.ABOVE:
        return
    y = sheet.at((0.0, 0.0))[1]
    yield f'<path class="dg-hair" d="M{MARGIN:g} {_n(y)}H{WIDTH - MARGIN:g}" {_line(HAIR, 1.5)}/>'


def _feet(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """Two soles as seen from above, the width between the heels in `at`'s first number."""
    width, y = mark.at
    back = {"closed": (-14.0, 0.0), "open": (0.0, -14.0), "trail_toe": (-24.0, 0.0)}
    offsets = back.get(mark.pose, (0.0, 0.0))
    parts = []
    for sign, offset in ((-1, offsets[0]), (1, offsets[1])):
        heel = (sign * width / 2, y + offset)
        toe = (heel[0] + sign * 5, heel[1] + 24)
        parts.append(_limb(sheet, heel, 4.2, toe, 5.4, ("dg-near", NEAR)))
    return parts


def _shoulders(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """A golfer from above: shoulders and head; `bend` is their turn in quarter turns."""
    x, y = mark.at
    turn = mark.bend * math.pi / 2
    dx, dy = 20 * math.cos(turn), 20 * math.sin(turn)
    body, head = ("dg-far", FAR), ("dg-near", NEAR)
    if mark.pose == "shadow":
        body = head = ("dg-far", HAIR)
    return [
        _limb(sheet, (x - dx, y - dy), 8, (x + dx, y + dy), 8, body),
        _disc(sheet, (x, y + 3), 10, head),
    ]


def _golfer(mark: Mark, sheet: _Sheet, seen: Seen) -> list[str]:
    pose, (x, y) = _pose(mark, seen), mark.at

    def put(point: Point) -> Point:
        return point[0] + x, point[1] + y

    far, near = (1, 0) if seen is Seen.BEHIND else (0, 1)
    parts = [*_leg(sheet, pose, far, put, FAR), *_arm(sheet, pose, far, put, FAR)]
    parts += _leg(sheet, pose, near, put, NEAR)
    parts += [_trunk(sheet, pose, put)]
    neck = tuple(sum(axis) / 2 for axis in zip(*pose.shoulders, strict=True))
    parts.append(_limb(sheet, put((neck[0], neck[1])), 5, put(pose.head), 5, ("dg-near", NEAR)))
    parts.append(_disc(sheet, put(pose.head), 11.5, ("dg-near", NEAR)))
    if pose.club is not None:
        hand = pose.hands[near]
        parts += _clubbed(sheet, put(hand), put(pose.club))
    return [*parts, *_arm(sheet, pose, near, put, NEAR)]


def _leg(
    sheet: _Sheet, pose: Pose, side: int, put: Callable[[Point], Point], tone: str
) -> list[str]:
    drawn = ("dg-near" if tone == NEAR else "dg-far", tone)
    hip, knee, ankle, toe = (
        put(joints[side]) for joints in (pose.hips, pose.knees, pose.ankles, pose.toes)
    )
    return [
        _limb(sheet, ankle, 4.2, toe, 3.2, drawn),
        _limb(sheet, knee, 6.2, ankle, 4.2, drawn),
        _limb(sheet, hip, 9, knee, 6.4, drawn),
    ]


def _arm(
    sheet: _Sheet, pose: Pose, side: int, put: Callable[[Point], Point], tone: str
) -> list[str]:
    drawn = ("dg-near" if tone == NEAR else "dg-far", tone)
    shoulder, elbow, hand = (
        put(joints[side]) for joints in (pose.shoulders, pose.elbows, pose.hands)
    )
    return [
        _limb(sheet, shoulder, 6, elbow, 4.4, drawn),
        _limb(sheet, elbow, 4.4, hand, 3.4, drawn),
        _disc(sheet, hand, 4.2, drawn),
    ]


def _trunk(sheet: _Sheet, pose: Pose, put: Callable[[Point], Point]) -> str:
    """The outline round shoulders and hips."""
    discs = [(put(joint), 8.0) for joint in pose.shoulders]
    discs += [(put(joint), 10.0) for joint in pose.hips]
    outline = _hull([point for disc in discs for point in _round(*disc)])
    return _polygon(sheet, outline, ("dg-near", NEAR))


def _ball(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    x, y = sheet.at(mark.at)
    if mark.pose == "second":
        return [
            f'<circle class="dg-mark dg-hollow" cx="{_n(x)}" cy="{_n(y)}" r="5.5" fill="{PAPER}" '
            f"{_stroke(MARK, 2)}/>"
        ]
    return [
        f'<circle class="dg-fill" cx="{_n(x)}" cy="{_n(y)}" r="5.5" fill="{INK}"/>',
    ]


def _stick(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """A stick that lies on the ground."""
    d = _path(sheet, mark.at, mark.to or mark.at)
    return [f'<path class="dg-tool" d="{d}" {_line(TOOL, 4.5)}/>']


def _pole(mark: Mark, sheet: _Sheet, seen: Seen) -> list[str]:
    """A stick that stands: from above a dot, and its lean as a thin line."""
    if seen is not Seen.ABOVE:
        d = _path(sheet, mark.at, mark.to or mark.at)
        return [f'<path class="dg-tool" d="{d}" {_line(TOOL, 5)}/>']
    x, y = sheet.at(mark.at)
    dot = f'<circle class="dg-tool-fill" cx="{_n(x)}" cy="{_n(y)}" r="5.5" fill="{TOOL}"/>'
    if mark.to is None:
        return [dot]
    return [f'<path class="dg-tool" d="{_path(sheet, mark.at, mark.to)}" {_line(TOOL, 2.5)}/>', dot]


def _club(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    return _clubbed(sheet, mark.at, mark.to or mark.at)


def _clubbed(sheet: _Sheet, grip: Point, head: Point) -> list[str]:
    """Shaft and head, with a rim so that it shows on the figure."""
    d = _path(sheet, grip, head)
    a, b = sheet.at(grip), sheet.at(head)
    long = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    toe = _toe(b, (ux, uy), sheet.side)
    return [
        f'<path class="dg-halo" d="{d}" {_line(PAPER, 5)}/>',
        f'<path class="dg-ink" d="{d}" {_line(INK, 2.4)}/>',
        f'<path class="dg-ink" d="M{_n(b[0])} {_n(b[1])}L{_n(toe[0])} {_n(toe[1])}" '
        f"{_line(INK, 6)}/>",
    ]


def _toe(head: Point, along: Point, side: float) -> Point:
    """Up where the shaft is level; otherwise square to the shaft, away from the golfer."""
    if abs(along[0]) > 0.9:
        return head[0], head[1] - 9
    if along[1] > 0:
        return head[0] + 8 * side, head[1]
    return head[0] - along[1] * 9 * side, head[1] + along[0] * 9 * side


def _paint(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """A line on the ground that is only thought or drawn."""
    d = _path(sheet, mark.at, mark.to or mark.at)
    return [f'<path class="dg-quiet" d="{d}" {_line(QUIET, 1.4)} stroke-dasharray="2 5"/>']


def _wall(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    d = _path(sheet, mark.at, mark.to or mark.at)
    return [
        f'<path class="dg-hair" d="{d}" {_stroke(HAIR, 12)}/>',
    ]


def _soft(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """A towel, a cushion or a soft cover."""
    x, y = sheet.at(mark.at)
    wide, high = {"towel": (40.0, 9.0), "cushion": (26.0, 17.0)}[mark.kind]
    return [
        f'<rect class="dg-halo" x="{_n(x - wide / 2)}" y="{_n(y - high / 2)}" width="{wide:g}" '
        f'height="{high:g}" rx="4.5" fill="{SOFT}" {_stroke(PAPER, 1.5)}/>'
    ]


def _chair(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """A chair from the side: its back, seat and legs."""
    x, y = mark.at
    lines = [
        ((x, y), (x, y + 95)),
        ((x, y + 45), (x - 34, y + 45)),
        ((x - 34, y + 45), (x - 34, y)),
    ]
    d = "".join(_path(sheet, *line) for line in lines)
    return [f'<path class="dg-quiet" d="{d}" {_line(QUIET, 4)}/>']


def _arrow(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """A way: whole going back or of itself, in dashes coming down, thin and crossed where wrong."""
    start, end = mark.at, mark.to or mark.at
    bow = _middle(start, end, mark.bend * 2)
    a, c, b = sheet.at(start), sheet.at(bow), sheet.at(end)
    d = f"M{_n(a[0])} {_n(a[1])}Q{_n(c[0])} {_n(c[1])} {_n(b[0])} {_n(b[1])}"
    wrong = mark.pose == "not"
    dash = ' stroke-dasharray="8 5"' if mark.pose == "down" else ""
    dash = ' stroke-dasharray="2 5"' if wrong else dash
    name, colour = ("dg-quiet", QUIET) if wrong else ("dg-mark", MARK)
    parts = [f'<path class="{name}" d="{d}" {_line(colour, 2.6)}{dash}/>']
    if wrong:
        mid = ((a[0] + 2 * c[0] + b[0]) / 4, (a[1] + 2 * c[1] + b[1]) / 4)
        cross = "".join(
            f"M{_n(mid[0] - 6)} {_n(mid[1] - s * 6)}L{_n(mid[0] + 6)} {_n(mid[1] + s * 6)}"
            for s in (1, -1)
        )
        return [*parts, f'<path class="dg-quiet" d="{cross}" {_line(QUIET, 2.6)}/>']
    return [*parts, _tip(c if c != b else a, b, colour)]


def _tip(before: Point, end: Point, colour: str) -> str:
    turn = math.atan2(end[1] - before[1], end[0] - before[0])
    corners = [
        (end[0] + r * math.cos(turn + t), end[1] + r * math.sin(turn + t))
        for r, t in ((5.0, 0.0), (11.0, 2.62), (11.0, -2.62))
    ]
    text = " ".join(f"{_n(x)},{_n(y)}" for x, y in corners)
    return f'<polygon class="dg-tip" points="{text}" fill="{colour}"/>'


def _target(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    """A flag where the target lies."""
    x, y = sheet.at(mark.at)
    side = sheet.side
    return [
        f'<path class="dg-ink" d="M{_n(x)} {_n(y)}V{_n(y - 30)}" {_line(INK, 2)}/>',
        f'<path class="dg-tip" d="M{_n(x)} {_n(y - 31)}l{_n(-17 * side)} 6l{_n(17 * side)} 6z" '
        f'fill="{MARK}"/>',
    ]


def _label(mark: Mark, sheet: _Sheet, _seen: Seen) -> list[str]:
    x, y = sheet.at(mark.at)
    parts = []
    if mark.to is not None:
        tx, ty = sheet.at(mark.to)
        half = _text_half(mark) + 2
        near = x - half - 3 if tx < x - half else x + half + 3 if tx > x + half else x
        rise = 0.0 if near != x else math.copysign(TEXT * 0.65, ty - y)
        parts.append(
            f'<path class="dg-quiet" d="M{_n(near)} {_n(y + rise)}L{_n(tx)} {_n(ty)}" '
            f"{_line(QUIET, 1)}/>"
        )
    parts.append(
        f'<text class="dg-text" x="{_n(x)}" y="{_n(y + TEXT * 0.35)}" text-anchor="middle" '
        f"font-family=\"'Causeline Figures', 'Segoe UI', Roboto, sans-serif\" "
        f'font-size="{TEXT:g}" fill="{INK}">{escape(mark.label)}</text>'
    )
    return parts


_DRAWN: dict[str, Callable[[Mark, _Sheet, Seen], list[str]]] = {
    "arrow": _arrow,
    "ball": _ball,
    "chair": _chair,
    "club": _club,
    "cushion": _soft,
    "feet": _feet,
    "golfer": _golfer,
    "label": _label,
    "line": _paint,
    "pole": _pole,
    "shoulders": _shoulders,
    "stick": _stick,
    "target": _target,
    "towel": _soft,
    "wall": _wall,
}
"""The vocabulary: a word of the data, and what draws it."""

_LAYERS = (
    {"wall", "line", "target", "chair"},
    {"stick", "feet", "shoulders"},
    {"golfer"},
    {"club", "pole", "towel", "cushion", "ball"},
    {"arrow"},
    {"label"},
)
"""Back to front."""


def _limb(sheet: _Sheet, a: Point, ra: float, b: Point, rb: float, drawn: tuple[str, str]) -> str:
    """Two discs of different size and what lies between them."""
    return _polygon(sheet, _hull([*_round(a, ra), *_round(b, rb)]), drawn)


def _disc(sheet: _Sheet, at: Point, radius: float, drawn: tuple[str, str]) -> str:
    x, y = sheet.at(at)
    return (
        f'<circle class="{drawn[0]}" cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius * sheet.scale)}" '
        f'fill="{drawn[1]}" stroke="{PAPER}" stroke-width="1"/>'
    )


def _polygon(sheet: _Sheet, points: list[Point], drawn: tuple[str, str]) -> str:
    text = " ".join(f"{_n(x)},{_n(y)}" for x, y in map(sheet.at, points))
    return (
        f'<polygon class="{drawn[0]}" points="{text}" fill="{drawn[1]}" stroke="{PAPER}" '
        'stroke-width="1" stroke-linejoin="round"/>'
    )


def _round(at: Point, radius: float, steps: int = 16) -> list[Point]:
    turns = (2 * math.pi * k / steps for k in range(steps))
    return [(at[0] + radius * math.cos(t), at[1] + radius * math.sin(t)) for t in turns]


def _hull(points: list[Point]) -> list[Point]:
    """Convex hull, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))
    return [*_chain(ordered), *_chain(ordered[::-1])]


def _chain(points: list[Point]) -> list[Point]:
    kept: list[Point] = []
    for point in points:
        while len(kept) > 1 and _cross(kept[-2], kept[-1], point) <= 0:
            kept.pop()
        kept.append(point)
    return kept[:-1]


def _cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def _middle(a: Point, b: Point, bend: float) -> Point:
    """The middle of a line, moved to the left of its direction by `bend` of its length."""
    return (
        (a[0] + b[0]) / 2 - bend * (b[1] - a[1]),
        (a[1] + b[1]) / 2 + bend * (b[0] - a[0]),
    )


def _path(sheet: _Sheet, a: Point, b: Point) -> str:
    (ax, ay), (bx, by) = sheet.at(a), sheet.at(b)
    return f"M{_n(ax)} {_n(ay)}L{_n(bx)} {_n(by)}"


def _text_half(mark: Mark) -> float:
    return LETTER * TEXT * len(mark.label) / 2


def _line(colour: str, width: float) -> str:
    return f'{_stroke(colour, width)} fill="none" stroke-linecap="round"'


def _stroke(colour: str, width: float) -> str:
    return f'stroke="{colour}" stroke-width="{width:g}"'


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
