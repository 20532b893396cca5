"""Simple solids as points and triangles: tubes, balls, boxes, lofts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from studio.draw.mesh import Floats, Ints


def loft(rings: Floats, closed_ends: bool = True) -> tuple[Floats, Ints]:
    """A skin over `rings` (n, k, 3), each counter-clockwise seen from the last ring's side."""
    count, around = rings.shape[:2]
    index = np.arange(count * around).reshape(count, around)
    following = np.roll(index, -1, axis=1)
    a, b = index[:-1].ravel(), following[:-1].ravel()
    c, d = following[1:].ravel(), index[1:].ravel()
    faces = [np.stack([a, b, c], 1), np.stack([a, c, d], 1)]
    points = rings.reshape(-1, 3)
    if closed_ends:
        middle = np.stack([rings[0].mean(0), rings[-1].mean(0)])
        points = np.vstack([points, middle])
        first, last = count * around, count * around + 1
        faces.append(np.stack([following[0], index[0], np.full(around, first)], 1))
        faces.append(np.stack([index[-1], following[-1], np.full(around, last)], 1))
    return points, np.concatenate(faces).astype(np.int32)


def frame_along(axis: Floats) -> tuple[Floats, Floats]:
    """Two unit vectors square to an axis and to each other; first × second is the axis."""
    axis = axis / np.linalg.norm(axis)
    other = np.array([1.0, 0.0, 0.0]) if abs(axis[0]) < 0.8 else np.array([0.0, 1.0, 0.0])
    first = np.cross(other, axis)
    first /= np.linalg.norm(first)
    return first, np.cross(axis, first)


def tube(spine: Floats, radii: Floats, around: int = 12) -> tuple[Floats, Ints]:
    """A round tube along `spine` (n, 3), nearly straight, with a radius at each point."""
    first, second = frame_along(spine[-1] - spine[0])
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)
    circle = np.cos(angle)[:, None] * first + np.sin(angle)[:, None] * second
    rings = spine[:, None] + circle[None] * np.asarray(radii)[:, None, None]
    return loft(rings)


def ball(centre: Floats, radii: Floats | float, bands: int = 12) -> tuple[Floats, Ints]:
    """An ellipsoid."""
    polar = np.linspace(0.02, np.pi - 0.02, bands)
    angle = np.linspace(0, 2 * np.pi, 2 * bands, endpoint=False)
    height = -np.cos(polar)[:, None] * np.ones(len(angle))
    out = np.sin(polar)[:, None]
    rings = np.stack([out * np.cos(angle), out * np.sin(angle), height], -1)
    return loft(centre + rings * np.broadcast_to(radii, 3))


def box(low: Floats, high: Floats) -> tuple[Floats, Ints]:
    """A box with sharp edges: four corners for each face."""
    points: list[Floats] = []
    faces: list[NDArray[np.int64]] = []
    for axis in range(3):
        for side, end in enumerate((low, high)):
            u, v = (axis + 1) % 3, (axis + 2) % 3
            corners = np.tile(np.asarray(end, float), (4, 1))
            corners[:, u] = [low[u], high[u], high[u], low[u]]
            corners[:, v] = [low[v], low[v], high[v], high[v]]
            order = np.array([[0, 1, 2], [0, 2, 3]])
            start = 4 * len(points)
            faces.append(start + (order if side else order[:, ::-1]))
            points.append(corners)
    return np.concatenate(points), np.concatenate(faces).astype(np.int32)
