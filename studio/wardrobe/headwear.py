"""Caps with brims, visors and bucket hats, on the head's own shape."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from studio.draw.mesh import Floats, Ints, Mesh, join, make_mesh
from studio.draw.parts import Material, Part
from studio.performance import Body
from studio.wardrobe.cloth import Sheet, finer, inflated, rim_loops, smoothed
from studio.wardrobe.fabric import Colour, Fabric
from studio.wardrobe.hair import CROWN, head_sheet

KINDS = ("none", "cap", "visor", "bucket")


@dataclass(frozen=True, slots=True)
class Headwear:
    """What is on the head."""

    kind: str = "cap"
    colour: Colour = (0.7, 0.7, 0.7)
    brim: Colour = (0.05, 0.06, 0.09)
    badge: Colour = (0.5, 0.05, 0.05)
    backwards: bool = False


def headwear_parts(body: Body, wear: Headwear) -> list[Part]:
    """The hat, moved by the head alone."""
    if wear.kind == "none":
        return []
    sheet = _crown(body, wear.kind)
    head = body.bones.index("head")
    brim = _brim(sheet, wear)
    cloth = Fabric(wear.colour, crumple=0.25, weave=0.3).uniforms()
    edge = Fabric(wear.brim, crumple=0.15, weave=0.3).uniforms()
    return [
        Part("hat", _on_head(sheet.mesh, head), "cloth.frag", cloth, two_sided=True),
        Part("brim", _on_head(brim, head), "cloth.frag", edge, two_sided=True),
        *_badge(sheet, wear, head),
    ]


def _cap_line(at: Floats) -> Floats:
    """Height of a cap's edge: over the brow in front, low behind."""
    return 1.597 + 0.20 * (at[:, 0] - CROWN[0])


def _crown(body: Body, kind: str) -> Sheet:
    sheet = head_sheet(body)
    field = sheet.at[:, 2] - _cap_line(sheet.at)
    if kind == "visor":
        field = np.minimum(field, 0.034 - field)
    sheet = smoothed(finer(sheet.cut(field)), 16 if kind != "visor" else 3)
    above = np.clip((sheet.at[:, 2] - _cap_line(sheet.at)) / 0.05, 0, 1)
    sheet = inflated(sheet, 0.011 + 0.012 * above)
    return smoothed(sheet, 4)


def _brim(sheet: Sheet, wear: Headwear) -> Mesh:
    """From the edge forward (a cap's), or all the way round (a bucket hat's)."""
    loop = _lower_loop(sheet.mesh)
    ring = sheet.mesh.points[loop]
    middle = ring.mean(0)
    out = ring - middle
    out[:, 2] = 0
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    facing = -out[:, 0] if wear.backwards else out[:, 0]
    scale = sheet.scale
    if wear.kind == "bucket":
        reach, drop = np.full(len(loop), 0.055 * scale), np.full(len(loop), 0.035 * scale)
        order = np.arange(len(loop))
    else:
        shape = np.clip((facing - 0.30) / 0.70, 0, 1)
        reach = 0.078 * scale * np.sqrt(shape) * (0.6 + 0.4 * shape)
        drop = 0.006 * scale * shape + 0.038 * scale * (1 - shape) * np.sqrt(shape)
        order = _front_run(facing > 0.30)
    heading = out.copy()
    if wear.kind != "bucket":
        forward = np.array([-1.0 if wear.backwards else 1.0, 0.0, 0.0])
        heading = 0.35 * out + 0.65 * forward
    rows = []
    for part in (0.0, 0.35, 0.7, 1.0):
        lowered = -drop * part**1.5 - 0.004 * scale
        rows.append(
            ring + heading * (reach * part)[:, None] + np.array([0, 0, 1.0]) * lowered[:, None]
        )
    top = np.array(rows)[:, order]
    return _slab(top, 0.003 * scale, closed=wear.kind == "bucket")


def _lower_loop(mesh: Mesh) -> Ints:
    loops = [loop for loop in rim_loops(mesh) if len(loop) > 12]
    return min(loops, key=lambda loop: float(mesh.points[loop, 2].mean()))


def _front_run(wanted: np.ndarray) -> np.ndarray:
    """The round's indices where `wanted`, in one run."""
    start = int(np.flatnonzero(~wanted)[0])
    order = np.roll(np.arange(len(wanted)), -start)
    return order[wanted[order]]


def _slab(rows: Floats, thick: float, closed: bool) -> Mesh:
    """A thin plate over a grid of points, (n, k, 3)."""
    low = rows - np.array([0.0, 0.0, thick])
    count, around = rows.shape[:2]
    index = np.arange(count * around).reshape(count, around)
    if closed:
        index = np.hstack([index, index[:, :1]])
    a, b = index[:-1, :-1].ravel(), index[:-1, 1:].ravel()
    c, d = index[1:, 1:].ravel(), index[1:, :-1].ravel()
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    upper = make_mesh(rows.reshape(-1, 3), faces)
    lower = make_mesh(low.reshape(-1, 3), faces[:, ::-1])
    mesh = join([upper, lower])
    return replace(
        mesh,
        uv=np.stack([np.zeros(len(mesh)), mesh.points[:, 2]], 1),
        fold=np.full(len(mesh), 0.05),
    )


def _badge(sheet: Sheet, wear: Headwear, head: int) -> list[Part]:
    if wear.kind != "cap":
        return []
    points, mesh = sheet.mesh.points, sheet.mesh
    above = sheet.at[:, 2] - _cap_line(sheet.at)
    front = -sheet.at[:, 0] if wear.backwards else sheet.at[:, 0]
    inside = np.minimum(0.020 - np.abs(sheet.at[:, 1]), 0.022 - np.abs(above - 0.036))
    inside = np.where(front > CROWN[0], inside, -1)
    if not (inside > 0).any():
        return []
    patch = sheet.with_points(points).cut(inside)
    patch = inflated(patch, 0.0015)
    look: Material = {"base_colour": np.array(wear.badge), "roughness": 0.8, "shine": 0.05}
    del mesh
    return [Part("badge", _on_head(patch.mesh, head), "plain.frag", look, two_sided=True)]


def _on_head(mesh: Mesh, head: int) -> Mesh:
    weights = np.zeros_like(mesh.weights)
    weights[:, 0] = 1.0
    return replace(mesh, bones=np.full_like(mesh.bones, head), weights=weights)
