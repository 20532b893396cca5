"""One golfer in the film: the window onto the clip, lines of body and club, what was measured."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageOps

from causeline.model.clip import Frame, Picture
from causeline.quantities.angle import Floats
from causeline.render.club_path import render_club_crop
from causeline.render.film_parts import Cast, Partner, Reader
from causeline.render.film_plan import Rest
from causeline.render.ink import Colour, Ink, render_ink
from causeline.render.lettering import STRONG, Style, render_text, render_text_width
from causeline.render.marks import Mark, render_mark
from causeline.render.numbers import HARD_SPACE, render_number, render_plain
from causeline.render.stills import HIGH, Crop, Drawing, render_crop, render_lines, render_rows

GROUND: Colour = (26, 43, 55)
CASING: Colour = (6, 18, 28)
LEAD: Colour = (255, 239, 196)
TRAIL: Colour = (233, 245, 255)
CORE: Colour = (20, 48, 63)
MARKED: Colour = (255, 150, 112)
WHITE: Colour = (255, 255, 255)
"""The page's lines over pictures."""

_NUMBER = Style(STRONG, 36, WHITE, casing=CASING)
_POINT = re.compile(r"[ML](-?\d+) (-?\d+)")
_WIDTHS = {"lead": 9.0, "trail": 8.0, "middle": 3.0, "club": 3.0}
_COLOURS = {"lead": LEAD, "trail": TRAIL, "middle": WHITE, "club": WHITE}
CLEAR_OF_HEAD = 12.0
"""Pixels between a number and the circle about the head."""


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """A place on the page through which one clip is seen."""

    cast: Cast
    window: Crop
    """The part of the clip that is shown; may reach beyond its picture."""
    at: tuple[int, int]
    """Upper left corner on the page."""
    size: tuple[int, int]
    reader: Reader
    mirrored: bool = False

    @property
    def zoom(self) -> float:
        """Pixels of the page for one of the clip."""
        return self.size[1] / self.window.height

    def stream(self, frames: Sequence[int]) -> Iterator[Frame]:
        """The picture of each frame asked for, once more where the next one does not decode."""
        order = np.maximum.accumulate(np.asarray(frames)).tolist()
        clip = self.cast.clip
        longest = round(max(clip.width, clip.height) * min(1.0, self.zoom))
        source = self.cast.footage(sorted(set(order)), longest)
        shown, coming = next(source), next(source, None)
        for frame in order:
            while coming is not None and coming.index <= frame:
                shown, coming = coming, next(source, None)
            yield shown

    def place(self, xy: Floats) -> Floats:
        """Points (..., 2) in pixels of the clip, on the page."""
        inside = (xy - np.array([self.window.left, self.window.top])) * self.zoom
        return self._on_page(inside)

    def _on_page(self, inside: Floats) -> Floats:
        if self.mirrored:
            inside = np.stack([self.size[0] - inside[..., 0], inside[..., 1]], axis=-1)
        return inside + np.array(self.at, dtype=float)

    def place_drawn(self, xy: Floats) -> Floats:
        """Points (..., 2) in the window's drawing space, on the page."""
        return self._on_page(xy * (self.size[1] / HIGH))


def render_panels(
    cast: Cast,
    partner: Partner | None,
    room: tuple[Crop, ...],
    reader: Reader,
    wide: bool | None = None,
) -> tuple[Panel, ...]:
    """The pictures side by side, each within its room on the page (pixels of the page).

    `wide` takes in the way of the club; left out, it does so where there is no partner.
    """
    wide = partner is None if wide is None else wide
    window, size = render_window(cast, (room[0].width, room[0].height), wide)
    gap = (room[0].width - size[0]) // 2 if partner is None else room[0].width - size[0]
    first = Panel(cast, window, (room[0].left + gap, room[0].top), size, reader)
    if partner is None:
        return (first,)
    fit = partner.fit
    corner = np.array([window.left - fit.dx, window.top - fit.dy]) / fit.scale
    width, height = (max(1, round(side / fit.scale)) for side in (window.width, window.height))
    left = float(corner[0])
    if fit.mirror_width is not None:
        left = fit.mirror_width - 1 - left - width
    other = Crop(round(left), round(float(corner[1])), width, height)
    at = (room[1].left, room[1].top)
    return first, Panel(partner.cast, other, at, size, reader, fit.mirror_width is not None)


def render_window(cast: Cast, room: tuple[int, int], wide: bool) -> tuple[Crop, tuple[int, int]]:
    """The part of the clip that is shown, and the size of its picture: as wide as the clip allows.

    `wide` takes in the way of the club as well as the golfer.
    """
    clip, swing = cast.clip, cast.swing
    body = render_crop(swing.body, render_rows(swing), (clip.width, clip.height))
    held = render_club_crop(swing, clip) if wide else body
    aspect = room[0] / room[1]
    height = min(max(held.height, held.width / aspect), clip.height)
    width = min(height * aspect, clip.width)
    left = np.clip(held.left + held.width / 2 - width / 2, 0, clip.width - width)
    bottom = held.top + 1.04 * held.height
    top = np.clip(bottom - height, 0, clip.height - height)
    window = Crop(round(float(left)), round(float(top)), round(width), round(height))
    return window, (min(room[0], round(room[1] * width / height)), room[1])


def render_panel(page: Picture, panel: Panel, frame: Frame, number: int, rest: Rest | None) -> None:
    """Draw the clip's frame with the lines of frame `number`, and at a rest what was measured."""
    (x, y), (width, height) = panel.at, panel.size
    here = replace(panel, at=(0, 0))
    picture = render_seen(panel, frame).copy()  # of its own, so that no line leaves it
    swing = panel.cast.swing
    row = int(np.argmin(np.abs(swing.body.frames - number)))
    drawing = render_lines(swing.body, row, panel.window, swing.club)
    render_ink(picture, render_body_inks(here, drawing))
    if rest is not None:
        _marks(picture, here, drawing, rest)
    page[y : y + height, x : x + width] = picture


