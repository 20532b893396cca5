"""Hair: a shell over the scalp, thicker away from the hairline; a bob; a pony tail."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from studio.draw.anatomy import bone_at, bone_weight, hull_mesh, template, welded_mesh
from studio.draw.cut import cut
from studio.draw.mesh import Floats, Mesh, make_mesh, subdivide
from studio.draw.parts import Material, Part
from studio.draw.solids import loft
from studio.performance import Body
from studio.wardrobe.cloth import Sheet, finer, inflated, smoothed
from studio.wardrobe.fabric import Colour

CROWN = np.array([0.055, 0.0])
"""Where the head's upright axis stands in the template, (x, y)."""
_LINE_DEG = np.array([0.0, 25.0, 42.0, 58.0, 72.0, 84.0, 94.0, 112.0, 126.0, 145.0, 180.0])
_LINE_Z = np.array([1.622, 1.620, 1.612, 1.590, 1.560, 1.525, 1.568, 1.572, 1.520, 1.478, 1.462])
STYLES = ("bald", "cropped", "short", "full", "bob", "pony")


@dataclass(frozen=True, slots=True)
class Hair:
    """A head of hair."""

    style: str = "short"
    colour: Colour = (0.03, 0.02, 0.012)
    grey: float = 0.0
    receding: float = 0.0
    """0 none, 1 far back."""


def hair_parts(body: Body, hair: Hair, capped: bool) -> list[Part]:
    """The hair as it shows, with or without something on the head."""
    if hair.style == "bald":
        return []
    meshes = [_scalp(body, hair, capped)]
    if hair.style == "bob":
        meshes.append(_bob(body, capped))
    if hair.style == "pony":
        meshes.append(_pony(body))
    base = np.array(hair.colour)
    look: Material = {"base_colour": base * (1 - hair.grey) + 0.35 * hair.grey, "grey": hair.grey}
    return [
        Part(f"hair{i}", mesh, "hair.frag", look, two_sided=True) for i, mesh in enumerate(meshes)
    ]


def above_line(at: Floats, receding: float = 0.0) -> Floats:
    """Metres above the hairline, (V,), of template places on the head."""
    away = np.degrees(np.abs(np.arctan2(at[:, 1], at[:, 0] - CROWN[0])))
    back = receding * 0.035 * np.exp(-(((away - 28) / 30) ** 2))
    return at[:, 2] - np.interp(away, _LINE_DEG, _LINE_Z) - back


def head_sheet(body: Body) -> Sheet:
    """The outer skin of the skull, as a sheet with template places."""
    mesh, vertex = welded_mesh(body)
    at = template()[vertex]
    outside = np.linalg.norm(at[:, :2] - CROWN, axis=1) > 0.05
    near = (at[:, 2] > 1.43) & (outside | (at[:, 2] > 1.63))
    eyes = bone_weight(body, "eye.")[vertex] > 0.5
    mesh, (at,) = cut(mesh, np.where(near & ~eyes, 1.0, -1.0), at)
    return Sheet(body, mesh, at, np.zeros(len(mesh)))


def _scalp(body: Body, hair: Hair, capped: bool) -> Mesh:
    sheet = head_sheet(body)
    sheet = finer(sheet.cut(above_line(sheet.at, hair.receding)))
    above = above_line(sheet.at, hair.receding)
    thick = {"cropped": 0.004, "short": 0.016, "full": 0.028, "bob": 0.013, "pony": 0.008}
    top = np.clip((sheet.at[:, 2] - 1.575) / 0.07, 0, 1) ** 1.3
    sides = 0.25 if hair.style in ("short", "cropped") else 0.55
    tousled = 1 + 0.28 * _lumps(sheet.at, 38.0) + 0.18 * _lumps(sheet.at, 90.0)
    parted = 1 - 0.35 * np.exp(-(((sheet.at[:, 1] - 0.028) / 0.007) ** 2)) * top
    grown = thick[hair.style] * (sides + (1 - sides) * top) * tousled * parted
    grown = (0.0025 + grown) * np.clip(above / 0.026, 0.10, 1)
    if capped:
        grown = np.minimum(grown, 0.0065)
    sheet = inflated(smoothed(sheet, 1), grown)
    return _with_rim(sheet.mesh, above)


def _lumps(at: Floats, rate: float) -> Floats:
    """A smooth unevenness about 0, for locks."""
    x, y, z = (rate * at).T
    return np.sin(x + 1.7 * np.sin(0.8 * y)) * np.sin(1.2 * y + 0.5) * np.cos(0.9 * z + 0.6 * x)


def _with_rim(mesh: Mesh, inside: Floats) -> Mesh:
    """The distance to the hairline rides in `fold`, for ragged edges."""
    return replace(mesh, fold=np.clip(inside / 0.02, 0, 1), normals=None)


def _bob(body: Body, capped: bool) -> Mesh:
    mesh, vertex = hull_mesh(body, "helper-hair")
    at = template()[vertex]
    field = np.minimum(at[:, 2] - 1.445, (1.60 if capped else 1.70) - at[:, 2])
    front = 0.115 - at[:, 0]
    mesh, (at,) = cut(mesh, np.minimum(field, front), at)
    sheet = finer(Sheet(body, mesh, at, np.zeros(len(mesh))), 1)
    return _with_rim(sheet.mesh, sheet.at[:, 2] - 1.445)


def _pony(body: Body) -> Mesh:
    """A tail from the back of the head, its end leaning on the back."""
    scale = body.stature_m / 1.666
    head = bone_at(body, "head")
    root = head + scale * np.array([-0.095, 0.0, 0.075])
    steps = np.linspace(0, 1, 12)
    spine = root + scale * np.stack(
        [
            -0.055 * np.sin(steps * 2.2) * (1 - 0.4 * steps),
            0 * steps,
            0.02 * np.sin(steps * 3) - 0.26 * steps**1.4,
        ],
        1,
    )
    radius = (
        scale
        * 0.024
        * (0.45 + 1.0 * np.sin(np.pi * np.clip(steps * 0.85 + 0.12, 0, 1)))
        * (1 - 0.5 * steps**4)
    )
    angle = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    circle = np.stack([np.cos(angle) * 0.8, np.sin(angle), 0 * angle], 1)
    rings = spine[:, None] + circle[None] * radius[:, None, None]
    points, faces = loft(rings[::-1])
    mesh = make_mesh(points, faces, body.bones.index("head"))
    share = np.clip((root[2] - points[:, 2]) / (0.26 * scale), 0, 1) * 0.6
    weights, bones = mesh.weights.copy(), mesh.bones.copy()
    bones[:, 1] = body.bones.index("spine01")
    weights[:, 0], weights[:, 1] = 1 - share, share
    return subdivide(replace(mesh, bones=bones, weights=weights, fold=np.ones(len(points))))
