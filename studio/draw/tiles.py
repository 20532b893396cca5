"""Which parts of a picture anything moves in: small squares about points, drawn instead of a box.

The software renderer spends the same on each pixel that it is sent, whatever the pixel needs.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from studio.draw.mesh import Floats

SIDE = 16
"""Pixels across a tile."""

Mask = NDArray[np.bool_]


def tiles_about(points: Floats, size: tuple[int, int], reach: float) -> Mask:
    """(rows, columns) True for tiles within `reach` pixels of a point; row 0 is at the bottom.

    `points` (n, 2) in pixels from the top left; NaN and points outside are left out.
    """
    width, height = size
    rows, columns = -(-height // SIDE), -(-width // SIDE)
    known = points[np.isfinite(points).all(1)]
    x, y = known[:, 0], height - 1 - known[:, 1]
    left, right = (np.floor((x + side) / SIDE) for side in (-reach, reach))
    low, high = (np.floor((y + side) / SIDE) for side in (-reach, reach))
    inside = (right >= 0) & (left < columns) & (high >= 0) & (low < rows)
    left, right = (np.clip(end[inside], 0, columns - 1).astype(int) for end in (left, right))
    low, high = (np.clip(end[inside], 0, rows - 1).astype(int) for end in (low, high))
    # Each box of tiles by its four corners; the running sums fill them.
    count = np.zeros((rows + 1, columns + 1), dtype=np.int64)
    for row, column, by in (
        (low, left, 1), (low, right + 1, -1), (high + 1, left, -1), (high + 1, right + 1, 1)
    ):  # fmt: skip
        np.add.at(count, (row, column), by)
    return np.asarray(count.cumsum(0).cumsum(1)[:-1, :-1] > 0)


def grown(mask: Mask) -> Mask:
    """With the tiles around."""
    padded = np.pad(mask, 1)
    around = padded.copy()
    for step in (-1, 1):
        around |= np.roll(padded, step, 0)
    out = around.copy()
    for step in (-1, 1):
        out |= np.roll(around, step, 1)
    return out[1:-1, 1:-1]


def corners_of(mask: Mask, size: tuple[int, int]) -> NDArray[np.float32]:
    """(6 k, 2) triangles of the tiles, joined along rows, in -1..1."""
    padded = np.pad(mask, ((0, 0), (1, 1))).astype(np.int8)
    edges = np.diff(padded, axis=1)
    row, begin = np.nonzero(edges == 1)
    _, end = np.nonzero(edges == -1)
    low = np.stack([begin * SIDE, row * SIDE], 1)
    high = np.stack([end * SIDE, (row + 1) * SIDE], 1)
    box = np.stack([low, high], 1) / np.array(size) * 2.0 - 1.0
    x, y = box[:, :, 0], box[:, :, 1]
    order = [(0, 0), (1, 0), (0, 1), (0, 1), (1, 0), (1, 1)]
    return (
        np.stack([np.stack([x[:, i], y[:, j]], 1) for i, j in order], 1).reshape(-1, 2).astype("f4")
    )
