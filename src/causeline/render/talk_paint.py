"""Paints a row of the bench: the picture and its shapes, as `frontend/src/paint/canvas.ts` does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from causeline.model.clip import Frame, Picture
from causeline.model.talk import Sight
from causeline.quantities.angle import Floats
from causeline.render.ink import Colour
from causeline.render.lettering import FIGURES, Style, render_text, render_text_width
from causeline.render.talk_scene import REFERENCE_PX, Area, Path, Ring, Shape, Sign, Text

GROUND: Colour = (10, 20, 27)
EDGE: Colour = (6, 16, 24)
EDGE_SHARE, BROKEN_SHARE, PLATE_SHARE = 0.68, 0.306, 0.74
COLOURS: dict[str, Colour] = {
    "body": (226, 242, 250),
    "club": (255, 228, 156),
    "focus": (255, 255, 255),
    "ink0": (255, 250, 240),
    "ink1": (255, 194, 71),
    "ink2": (134, 208, 255),
    "ink3": (255, 157, 198),
}
BODY_SHARE = 0.92
FINE = 4
"""Times finer that an area's edge is drawn, so that it is smooth."""


@dataclass(frozen=True, slots=True)
class Lie:
    """How a clip lies in a band: band pixels are `x · across + right`, `y · down + below`."""

    across: float
    right: float
    down: float
    below: float

    def place(self, xy: Floats) -> Floats:
        """Points (..., 2) of the clip, in the band."""
        return np.asarray(xy) * (self.across, self.down) + (self.right, self.below)


def render_lie(sight: Sight, clip: tuple[int, int], band: tuple[int, int], mirrored: bool) -> Lie:
    """As the bench lays it; sizes are width, height."""
    scale = sight.zoom * band[1] / clip[1]
    across = -scale if mirrored else scale
    return Lie(
        across=across,
        right=band[0] / 2 - across * sight.x * clip[0],
        down=scale,
        below=band[1] / 2 - scale * sight.y * clip[1],
    )


def render_band(
    frame: Frame | None, clip: tuple[int, int], lie: Lie, band: tuple[int, int]
) -> Picture:
    """The frame as it lies in a band of that size (width, height); beyond it the ground."""
    page = Image.new("RGB", band, GROUND)
    if frame is None:
        return np.array(page)
    scale_x, scale_y = frame.picture.shape[1] / clip[0], frame.picture.shape[0] / clip[1]
    inverse = (
        scale_x / lie.across,
        0.0,
        -scale_x * lie.right / lie.across,
        0.0,
        scale_y / lie.down,
        -scale_y * lie.below / lie.down,
    )
    shown = Image.fromarray(frame.picture)
    shrunk = min(frame.shrink and lie.down / scale_y, 1.0)
    if shrunk < 0.6:  # the way out is small: averaged first, so that nothing shimmers
        smaller = (max(1, round(shown.width * shrunk)), max(1, round(shown.height * shrunk)))
        inverse = (
            inverse[0] * smaller[0] / shown.width,
            0.0,
            inverse[2] * smaller[0] / shown.width,
            0.0,
            inverse[4] * smaller[1] / shown.height,
            inverse[5] * smaller[1] / shown.height,
        )
        shown = shown.resize(smaller, Image.Resampling.BOX)
    turned = shown.transform(
        band, Image.Transform.AFFINE, inverse, Image.Resampling.BILINEAR, fillcolor=GROUND
    )
    return np.array(turned)


def render_painted(band: Picture, shapes: Sequence[Shape], lie: Lie) -> None:
    """Paint shapes into the band itself, the first undermost."""
    unit = max(band.shape[0] / REFERENCE_PX, 0.8)
    for shape in shapes:
        match shape:
            case Path():
                _stroke(band, lie.place(shape.points), shape.ink, shape.width * unit, unit, shape)
            case Area():
                _area(band, lie.place(shape.points), shape.ink, unit)
            case Ring():
                radius = shape.radius * lie.down
                _ring(band, lie.place(shape.at), radius, shape.ink, shape.width * unit, unit)
            case Sign():
                _sign(band, shape, lie, unit)
            case Text():
                _text(band, shape, lie, unit)


