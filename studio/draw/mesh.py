"""Triangle meshes at rest, and what is done to them before they are drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import reverse_cuthill_mckee

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]
BONES = 8
"""Bones that may move one vertex."""


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """V vertices at rest, F triangles seen from outside counter-clockwise."""

    points: Floats
    """(V, 3) metres."""
    faces: Ints
    """(F, 3)."""
    bones: Ints
    """(V, 8) indices."""
    weights: Floats
    """(V, 8), rows sum to 1."""
    uv: Floats
    """(V, 2) texture coordinates; for cloth (around, along) in metres."""
    slack: Floats
    """(V,) metres that cloth may hang away from where the body carries it."""
    fold: Floats
    """(V,) how much the cloth creases here, 0 to 1."""
    normals: Floats | None = None
    """(V, 3), or None to take them from the faces."""
    shade: Floats | None = None
    """(V,) share of the sky that is seen at rest, 0 to 1, or None for 1."""

    def __len__(self) -> int:
        return len(self.points)


def make_mesh(
    points: Floats, faces: NDArray[np.integer], bone: int = 0, uv: Floats | None = None
) -> Mesh:
    """A mesh that one bone carries."""
    count = len(points)
    weights = np.zeros((count, BONES))
    weights[:, 0] = 1.0
    return Mesh(
        points=np.asarray(points, float),
        faces=np.asarray(faces, np.int32),
        bones=np.full((count, BONES), bone, np.int32),
        weights=weights,
        uv=np.zeros((count, 2)) if uv is None else uv,
        slack=np.zeros(count),
        fold=np.zeros(count),
    )


def join(meshes: list[Mesh]) -> Mesh:
    """One mesh of several."""
    starts = np.cumsum([0, *(len(mesh) for mesh in meshes[:-1])])
    faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=True)]
    return Mesh(
        points=np.concatenate([mesh.points for mesh in meshes]),
        faces=np.concatenate(faces).astype(np.int32),
        bones=np.concatenate([mesh.bones for mesh in meshes]),
        weights=np.concatenate([mesh.weights for mesh in meshes]),
        uv=np.concatenate([mesh.uv for mesh in meshes]),
        slack=np.concatenate([mesh.slack for mesh in meshes]),
        fold=np.concatenate([mesh.fold for mesh in meshes]),
        normals=np.concatenate([normals_of(mesh) for mesh in meshes]),
        shade=np.concatenate([shade_of(mesh) for mesh in meshes]),
    )


def keep_faces(mesh: Mesh, wanted: NDArray[np.bool_]) -> Mesh:
    """The part of a mesh made of the wanted faces, without loose vertices."""
    faces = mesh.faces[wanted]
    used, flat = np.unique(faces, return_inverse=True)
    return replace(
        take_vertices(mesh, used.astype(np.int32)), faces=flat.reshape(-1, 3).astype(np.int32)
    )


def take_vertices(mesh: Mesh, used: Ints) -> Mesh:
    """The chosen vertices in the chosen order (repeats allowed); faces are left as they are."""
    return replace(
        mesh,
        points=mesh.points[used],
        bones=mesh.bones[used],
        weights=mesh.weights[used],
        uv=mesh.uv[used],
        slack=mesh.slack[used],
        fold=mesh.fold[used],
        normals=None if mesh.normals is None else mesh.normals[used],
        shade=None if mesh.shade is None else mesh.shade[used],
    )


def ordered(mesh: Mesh) -> Mesh:
    """The same mesh with neighbours near each other in memory.

    A renderer that remembers the last vertices then works most of them out once.
    """
    order = reverse_cuthill_mckee(neighbours(len(mesh), mesh.faces), symmetric_mode=True)
    faces = np.argsort(order)[mesh.faces]
    along = np.lexsort((faces.max(1), faces.min(1)))
    return replace(take_vertices(mesh, order), faces=faces[along].astype(np.int32))


def normals_of(mesh: Mesh) -> Floats:
    """(V, 3) unit normals: those the mesh brings, else the faces' mean weighted by area."""
    if mesh.normals is not None:
        return mesh.normals
    return face_normals(mesh.points, mesh.faces)


def shade_of(mesh: Mesh) -> Floats:
    """(V,) share of the sky that is seen."""
    return np.ones(len(mesh)) if mesh.shade is None else mesh.shade


def face_normals(points: Floats, faces: Ints) -> Floats:
    """(V, 3) unit normals of the faces around each vertex, weighted by area."""
    corners = points[faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    total = np.zeros_like(points)
    for corner in range(3):
        np.add.at(total, faces[:, corner], across)
    return total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-12)


def neighbours(count: int, faces: Ints) -> csr_matrix:
    """(V, V) averaging matrix over the vertices that share an edge."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    both = np.concatenate([edges, edges[:, ::-1]])
    ones = np.ones(len(both))
    linked = csr_matrix((ones, (both[:, 0], both[:, 1])), shape=(count, count))
    linked.data[:] = 1.0
    degree = np.maximum(np.asarray(linked.sum(1)).ravel(), 1.0)
    return csr_matrix(linked.multiply(1.0 / degree[:, None]))


def subdivide(mesh: Mesh) -> Mesh:
    """Each triangle in four, with a vertex in the middle of each edge."""
    edges = np.sort(mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    unique, which = np.unique(edges, axis=0, return_inverse=True)
    middle = (which.reshape(-1, 3) + len(mesh)).astype(np.int32)
    a, b, c = mesh.faces.T
    ab, bc, ca = middle.T
    corners = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    faces = np.concatenate([np.stack(triangle, 1) for triangle in corners])
    bones, weights = _blend_weights(mesh, unique)

    def halfway(values: Floats) -> Floats:
        return np.concatenate([values, values[unique].mean(1)])

    return Mesh(
        points=halfway(mesh.points),
        faces=faces.astype(np.int32),
        bones=np.concatenate([mesh.bones, bones]),
        weights=np.concatenate([mesh.weights, weights]),
        uv=halfway(mesh.uv),
        slack=halfway(mesh.slack),
        fold=halfway(mesh.fold),
        shade=None if mesh.shade is None else halfway(mesh.shade),
    )


def _blend_weights(mesh: Mesh, pairs: NDArray[np.integer]) -> tuple[Ints, Floats]:
    bones = mesh.bones[pairs].reshape(len(pairs), -1)
    weights = mesh.weights[pairs].reshape(len(pairs), -1) / 2
    return pack_weights(dense_weights(bones, weights, int(mesh.bones.max()) + 1))


def dense_weights(bones: Ints, weights: Floats, count: int) -> Floats:
    """(V, B) weight of every bone."""
    dense = np.zeros((len(bones), count))
    np.add.at(dense, (np.arange(len(bones))[:, None], bones), weights)
    return dense


def pack_weights(dense: Floats) -> tuple[Ints, Floats]:
    """The eight strongest bones of each vertex and their weights, summing to 1."""
    if dense.shape[1] < BONES:
        dense = np.pad(dense, ((0, 0), (0, BONES - dense.shape[1])))
    order = np.argsort(-dense, axis=1, kind="stable")[:, :BONES]
    weights = np.take_along_axis(dense, order, axis=1)
    return order.astype(np.int32), weights / weights.sum(1, keepdims=True)
