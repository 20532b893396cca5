"""Trousers, shorts, skirts, belts and socks."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from studio.draw.anatomy import hull_mesh, template
from studio.draw.cut import cut
from studio.draw.mesh import Floats, Mesh, make_mesh
from studio.draw.parts import Material, Part
from studio.draw.solids import box
from studio.performance import Body
from studio.wardrobe.cloth import Sheet, finer, inflated, smoothed, straight_tubes, tights
from studio.wardrobe.fabric import Fabric

WAIST = 1.045
"""Where trousers end, template metres."""
HEMS = {"trousers": 0.055, "shorts": 0.50, "skirt": 0.58}


@dataclass(frozen=True, slots=True)
class Bottom:
    """What the legs wear."""

    kind: str
    """"trousers", "shorts" or "skirt"."""
    fabric: Fabric
    width: float = 1.0
    """Of the legs: 0.8 slim, 1.2 wide."""


def bottom_parts(body: Body, bottom: Bottom) -> list[Part]:
    """The garment, ready to draw."""
    cloth = bottom.fabric.uniforms()
    if bottom.kind == "skirt":
        return [Part(bottom.kind, _skirt(body), "cloth.frag", cloth, two_sided=True)]
    mesh = _legs(body, bottom)
    cloth["waist"] = float(mesh.points[:, 2].max())
    return [Part(bottom.kind, mesh, "cloth.frag", cloth, two_sided=True)]


def _legs(body: Body, bottom: Bottom) -> Mesh:
    sheet = tights(body)
    at = sheet.at
    field = np.minimum(WAIST - at[:, 2], at[:, 2] - HEMS[bottom.kind])
    sheet = sheet.cut(np.where(sheet.arm > 0.05, -1.0, field))
    sheet = finer(sheet)
    member = np.clip((0.80 - sheet.at[:, 2]) / 0.12, 0, 1)
    sheet = inflated(sheet, 0.006 + 0.006 * member)
    wide = bottom.width
    if bottom.kind == "trousers":
        profile = np.array([0.1, 0.35, 0.55, 1.0]), np.array([0.078, 0.076, 0.069, 0.068]) * wide
    else:
        profile = np.array([0.1, 0.3, 0.5]), np.array([0.086, 0.090, 0.094]) * wide
    sheet = straight_tubes(sheet, ("upperleg01", "foot"), profile, member)
    low = np.clip((0.5 - sheet.at[:, 2]) / 0.45, 0, 1) if bottom.kind == "trousers" else member
    sheet = smoothed(sheet, 2)
    fold = 0.35 + 0.4 * low
    uv = np.stack([np.zeros(len(sheet.mesh)), sheet.mesh.points[:, 2]], 1)
    return sheet.with_cloth(0.004 + 0.014 * low, fold, uv).mesh


def _skirt(body: Body) -> Mesh:
    mesh, vertex = hull_mesh(body, "helper-skirt")
    at = template()[vertex]
    mesh, (at,) = cut(mesh, np.minimum(WAIST + 0.01 - at[:, 2], at[:, 2] - HEMS["skirt"]), at)
    sheet = finer(Sheet(body, mesh, at, np.zeros(len(mesh))))
    sheet = inflated(sheet, 0.004)
    low = np.clip((0.95 - sheet.at[:, 2]) / 0.4, 0, 1)
    angle = np.arctan2(sheet.mesh.points[:, 1], sheet.mesh.points[:, 0])
    pleat = 0.008 * low * np.cos(angle * 22)
    sheet = inflated(sheet, pleat)
    uv = np.stack([np.zeros(len(sheet.mesh)), sheet.mesh.points[:, 2]], 1)
    return sheet.with_cloth(0.01 * low, 0.3 + 0.3 * low, uv).mesh


def belt_parts(body: Body, colour: Floats, buckle: Floats) -> list[Part]:
    """A belt about the waist, over trousers and a tucked shirt."""
    sheet = tights(body)
    field = np.minimum(sheet.at[:, 2] - (WAIST - 0.034), WAIST + 0.002 - sheet.at[:, 2])
    sheet = finer(sheet.cut(np.where(sheet.arm > 0.05, -1.0, field)), 1)
    mesh = inflated(sheet, 0.0145).mesh
    leather: Material = {"base_colour": colour, "roughness": 0.5, "shine": 0.35}
    metal: Material = {"base_colour": buckle, "roughness": 0.3, "shine": 0.9}
    return [
        Part("belt", mesh, "plain.frag", leather, two_sided=True),
        Part("buckle", _buckle(mesh), "plain.frag", metal),
    ]


def _buckle(belt: Mesh) -> Mesh:
    front = np.argsort(-belt.points[:, 0] + 4 * np.abs(belt.points[:, 1]))[:6]
    middle = belt.points[front].mean(0)
    half = np.array([0.004, 0.022, 0.017])
    points, faces = box(middle - half, middle + half)
    mesh = make_mesh(points, faces)
    count = len(points)
    return replace(
        mesh,
        bones=np.repeat(belt.bones[front[:1]], count, 0),
        weights=np.repeat(belt.weights[front[:1]], count, 0),
    )


def sock_parts(body: Body, colour: Floats, top: float = 0.16) -> list[Part]:
    """Socks up to a height of the template."""
    sheet = tights(body)
    field = np.minimum(top - sheet.at[:, 2], sheet.at[:, 2] - 0.05)
    sheet = inflated(sheet.cut(np.where(sheet.arm > 0.05, -1.0, field)), 0.003)
    look: Material = {"base_colour": colour, "roughness": 0.9, "shine": 0.03}
    return [Part("socks", sheet.mesh, "plain.frag", look, two_sided=True)]
