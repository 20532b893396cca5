"""Cutting meshes along level lines of a field, as cloth is cut: hems come out smooth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from studio.draw.mesh import (
    Floats,
    Ints,
    Mesh,
    dense_weights,
    keep_faces,
    pack_weights,
)


def cut(mesh: Mesh, field: Floats, *carried: Floats) -> tuple[Mesh, list[Floats]]:
    """The part of a mesh where `field` (V,) is positive, cut across triangles.

    Each of `carried`, (V, ...) values of the vertices, comes back for the new vertices.
    """
    inside = field > 0
    crossing = _crossing_edges(mesh.faces, inside)
    share = _crossing_share(field, crossing)
    whole = _extended(mesh, crossing, share)
    values = [np.concatenate([value, _between(value, crossing, share)]) for value in carried]
    faces = _cut_faces(mesh.faces, inside, crossing, len(mesh))
    grown = replace(whole, faces=faces)
    used = np.unique(faces)
    return keep_faces(grown, np.ones(len(faces), bool)), [value[used] for value in values]


def _crossing_edges(faces: Ints, inside: np.ndarray) -> Ints:
    edges = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    return np.unique(edges[inside[edges[:, 0]] != inside[edges[:, 1]]], axis=0)


def _crossing_share(field: Floats, edges: Ints) -> Floats:
    a, b = field[edges[:, 0]], field[edges[:, 1]]
    return np.clip(a / np.where(a == b, 1.0, a - b), 0.02, 0.98)


def _between(values: Floats, edges: Ints, share: Floats) -> Floats:
    part = share.reshape(-1, *([1] * (values.ndim - 1)))
    return values[edges[:, 0]] * (1 - part) + values[edges[:, 1]] * part


def _extended(mesh: Mesh, edges: Ints, share: Floats) -> Mesh:
    count = int(mesh.bones.max()) + 1
    a, b = edges.T
    dense = (
        dense_weights(mesh.bones[a], mesh.weights[a], count) * (1 - share[:, None])
        + dense_weights(mesh.bones[b], mesh.weights[b], count) * share[:, None]
    )
    bones, weights = pack_weights(dense)

    def grown(values: Floats) -> Floats:
        return np.concatenate([values, _between(values, edges, share)])

    return Mesh(
        points=grown(mesh.points),
        faces=mesh.faces,
        bones=np.concatenate([mesh.bones, bones]),
        weights=np.concatenate([mesh.weights, weights]),
        uv=grown(mesh.uv),
        slack=grown(mesh.slack),
        fold=grown(mesh.fold),
        normals=None if mesh.normals is None else grown(mesh.normals),
        shade=None if mesh.shade is None else grown(mesh.shade),
    )


def _cut_faces(faces: Ints, inside: np.ndarray, edges: Ints, start: int) -> Ints:
    """Whole triangles kept; a triangle with one corner inside gives one, with two gives two."""
    lookup = {(int(a), int(b)): start + i for i, (a, b) in enumerate(edges)}

    def at(a: int, b: int) -> int:
        return lookup[(a, b) if a < b else (b, a)]

    corners = inside[faces]
    number = corners.sum(1)
    made = [faces[number == 3]]
    for face, flags in zip(faces[number == 1], corners[number == 1], strict=True):
        a, b, c = np.roll(face, -int(np.argmax(flags)))
        made.append(np.array([[a, at(a, b), at(a, c)]]))
    for face, flags in zip(faces[number == 2], corners[number == 2], strict=True):
        a, b, c = np.roll(face, -int(np.argmin(flags)))
        made.append(np.array([[at(a, b), b, c], [at(a, b), c, at(a, c)]]))
    return np.concatenate(made).astype(np.int32)
