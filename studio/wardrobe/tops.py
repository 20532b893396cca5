"""Shirts, pullovers and jackets: trunk and sleeves of one cloth, collars."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from studio.draw.mesh import Floats, Ints, Mesh, face_normals, join
from studio.draw.parts import Part
from studio.performance import Body
from studio.wardrobe.cloth import (
    SIDES,
    Sheet,
    along_arm,
    finer,
    hung,
    inflated,
    rim_loops,
    smoothed,
    straight_tubes,
    tights,
)
from studio.wardrobe.fabric import Fabric

SLEEVES = {"none": 0.12, "short": 0.80, "half": 1.0, "long": 1.93}
"""Where a sleeve ends: share of the upper arm, then of the forearm."""

ARMHOLE = 0.62
"""Weight of the arm bones at which a sleeve is sewn on."""
BELT_TOP = 1.047
"""Height of a belt's upper edge, template metres."""
SLEEVE_M = 0.28
"""Metres of cloth along an upper arm, for patterns."""


@dataclass(frozen=True, slots=True)
class Top:
    """What the trunk wears."""

    fabric: Fabric
    sleeve: str = "short"
    collar: str = "polo"
    """"polo", "stand", "round" or "none"."""
    tucked: bool = True
    ease: float = 0.012
    """Metres that it stands off: 0.006 tight, 0.02 loose."""
    name: str = "shirt"
    cuff: bool = False
    """Sleeves end in another colour."""
    hem: float = 0.90
    """Height of an untucked hem, template metres."""


def top_parts(body: Body, top: Top) -> list[Part]:
    """The garment with its collar, ready to draw."""
    sheet = _cut_out(body, top)
    hull = sheet.mesh.points
    trunk = 1 - np.clip((sheet.arm - 0.3) / 0.4, 0, 1)
    sheet = inflated(sheet, top.ease * (0.6 + 0.4 * trunk))
    sheet = hung(sheet, top=1.27)
    sheet = _sleeves(sheet, top)
    sheet = smoothed(sheet, 3)
    sheet = _close_at_neck(sheet)
    if top.tucked:
        sheet = _tucked(sheet, hull)
    sheet = _draped(sheet, top)
    neck = float(sheet.mesh.points[_neck_loop(sheet.mesh), 2].min())
    cloth = {**top.fabric.uniforms(), "placket": neck - 0.17 if top.fabric.placket else 0.0}
    cloth["cuff"] = 3.0 - SLEEVE_M * (SLEEVES[top.sleeve] - 0.085) if top.cuff else 0.0
    parts = [Part(top.name, _sewn(sheet), "cloth.frag", cloth, two_sided=True)]
    if top.collar in ("polo", "stand"):
        look = {**top.fabric.uniforms(), "placket": 0.0, "pattern": 0, "crumple": 0.3}
        look["cuff"] = 0.0
        parts.append(Part("collar", _collar(sheet, top), "cloth.frag", look, two_sided=True))
    return parts


def _cut_out(body: Body, top: Top) -> Sheet:
    sheet = tights(body)
    at = sheet.at
    hem = 1.0 if top.tucked else top.hem
    neck = _neck_line(top) + 0.42 * (0.02 - at[:, 0])
    field = np.minimum(at[:, 2] - hem, neck - at[:, 2])
    field = np.where(sheet.arm > 0.5, 1.0, field)
    return finer(sheet.cut(np.minimum(field, _sleeve_field(sheet, SLEEVES[top.sleeve]))))


def _neck_line(top: Top) -> float:
    return {"polo": 1.402, "stand": 1.415, "round": 1.398, "none": 1.39}[top.collar]


def _sleeve_field(sheet: Sheet, end: float) -> Floats:
    """Metres of sleeve left below each vertex; large on the trunk."""
    left = np.full(len(sheet.mesh), 1.0)
    for side, sign in zip(SIDES, (1.0, -1.0), strict=True):
        share, length = _along_arm(sheet, side)
        mine = (sheet.at[:, 1] * sign > 0) & (sheet.arm > 0.02)
        left = np.where(mine, (end - share) * length, left)
    return left


def _along_arm(sheet: Sheet, side: str) -> tuple[Floats, float]:
    return along_arm(sheet.body, sheet.mesh.points, side)


def _sleeves(sheet: Sheet, top: Top) -> Sheet:
    member = np.clip((sheet.arm - 0.55) / 0.4, 0, 1)
    wide = 0.052 + 0.8 * top.ease
    upper = np.array([0.1, 0.4, 0.8, 1.0]), wide + np.array([0.0, 0.0, 0.006, 0.006])
    if top.sleeve in ("short", "half"):
        return straight_tubes(sheet, ("upperarm01", "lowerarm01"), upper, member)
    if top.sleeve == "long":
        slim = np.array([0.1, 0.6, 1.0]), np.array([0.058, 0.052, 0.046]) + 0.5 * top.ease
        slim[1][-1] -= 0.006
        lower = np.where(sheet.at[:, 2] < 1.16, member, 0.0)
        sheet = straight_tubes(sheet, ("upperarm01", "lowerarm01"), upper, member - lower)
        return straight_tubes(sheet, ("lowerarm01", "wrist"), slim, lower)
    return sheet


