"""Pictures of trees and hedges: leaves scattered over round clumps, lit from one side."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from studio.draw.mesh import Floats

WIDTH, HEIGHT = 384, 448
KINDS = ("oak", "poplar", "pine", "bush")


@cache
def tree_picture(kind: str, seed: int, sun_side: int) -> NDArray[np.uint8]:
    """(448, 384, 4) square root of the albedo times its light, and cover; row 0 at the top.

    `sun_side` is -1 with the sun on the left, 1 on the right, 0 behind the camera.
    """
    rng = np.random.default_rng([seed, KINDS.index(kind), 3])
    clumps = _clumps(kind, rng)
    points, normals = _leaves(clumps, rng)
    toward_sun = np.array([0.75 * sun_side, 0.55, 0.75 - 0.35 * abs(sun_side)])
    toward_sun /= np.linalg.norm(toward_sun)
    lit = np.clip(normals @ toward_sun, 0, 1)
    inner = np.clip(0.35 + 0.65 * (normals[:, 1] * 0.5 + 0.5), 0, 1)
    shade = (0.30 + 0.95 * lit) * inner * rng.uniform(0.75, 1.25, len(points))
    hue = rng.normal(0, 1, (len(points), 1)) * np.array([0.020, 0.012, 0.004])
    base = {
        "oak": (0.085, 0.14, 0.030), "poplar": (0.11, 0.17, 0.035),
        "pine": (0.035, 0.075, 0.030), "bush": (0.075, 0.12, 0.030),
    }[kind]  # fmt: skip
    colour = np.clip(np.array(base) + hue, 0.005, 1) * shade[:, None]
    picture = np.zeros((HEIGHT, WIDTH, 4))
    _trunk(picture, kind)
    _stamp(picture, points, np.sqrt(np.clip(colour, 0, 1)), rng)
    return (np.clip(picture, 0, 1) * 255).astype(np.uint8)


def _clumps(kind: str, rng: np.random.Generator) -> Floats:
    """(n, 4) balls of leaves: x and depth -0.5..0.5, height 0..1, radius."""
    if kind == "pine":
        levels = np.linspace(0.12, 0.97, 26)
        wide = 0.34 * (1 - levels) ** 0.85 + 0.015
        around = rng.uniform(0, 2 * np.pi, (26, 5))
        x, deep = np.cos(around) * wide[:, None], np.sin(around) * wide[:, None]
        tall = np.repeat(levels[:, None], 5, 1) - 0.03
        size = np.repeat((0.32 * wide + 0.018)[:, None], 5, 1)
        return np.stack([x, deep, tall, size], -1).reshape(-1, 4)
    number, spread, centre, radius = {
        "oak": (70, (0.37, 0.29), 0.62, (0.04, 0.11)),
        "poplar": (80, (0.15, 0.43), 0.55, (0.03, 0.075)),
        "bush": (44, (0.42, 0.22), 0.22, (0.05, 0.13)),
    }[kind]
    ways = rng.normal(0, 1, (number, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    reach = rng.uniform(0.25, 1, (number, 1)) ** 0.6
    at = ways * reach * np.array([spread[0], spread[0], spread[1]]) + [0, 0, centre]
    return np.hstack([at, rng.uniform(*radius, (number, 1))])


def _leaves(clumps: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
    share = clumps[:, 3] ** 2
    which = rng.choice(len(clumps), 42_000, p=share / share.sum())
    ways = rng.normal(0, 1, (len(which), 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    lumpy = rng.uniform(0.55, 1.2, (len(which), 1))
    points = clumps[which, :3] + ways * clumps[which, 3:] * lumpy
    middle = clumps[:, :3].mean(0)
    overall = points - middle
    overall /= np.linalg.norm(overall, axis=1, keepdims=True) + 1e-9
    normals = 0.65 * ways + 0.45 * overall
    normals = normals[:, [0, 1, 2]] * np.array([1.0, -1.0, 1.0])
    return points, normals / np.linalg.norm(normals, axis=1, keepdims=True)


def _stamp(
    picture: NDArray[np.float64], points: Floats, colour: Floats, rng: np.random.Generator
) -> None:
    """Small leaves, the far ones first; a later one covers an earlier one."""
    order = np.argsort(-points[:, 1])
    points, colour = points[order], colour[order]
    columns = (points[:, 0] * 0.98 + 0.5) * WIDTH
    rows = (1 - points[:, 2]) * HEIGHT
    offsets = np.array([[0, 0], [1, 0], [0, 1], [1, 1], [-1, 0], [0, -1]])
    jitter = rng.integers(-1, 2, (len(points), 2))
    for column, row in offsets:
        x = np.clip(columns + column + jitter[:, 0] * (column != 0), 0, WIDTH - 1).astype(int)
        y = np.clip(rows + row + jitter[:, 1] * (row != 0), 0, HEIGHT - 1).astype(int)
        picture[y, x, :3] = colour
        picture[y, x, 3] = 1.0


def _trunk(picture: NDArray[np.float64], kind: str) -> None:
    if kind == "bush":
        return
    rows = np.arange(int(HEIGHT * 0.45), HEIGHT)
    half = np.interp(rows, [HEIGHT * 0.45, HEIGHT], [4, 9 if kind == "oak" else 6])
    for row, wide in zip(rows, half, strict=True):
        columns = np.arange(int(WIDTH / 2 - wide), int(WIDTH / 2 + wide))
        across = (columns - WIDTH / 2) / wide
        bark = np.sqrt(np.array([0.07, 0.05, 0.035])) * (0.75 + 0.25 * across[:, None])
        picture[row, columns, :3] = bark
        picture[row, columns, 3] = 1.0
