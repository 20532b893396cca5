"""Squares cut out of pictures, upright or turned, as the engine's networks want to see them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from PIL import Image

from causeline.model.clip import Picture
from causeline.model.tracks import Region
from causeline.quantities.angle import Floats

_NEARLY = 0.85
"""A square of nearly the picture's longest side shows nothing that the whole does not."""
_SLACK = 0.2
"""Of half a side: a strip this narrow is not worth another row of squares."""


def decode_square(picture: Picture, region: Region, side: int) -> Picture:
    """The region's pixels, (side, side, 3), black where it reaches beyond the picture."""
    corners = region.to_picture(np.array([[0, 0], [1, 0], [0, 1], [1, 1]], float))
    height, width = picture.shape[:2]
    margin = region.size / side + 1.0
    left, top = np.clip(np.floor(corners.min(0) - margin), 0, (width - 1, height - 1)).astype(int)
    right, bottom = np.clip(np.ceil(corners.max(0) + margin), 1, (width, height)).astype(int)
    right, bottom = max(right, left + 1), max(bottom, top + 1)
    part = Image.fromarray(np.ascontiguousarray(picture[top:bottom, left:right]))
    inside = Region(region.x - left, region.y - top, region.size, region.turn_deg)
    return _sampled(*_averaged(part, inside, side), side)


def decode_search(picture: Picture) -> tuple[Region, ...]:
    """Squares in which to look for people: the whole picture, then ever smaller ones that overlap.

    The detector sees a person who is between a quarter and three quarters of its square tall.
    """
    height, width = picture.shape[:2]
    longest, shortest = float(max(height, width)), float(min(height, width))
    whole = Region((width - 1) / 2, (height - 1) / 2, longest)
    sides = sorted({shortest, min(longest / 2, shortest)}, reverse=True)
    return whole, *(square for side in sides for square in _covering(width, height, side, longest))


def _covering(width: int, height: int, side: float, longest: float) -> Iterator[Region]:
    """Squares of that side over the picture, half a side apart; none for the whole once more."""
    if side > _NEARLY * longest:
        return
    for top in _steps(height, side):
        for left in _steps(width, side):
            yield Region(left + (side - 1) / 2, top + (side - 1) / 2, side)


def _steps(length: float, side: float) -> Floats:
    count = 1 + math.ceil(2 * (length - side) / side - _SLACK)
    return np.linspace(0.0, length - side, count)


def _averaged(part: Image.Image, region: Region, side: int) -> tuple[Image.Image, Region]:
    """Bilinear sampling alone would skip pixels, and the landmarks tremble with those it hits."""
    factor = int(region.size / side)
    if factor < 2:
        return part, region
    x, y = ((at + 0.5) / factor - 0.5 for at in (region.x, region.y))
    return part.reduce(factor), Region(x, y, region.size / factor, region.turn_deg)


def _sampled(part: Image.Image, region: Region, side: int) -> Picture:
    """Bilinear; the library counts from the corner of the first pixel, we from its middle."""
    origin, right, down = region.to_picture(np.array([[0, 0], [1 / side, 0], [0, 1 / side]]))
    (a, d), (b, e) = right - origin, down - origin
    x, y = origin + 0.5
    turned = part.transform(
        (side, side), Image.Transform.AFFINE, (a, b, x, d, e, y), Image.Resampling.BILINEAR
    )
    return np.asarray(turned)