def _tucked(sheet: Sheet, hull: Floats) -> Sheet:
    """Drawn in under the belt, to the hull that it was cut from, with a small bag above it."""
    height, trunk = sheet.at[:, 2], sheet.arm < 0.3
    in_belt = (np.clip((BELT_TOP + 0.022 - height) / 0.022, 0, 1) * trunk)[:, None]
    bag = (np.exp(-(((height - BELT_TOP - 0.048) / 0.03) ** 2)) * trunk)[:, None]
    normals = face_normals(sheet.mesh.points, sheet.mesh.faces)
    inside = hull + 0.001 * sheet.scale * normals
    bagged = sheet.mesh.points + 0.009 * sheet.scale * bag * normals
    return sheet.with_points(bagged * (1 - in_belt) + inside * in_belt)


def _draped(sheet: Sheet, top: Top) -> Sheet:
    """How much each place may hang and crease."""
    at, arm = sheet.at, sheet.arm
    low = np.clip((1.30 - at[:, 2]) / 0.25, 0, 1) * (arm < 0.3)
    if top.tucked:
        low = low * np.clip((at[:, 2] - BELT_TOP - 0.02) / 0.07, 0, 1)
    sleeve = np.clip((arm - 0.6) / 0.3, 0, 1)
    slack = top.ease * (0.25 + 1.3 * low + 0.9 * sleeve)
    fold = np.clip(0.30 + 0.55 * low + 0.35 * sleeve, 0, 1) * min(1.0, top.ease / 0.012)
    return sheet.with_cloth(slack, fold, np.zeros((len(at), 2)))


def _sewn(sheet: Sheet) -> Mesh:
    """Trunk and sleeves cut apart at the armhole, each with its own run of the cloth."""
    normals = face_normals(sheet.mesh.points, sheet.mesh.faces)
    whole = replace(sheet, mesh=replace(sheet.mesh, normals=normals))
    trunk, sleeve = whole.cut(ARMHOLE - sheet.arm), whole.cut(sheet.arm - ARMHOLE)
    near_trunk, near_sleeve = (
        np.clip(1 - np.abs(part.arm - ARMHOLE) / 0.16, 0, 1) * 0.49 for part in (trunk, sleeve)
    )
    trunk_uv = np.stack([near_trunk, trunk.mesh.points[:, 2]], 1)
    sides = [_along_arm(sleeve, side)[0] for side in SIDES]
    down = np.where(sleeve.at[:, 1] > 0, *sides)
    sleeve_uv = np.stack([1 - near_sleeve, 3.0 - SLEEVE_M * down], 1)
    return join([replace(trunk.mesh, uv=trunk_uv), replace(sleeve.mesh, uv=sleeve_uv)])


def _collar(sheet: Sheet, top: Top) -> Mesh:
    """A stand about the neck, and for a polo shirt the leaf folded down over it."""
    loop = _neck_loop(sheet.mesh)
    scale = sheet.scale
    ring = sheet.mesh.points[loop]
    middle = ring.mean(0)
    out = ring - middle
    out[:, 2] = 0
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    up = np.array([-0.10, 0.0, 1.0])
    front = np.clip((out[:, 0] - 0.70) / 0.3, 0, 1)[:, None]
    tall = 0.026 if top.collar == "polo" else 0.045
    ring = ring - scale * 0.003 * out
    stand = ring + scale * (tall * up - 0.007 * out) * (1 - 0.5 * front)
    rows = [ring, (ring + stand) / 2, stand]
    if top.collar == "polo":
        tip = 0.022 * front**2
        fold = stand + scale * (0.005 * out - 0.001 * up)
        leaf = ring + scale * ((0.013 + 0.004 * front) * out - (0.010 + tip) * up)
        rows += [fold, (fold + leaf) / 2 + scale * 0.003 * out, leaf]
    return _strip(sheet.mesh, loop, np.array(rows))


def _close_at_neck(sheet: Sheet) -> Sheet:
    """The neckline lies on the neck, however loose the shirt is."""
    near = np.clip(1 - rim_distance(sheet, _neck_loop(sheet.mesh)) / 0.05, 0, 1)
    normals = face_normals(sheet.mesh.points, sheet.mesh.faces)
    return sheet.with_points(sheet.mesh.points - 0.006 * sheet.scale * near[:, None] * normals)


def rim_distance(sheet: Sheet, loop: Ints) -> Floats:
    """(V,) metres to the nearest vertex of a round."""
    away, _ = cKDTree(sheet.mesh.points[loop]).query(sheet.mesh.points)
    return np.asarray(away, np.float64)


def _neck_loop(mesh: Mesh) -> Ints:
    loops = rim_loops(mesh)
    return max(loops, key=lambda loop: float(mesh.points[loop, 2].mean()))


def _strip(mesh: Mesh, loop: Ints, rows: Floats) -> Mesh:
    """Rows of points sewn together, moved as the loop they rise from. Open at the front."""
    count = len(loop)
    opening = int(np.argmax(rows[0][:, 0]))
    order = np.roll(np.arange(count), -opening - 1)
    index = np.arange(len(rows) * count).reshape(len(rows), count)[:, order]
    a, b = index[:-1, :-1].ravel(), index[:-1, 1:].ravel()
    c, d = index[1:, 1:].ravel(), index[1:, :-1].ravel()
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)]).astype(np.int32)
    points = rows.reshape(-1, 3)
    repeat = np.tile(loop, len(rows))
    return replace(
        mesh,
        points=points,
        faces=faces,
        bones=mesh.bones[repeat],
        weights=mesh.weights[repeat],
        uv=np.stack([np.zeros(len(points)), points[:, 2]], 1),
        slack=np.zeros(len(points)),
        fold=np.full(len(points), 0.1),
        normals=None,
        shade=None,
    )
