"""A tile of cloth relief: folds as it hangs, folds as it is crushed, and small crumples."""

from __future__ import annotations

from functools import cache

import moderngl
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, map_coordinates

from studio.draw import gl
from studio.draw.mesh import Floats

SIZE = 512


@cache
def folds_tile() -> NDArray[np.uint8]:
    """(512, 512, 3): drape (ridges along v), crush (ridges across v), crumple. It repeats."""
    rng = np.random.default_rng(5)
    drape = _ridges(rng, (60.0, 20.0), 26.0)
    crush = _ridges(rng, (15.0, 40.0), 22.0)
    crumple = _even(_soft(rng, (6.0, 6.0)) + 0.6 * _soft(rng, (2.5, 2.5)))
    return (np.stack([drape, crush, crumple], -1) * 255).astype(np.uint8)


@cache
def folds_texture() -> moderngl.Texture:
    """The tile in the graphics memory."""
    return gl.picture_texture(folds_tile(), repeat=True)


def _soft(rng: np.random.Generator, width: tuple[float, float]) -> Floats:
    noise = gaussian_filter(rng.normal(0, 1, (SIZE, SIZE)), width, mode="wrap")
    return noise / noise.std()


def _ridges(rng: np.random.Generator, width: tuple[float, float], warp: float) -> Floats:
    """Long folds with sharp crests, bent by a slow noise."""
    base = _soft(rng, width)
    rows, columns = np.mgrid[0:SIZE, 0:SIZE].astype(float)
    bent = [
        rows + warp * _soft(rng, (50.0, 50.0)),
        columns + warp * _soft(rng, (50.0, 50.0)),
    ]
    warped = map_coordinates(base, bent, order=1, mode="grid-wrap")
    second = map_coordinates(
        _soft(rng, (width[0] / 2, width[1] / 2)), bent, order=1, mode="grid-wrap"
    )
    crest = 1.0 - np.minimum(np.abs(warped), 1.6) / 1.6
    return _even(gaussian_filter(crest + 0.25 * second, 3.0, mode="wrap"))


def _even(values: Floats) -> Floats:
    low, high = np.percentile(values, [0.5, 99.5])
    return np.clip((values - low) / (high - low), 0, 1)
