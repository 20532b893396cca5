"""Where cloth is squeezed together as the body moves: there it folds, across the squeeze."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from studio.draw.mesh import Floats, Mesh, neighbours


class Strain:
    """Squeeze of one cloth mesh around the limb and along it, from its posed points.

    `along` is the direction in which the mesh's second texture coordinate grows.
    """

    def __init__(self, mesh: Mesh) -> None:
        self._faces = mesh.faces
        self._count = len(mesh)
        first, second = _edges(mesh.points, mesh.faces)
        normal = np.cross(first, second)
        area = np.linalg.norm(normal, axis=1, keepdims=True)
        normal = normal / np.maximum(area, 1e-12)
        along = _slope(mesh.uv[:, 1], mesh.faces, (first, second, normal, area))
        around = np.cross(along, normal)
        flat = np.stack(
            [
                np.stack([(first * around).sum(1), (second * around).sum(1)], 1),
                np.stack([(first * along).sum(1), (second * along).sum(1)], 1),
            ],
            1,
        )
        flat[np.abs(np.linalg.det(flat)) < 1e-10] = np.eye(2) * 1e3
        self._inverse = np.linalg.inv(flat)
        self._soften = neighbours(self._count, self._faces)
        corners = self._faces.ravel(), np.arange(self._faces.size) // 3
        self._around = csr_matrix(
            (np.ones(self._faces.size), corners), shape=(self._count, len(self._faces))
        )

    def squeeze(self, points: Floats) -> NDArray[np.float32]:
        """(V, 2) shares by which the cloth is shorter than at rest: around and along.

        A stretch in one direction counts a little for the other: pulled cloth folds lengthwise.
        """
        edges = np.stack(_edges(points, self._faces), 2)
        moved = edges @ self._inverse
        length = np.linalg.norm(moved, axis=1)
        short = np.clip(1.0 - length, 0.0, 0.6)
        pulled = np.clip(length[:, ::-1] - 1.08, 0.0, 0.5)
        each = short + 0.6 * pulled
        area = np.linalg.norm(np.cross(edges[:, :, 0], edges[:, :, 1]), axis=1)[:, None]
        spread = self._around @ (each * area) / np.maximum(self._around @ area, 1e-12)
        for _ in range(2):
            spread = 0.4 * spread + 0.6 * (self._soften @ spread)
        return spread.astype(np.float32)


def _edges(points: Floats, faces: NDArray[np.int32]) -> tuple[Floats, Floats]:
    a, b, c = (points[faces[:, corner]] for corner in range(3))
    return b - a, c - a


def _slope(
    values: Floats, faces: NDArray[np.int32], frame: tuple[Floats, Floats, Floats, Floats]
) -> Floats:
    """(F, 3) unit direction on each face in which a vertex value grows fastest."""
    first, second, normal, area = frame
    rise = values[faces[:, 1]] - values[faces[:, 0]], values[faces[:, 2]] - values[faces[:, 0]]
    slope = rise[0][:, None] * np.cross(second, normal) + rise[1][:, None] * np.cross(normal, first)
    slope = slope / np.maximum(area, 1e-12)
    size = np.linalg.norm(slope, axis=1, keepdims=True)
    upward = np.array([0.0, 0.0, 1.0]) - normal * normal[:, 2:]
    upward = upward / np.maximum(np.linalg.norm(upward, axis=1, keepdims=True), 1e-9)
    return np.where(size > 0.05, slope / np.maximum(size, 1e-9), upward)