def _colour(ink: str) -> Colour:
    return COLOURS.get(ink, COLOURS["ink0"])


def _stroke(
    band: Picture, points: Floats, ink: str, width: float, unit: float, path: Path | None = None
) -> None:
    """Every line has a dark edge, so that it is seen on any picture."""
    if len(points) < 2:
        return
    dash = path.dash if path is not None else ()
    share = BROKEN_SHARE if dash else EDGE_SHARE
    over = BODY_SHARE if ink == "body" else 1.0
    gaps = (dash[0] * unit, dash[1] * unit) if len(dash) > 1 else None
    _covered(band, [points], width + 2 * unit, EDGE, share)
    parts = [points] if gaps is None else _dashes(points, *gaps)
    _covered(band, parts, width, _colour(ink), over)


def _covered(
    band: Picture, lines: Sequence[Floats], width: float, colour: Colour, share: float
) -> None:
    """Lines, round at their ends, each pixel covered once: where two cross, nothing is darker.

    Each stretch is looked at within its own box, so that a long way costs no more than its length.
    """
    points = np.concatenate(lines)
    reach = width / 2 + 1.5
    high, wide = band.shape[:2]
    low = np.clip(np.floor(points.min(axis=0) - reach).astype(int), 0, (wide, high))
    top = np.clip(np.ceil(points.max(axis=0) + reach).astype(int), 0, (wide, high))
    if (top - low).min() <= 0:
        return
    cover = np.zeros((top[1] - low[1], top[0] - low[0]), dtype=np.float32)
    for line in lines:
        for start, end in pairwise(line if len(line) > 1 else np.repeat(line, 2, axis=0)):
            _cover(cover, start - low, end - low, width)
    part = band[low[1] : top[1], low[0] : top[0]]
    part[...] = np.rint(
        part + (share * cover)[..., None] * (np.array(colour, dtype=np.float32) - part)
    )


def _cover(cover: NDArray[np.float32], start: Floats, end: Floats, width: float) -> None:
    """How far each pixel lies inside one stretch, where that is more than it was."""
    reach = width / 2 + 1.5
    (left, top), (right, bottom) = np.minimum(start, end) - reach, np.maximum(start, end) + reach
    x0, y0 = max(int(left), 0), max(int(top), 0)
    box = cover[y0 : max(int(bottom) + 1, 0), x0 : max(int(right) + 1, 0)]
    if box.size == 0:
        return
    x = np.arange(x0, x0 + box.shape[1], dtype=np.float32)[None, :] - np.float32(start[0])
    y = np.arange(y0, y0 + box.shape[0], dtype=np.float32)[:, None] - np.float32(start[1])
    dx, dy = (float(each) for each in end - start)
    long = dx * dx + dy * dy
    along = np.clip((x * dx + y * dy) / long, 0, 1) if long > 0 else np.float32(0)
    off = np.hypot(x - along * dx, y - along * dy)
    np.maximum(box, np.clip(width / 2 + 0.5 - off, 0, 1), out=box)


def _dashes(points: Floats, on: float, off: float) -> list[Floats]:
    """A line cut into dashes along its length."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    pieces = []
    for start in np.arange(0.0, along[-1], on + off):
        stop = min(start + on, along[-1])
        at = np.concatenate([[start], along[(along > start) & (along < stop)], [stop]])
        pieces.append(np.column_stack([np.interp(at, along, points[:, k]) for k in (0, 1)]))
    return pieces


def _ring(band: Picture, at: Floats, radius: float, ink: str, width: float, unit: float) -> None:
    """A circle with its dark edge."""
    _round(band, at, radius, width + 2 * unit, (EDGE, EDGE_SHARE))
    _round(band, at, radius, width, (_colour(ink), BODY_SHARE if ink == "body" else 1.0))


def _round(
    band: Picture, at: Floats, radius: float, width: float, paint: tuple[Colour, float]
) -> None:
    """A circle's line of that width; a disc where the width is twice the radius."""
    reach = radius + width / 2 + 1.5
    high, wide = band.shape[:2]
    left, top = np.clip(np.floor(at - reach).astype(int), 0, (wide, high))
    right, bottom = np.clip(np.ceil(at + reach).astype(int), 0, (wide, high))
    if right <= left or bottom <= top:
        return
    x = np.arange(left, right, dtype=np.float32)[None, :] - np.float32(at[0])
    y = np.arange(top, bottom, dtype=np.float32)[:, None] - np.float32(at[1])
    inside = width / 2 + 0.5 - np.abs(np.hypot(x, y) - radius)
    colour, share = paint
    part = band[top:bottom, left:right]
    cover = (share * np.clip(inside, 0, 1))[..., None]
    part[...] = np.rint(part + cover * (np.array(colour, dtype=np.float32) - part))


