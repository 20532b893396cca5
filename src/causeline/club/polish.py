"""A line laid on the thin bright or dark streak beneath it, to a fraction of a pixel."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates
from scipy.sparse import csr_array

from causeline.quantities.angle import Floats

FARTHEST = 4.0
"""How far each end may be moved, crop pixels."""
STEP = 0.5
FROM, TO = 0.3, 0.96
"""Share of the line that is looked at: below it are the hands, beyond it the head."""
PARTS = 8
"""The streak may be bright against one part of the background and dark against another."""
STRONGEST = 30.0
"""Levels of grey beyond which a streak is no plainer: long and faint outweighs short and strong."""
NEAR = (6.0, 3.0)
"""How far the map's line may be off at the hands and at the head, crop pixels, one sd each."""
PLAIN, CONTRAST = 2.2, 1.2
"""The best place must collect this many times what the middling one does, and this many levels of
grey for each pixel of its length."""


def track_edge(
    grey: NDArray[np.float32], start: Floats, end: Floats, cell: float
) -> tuple[Floats, Floats]:
    """`start` and `end` moved across the line to where the streak is plainest.

    Both are on a grid `cell` times as coarse as `grey` (s, s). Unmoved when nothing stands out, as
    in motion blur.
    """
    a, b = (start + 0.5) * cell - 0.5, (end + 0.5) * cell - 0.5
    way = b - a
    length = float(np.hypot(*way))
    if length < 16:
        return start, end
    normal = np.array([-way[1], way[0]]) / length
    offsets = np.arange(-FARTHEST - 2, FARTHEST + 2 + STEP / 2, STEP)
    shares = np.linspace(FROM, TO, max(int(length * (TO - FROM) / 1.5), 16))
    ridge = _ridge(grey, a + shares[:, None] * way, normal, offsets)
    low, high = _best(ridge, shares, offsets)
    if low is None or high is None:
        return start, end
    moved_a, moved_b = a + normal * low, b + normal * high
    return (moved_a + 0.5) / cell - 0.5, (moved_b + 0.5) / cell - 0.5


def _ridge(grey: NDArray[np.float32], middle: Floats, normal: Floats, offsets: Floats) -> Floats:
    """(points, offsets) by how much each place is brighter, or darker, than both its sides.

    The sides are 2 pixels away; the edge of something broad is brighter than one side only.
    """
    points = middle[:, None] + offsets[None, :, None] * normal
    values = map_coordinates(grey, [points[..., 1], points[..., 0]], order=1, mode="nearest")
    reach = round(2 / STEP)
    middle_values = values[:, reach:-reach]
    one, other = middle_values - values[:, : -2 * reach], middle_values - values[:, 2 * reach :]
    least = np.where(one > 0, np.minimum(one, other), np.maximum(one, other))
    out = np.zeros(values.shape)
    out[:, reach:-reach] = np.where(one * other > 0, STRONGEST * np.tanh(least / STRONGEST), 0.0)
    return out


def _best(ridge: Floats, shares: Floats, offsets: Floats) -> tuple[float | None, float | None]:
    """Offsets at the start and at the end of the whole line that collect most of the streak."""
    low, high, collect = _collector(len(shares), len(offsets))
    score = np.abs(collect @ ridge.ravel()).reshape(len(low), PARTS).sum(axis=1)
    prior = np.exp(-((low / NEAR[0]) ** 2 + (high / NEAR[1]) ** 2) / 2)
    if score.max() < max(PLAIN * float(np.median(score)), CONTRAST * len(shares)):
        return None, None
    top = int(np.argmax(score * prior))
    close = (np.abs(low - low[top]) <= 2 * STEP) & (np.abs(high - high[top]) <= 2 * STEP)
    weight = np.clip(score - 0.8 * score[top], 0, None) * close
    weight /= weight.sum()
    near, far = float((weight * low).sum()), float((weight * high).sum())
    slope = (far - near) / (TO - FROM)
    return near - slope * FROM, far + slope * (1 - TO)


@lru_cache(maxsize=64)
def _collector(points: int, places: int) -> tuple[Floats, Floats, csr_array]:
    """Offsets of all lines that are tried at the start and at the end, and what sums their parts.

    The last turns a ridge of (points x places) into (lines x `PARTS`); between two places it takes
    as much of each as the line is near.
    """
    tries = np.arange(-FARTHEST, FARTHEST + STEP / 2, STEP)
    low, high = (grid.ravel() for grid in np.meshgrid(tries, tries, indexing="ij"))
    at = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, points)
    place = np.clip(at / STEP + (places - 1) / 2, 0, places - 1.001)
    left = place.astype(int)
    share = place - left
    part = np.repeat(np.arange(PARTS), [len(p) for p in np.array_split(np.arange(points), PARTS)])
    row = (np.arange(len(low))[:, None] * PARTS + part).ravel()
    column = (np.arange(points) * places + left).ravel()
    size = (len(low) * PARTS, points * places)
    both = np.concatenate([1 - share.ravel(), share.ravel()])
    where = (np.concatenate([row, row]), np.concatenate([column, column + 1]))
    return low, high, csr_array((both, where), shape=size)
