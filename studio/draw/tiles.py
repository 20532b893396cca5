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
    mask = np.zeros((-(-height // SIDE), -(-width // SIDE)), np.bool_)
    known = points[np.isfinite(points).all(1)]
    steps = int(np.ceil(reach / SIDE))
    for across in np.linspace(-reach, reach, 2 * steps + 1):
        for up in np.linspace(-reach, reach, 2 * steps + 1):
            column = np.floor((known[:, 0] + across) / SIDE).astype(int)
            row = np.floor((height - 1 - known[:, 1] + up) / SIDE).astype(int)
            inside = (row >= 0) & (row < mask.shape[0]) & (column >= 0) & (column < mask.shape[1])
            mask[row[inside], column[inside]] = True
    return mask


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
