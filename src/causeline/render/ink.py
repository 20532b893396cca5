"""Lines drawn into pictures, smooth at the edge: each pixel takes its share of what covers it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Picture
from causeline.quantities.angle import Floats

Colour = tuple[int, int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """One line through points, round at the ends."""

    points: Floats
    """(n, 2) pixels of the picture, x right, y down; a single point is a dot."""
    width: float
    """Pixels."""
    colour: Colour
    opacity: float = 1.0
    dash: tuple[float, float] | None = None
    """Lengths of a dash and of the gap after it, pixels."""


def render_ink(picture: Picture, inks: tuple[Ink, ...]) -> None:
    """Draw into the picture itself, the first line undermost. Points that are NaN are left out."""
    for ink in inks:
        for piece in _pieces(ink):
            _stroke(picture, piece, ink)


def _pieces(ink: Ink) -> list[Floats]:
    points = ink.points[np.isfinite(ink.points).all(axis=1)]
    if len(points) == 0:
        return []
    if len(points) < 2 or (ink.dash is None and ink.opacity < 1.0):
        return [points]
    if ink.dash is None:  # covered twice is covered: each part alone has a smaller box
        return [np.stack(two) for two in pairwise(points)]
    return _dashes(points, *ink.dash)


def _dashes(points: Floats, on: float, off: float) -> list[Floats]:
    """The line cut into dashes along its length."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    pieces = []
    for start in np.arange(0.0, along[-1], on + off):
        stop = min(start + on, along[-1])
        inner = along[(along > start) & (along < stop)]
        at = np.concatenate([[start], inner, [stop]])
        pieces.append(np.column_stack([np.interp(at, along, points[:, axis]) for axis in (0, 1)]))
    return pieces


def _stroke(picture: Picture, points: Floats, ink: Ink) -> None:
    """Cover the pixels near the line by how far each lies inside its edge."""
    height, width = picture.shape[:2]
    reach = ink.width / 2 + 1.5
    left, top = np.floor(np.maximum(points.min(axis=0) - reach, 0)).astype(int)
    right, bottom = np.ceil(np.minimum(points.max(axis=0) + reach, (width, height))).astype(int)
    if right <= left or bottom <= top:
        return
    x = np.arange(left, right, dtype=np.float32)[None, :]
    y = np.arange(top, bottom, dtype=np.float32)[:, None]
    cover = np.clip(ink.width / 2 + 0.5 - _distance(x, y, points), 0.0, 1.0) * ink.opacity
    part = picture[top:bottom, left:right]
    colour = np.array(ink.colour, dtype=np.float32)
    mixed = part + cover[..., None] * (colour - part)
    part[...] = np.rint(mixed).astype(np.uint8)


def _distance(
    x: NDArray[np.float32], y: NDArray[np.float32], points: Floats
) -> NDArray[np.float32]:
    """(h, w) distance of each pixel's middle to the nearest part of the line."""
    if len(points) == 1:
        return np.hypot(x - np.float32(points[0, 0]), y - np.float32(points[0, 1]))
    nearest = np.full((y.shape[0], x.shape[1]), np.inf, dtype=np.float32)
    for (x0, y0), (x1, y1) in pairwise(points.astype(np.float32)):
        dx, dy = x1 - x0, y1 - y0
        length = float(dx * dx + dy * dy)
        along = ((x - x0) * dx + (y - y0) * dy) / length if length > 0 else np.zeros_like(nearest)
        along = np.clip(along, 0.0, 1.0)
        np.minimum(nearest, np.hypot(x - x0 - along * dx, y - y0 - along * dy), out=nearest)
    return nearest