def render_seen(panel: Panel, frame: Frame) -> Picture:
    """The window's part of the frame, at the panel's size; beyond the clip the ground shows."""
    window, shrink = panel.window, frame.shrink
    left, top = window.left * shrink, window.top * shrink
    box = (left, top, left + window.width * shrink, top + window.height * shrink)
    image = Image.fromarray(frame.picture)
    if box[0] < 0 or box[1] < 0 or box[2] > image.width or box[3] > image.height:
        whole = tuple(round(edge) for edge in box)
        padded = Image.new("RGB", (whole[2] - whole[0], whole[3] - whole[1]), GROUND)
        padded.paste(image, (-whole[0], -whole[1]))
        image, box = padded, (0, 0, padded.width, padded.height)
    image = image.resize(panel.size, Image.Resampling.BILINEAR, box)
    return np.asarray(ImageOps.mirror(image) if panel.mirrored else image)


def render_body_inks(panel: Panel, drawing: Drawing) -> tuple[Ink, ...]:
    """Casings under lines, trail under lead; what is not well seen is broken."""
    casings, lines = [], []
    for stroke in drawing.strokes:
        found = np.array([[float(a), float(b)] for a, b in _POINT.findall(stroke.path)])
        points = panel.place_drawn(found)
        wide = _WIDTHS[stroke.side]
        dash = None if stroke.sure else (10.0, 12.0)
        casings.append(Ink(points, wide + 5.0, CASING, 0.62 if stroke.sure else 0.4, dash))
        lines.append(
            Ink(points, wide if stroke.sure else 0.7 * wide, _COLOURS[stroke.side], 1, dash)
        )
        if stroke.side == "trail" and stroke.sure:
            lines.append(Ink(points, 0.45 * wide, CORE))
    heads = [dot for dot in drawing.dots if dot.side == "club"]
    for dot in heads:
        at = panel.place_drawn(np.array([[dot.x, dot.y]]))
        lines += [Ink(at, 22.0, CASING, 0.62), Ink(at, 16.0, WHITE)]
    return (*casings, *lines)


def _marks(canvas: Picture, panel: Panel, drawing: Drawing, rest: Rest) -> None:
    taken: list[tuple[float, float, float, float]] = []
    for measure in rest.measures:
        mark = render_mark(panel.cast.swing, measure, panel.cast.view)
        if mark is None:
            continue
        inks = []
        for line in mark.lines:
            points = panel.place(line.points)
            wide, dash = (3.0, (12.0, 10.0)) if line.guide else (6.0, None)
            inks.append(Ink(points, wide + 5.0, CASING, 0.62, dash))
            inks.append(Ink(points, wide, WHITE if line.guide else MARKED, 1.0, dash))
        render_ink(canvas, tuple(inks))
        taken.append(_label(canvas, panel, drawing, mark, taken))


def _label(
    canvas: Picture,
    panel: Panel,
    drawing: Drawing,
    mark: Mark,
    taken: Sequence[tuple[float, float, float, float]],
) -> tuple[float, float, float, float]:
    """Set the number near its place: inside the picture, off the head and off other numbers."""
    text = render_measured(mark, panel.reader)
    wide, tall = render_text_width(text, _NUMBER), 1.2 * _NUMBER.size
    x, y = panel.place(mark.label_at)
    left, top = panel.at
    x = float(np.clip(float(x) - wide / 2, left + 12, left + panel.size[0] - wide - 12))
    y = float(np.clip(float(y), top + 8, top + panel.size[1] - tall - 8))
    head = _head_box(panel, drawing)
    places = [(x, y + step * tall) for step in (0.0, 1.0, -1.2, 2.0, -2.4, 3.2, -3.6, 5.0)]
    for at_x, at_y in places:
        at_x = float(np.clip(at_x, left + 12, left + panel.size[0] - wide - 12))
        at_y = float(np.clip(at_y, top + 8, top + panel.size[1] - tall - 8))
        box = (at_x, at_y, at_x + wide, at_y + tall)
        if not any(_meet(box, other) for other in (head, *taken) if other is not None):
            break
    render_text(canvas, text, (at_x, at_y), _NUMBER)
    return box


def render_measured(mark: Mark, reader: Reader) -> str:
    """The number with its ±, in the unit that the golfer thinks of."""
    factor, sign = reader(mark.measure.unit)
    value = abs(mark.measure.value) if mark.travel else mark.measure.value
    sd = mark.measure.sd * factor
    if sd >= 1.0:  # as the lesson's sentences have it
        gap = "" if sign == "°" else HARD_SPACE
        return f"{render_plain(value * factor, 0)}{gap}{sign} ± {render_plain(sd, 0)}"
    shown = render_number(value * factor, sd, sign)
    return f"{shown.value}{shown.unit} ± {shown.spread}"


def _head_box(panel: Panel, drawing: Drawing) -> tuple[float, float, float, float] | None:
    if drawing.head is None:
        return None
    x, y, radius = drawing.head
    middle = panel.place_drawn(np.array([x, y]))
    reach = radius * panel.size[1] / HIGH * 1.35 + CLEAR_OF_HEAD
    (left, top), (right, bottom) = (middle - reach).tolist(), (middle + reach).tolist()
    return left, top, right, bottom


def _meet(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return (
        one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
    )  # fmt: skip