def _sign(band: Picture, sign: Sign, lie: Lie, unit: float) -> None:
    at, size, full = lie.place(sign.at), sign.size * unit, sign.form == "full"
    width = (0.5 if full else 1.6) * unit
    if sign.form == "square":
        _plate(band, at - size, at + size, EDGE_SHARE)
        corners = [(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]
        _stroke(band, at + size * np.array(corners, dtype=float), sign.ink, width, unit)
        return
    paint = (_colour(sign.ink), 1.0) if full else (EDGE, EDGE_SHARE)
    _round(band, at, size / 2, size, paint)
    _ring(band, at, size, sign.ink, width, unit)


def _area(band: Picture, points: Floats, ink: str, unit: float) -> None:
    if len(points) < 3 or not np.isfinite(points).all():
        return
    _covered(band, [np.concatenate([points, points[:1]])], 2 * unit, EDGE, EDGE_SHARE)
    high, wide = band.shape[:2]
    low = np.clip(np.floor(points.min(axis=0)).astype(int) - 1, 0, (wide, high))
    top = np.clip(np.ceil(points.max(axis=0)).astype(int) + 2, 0, (wide, high))
    size = top - low
    if size.min() <= 0:
        return
    mask = Image.new("L", (int(size[0]) * FINE, int(size[1]) * FINE))
    fine = [(float(x), float(y)) for x, y in (points - low) * FINE]
    ImageDraw.Draw(mask).polygon(fine, fill=255)
    cover = np.asarray(mask.resize((int(size[0]), int(size[1])), Image.Resampling.BOX))
    part = band[low[1] : top[1], low[0] : top[0]]
    share = (cover / np.float32(255.0))[..., None]
    part[...] = np.rint(part + share * (np.array(_colour(ink), dtype=np.float32) - part))


def _text(band: Picture, text: Text, lie: Lie, unit: float) -> None:
    """On a plate of its own, held inside the band."""
    high = round(text.size * unit)
    style = Style(FIGURES, high, _colour(text.ink))
    wide, room = render_text_width(text.text, style), 0.45 * high
    x, y = lie.place(text.at)
    left = min(max(x + 10 * unit, 2.0), band.shape[1] - wide - 2 * room - 2)
    top = min(max(y - 2.1 * high, 2.0), band.shape[0] - high - 2 * room)
    corner = np.array([left, top])
    _plate(band, corner, corner + np.array([wide + 2 * room, high + 1.4 * room]), PLATE_SHARE)
    render_text(band, text.text, (left + room, top + 0.55 * room), style)


def _plate(band: Picture, low: Floats, top: Floats, share: float) -> None:
    """A dark rectangle that lets some of the picture through."""
    (left, upper), (right, lower) = (
        np.clip(np.rint(each).astype(int), 0, None) for each in (low, top)
    )
    plate = band[upper:lower, left:right]
    plate[...] = np.rint(plate + share * (np.array(EDGE, dtype=np.float32) - plate))


def render_pointer(band: Picture, at: Floats) -> None:
    """Where the coach points: four strokes around the place, so that nothing is hidden."""
    for turn in (0.25, 0.75, 1.25, 1.75):
        way = np.array([cos(turn * pi), sin(turn * pi)])
        line = np.stack([at + 10 * way, at + 24 * way])
        _covered(band, [line], 7.0, EDGE, EDGE_SHARE)
        _covered(band, [line], 4.0, COLOURS["focus"], 1.0)
