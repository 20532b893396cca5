"""Cutting cloth from a body's hull, and letting it stand off and hang.

Fields say where cloth is: positive inside. They are written on the template's heights, so that a
hem lies at the same place of every body: metres above the template's soles (stature 1.666 m).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_matrix

from studio.draw.anatomy import bone_at, hull_mesh, template
from studio.draw.cut import cut
from studio.draw.mesh import Floats, Ints, Mesh, face_normals, neighbours, subdivide
from studio.performance import Body

SIDES = ("L", "R")
TEMPLATE_STATURE = 1.666


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A piece of a hull, with the template's place of each vertex."""

    body: Body
    mesh: Mesh
    at: Floats
    """(V, 3) template metres."""
    arm: Floats
    """(V,) weight of the arm bones."""

    @property
    def scale(self) -> float:
        """Size of this body against the template."""
        return self.body.stature_m / TEMPLATE_STATURE

    def cut(self, field: Floats) -> Sheet:
        """The part where the field is positive."""
        mesh, (at, arm) = cut(self.mesh, field, self.at, self.arm)
        return replace(self, mesh=mesh, at=at, arm=arm)

    def with_points(self, points: Floats) -> Sheet:
        """The same sheet, moved."""
        return replace(self, mesh=replace(self.mesh, points=points, normals=None))

    def with_cloth(self, slack: Floats | float, fold: Floats | float, uv: Floats) -> Sheet:
        """The same sheet with how it hangs and creases."""
        count = len(self.mesh)
        mesh = replace(
            self.mesh,
            slack=np.broadcast_to(slack, count).astype(float),
            fold=np.broadcast_to(fold, count).astype(float),
            uv=uv,
        )
        return replace(self, mesh=mesh)


def tights(body: Body) -> Sheet:
    """The hull of trunk, arms and legs, neck to toes."""
    mesh, vertex = hull_mesh(body, "helper-tights")
    arms = tuple(
        f"{name}.{side}"
        for name in ("upperarm01", "upperarm02", "lowerarm01", "lowerarm02", "wrist")
        for side in SIDES
    )
    chosen = np.isin(np.array(body.bones), arms)
    arm = (body.skin_weights * chosen[body.skin_bones]).sum(1)
    return Sheet(body, mesh, template()[vertex], arm[vertex])


def finer(sheet: Sheet, smooth: int = 2) -> Sheet:
    """Twice as fine, rounded; edges stay where they were cut."""
    mesh = subdivide(replace(sheet.mesh, normals=None))
    edges = np.sort(sheet.mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    unique = np.unique(edges, axis=0)
    grown = replace(
        sheet,
        mesh=mesh,
        at=np.concatenate([sheet.at, sheet.at[unique].mean(1)]),
        arm=np.concatenate([sheet.arm, sheet.arm[unique].mean(1)]),
    )
    return smoothed(grown, smooth)


def smoothed(sheet: Sheet, times: int, keep: Floats | float = 0.0) -> Sheet:
    """Average with the neighbours; the rim moves only along itself. `keep` (V,) holds back."""
    mesh = sheet.mesh
    average = neighbours(len(mesh), mesh.faces)
    along = rim_average(mesh)
    rim = rim_vertices(mesh)
    points = mesh.points
    hold = np.broadcast_to(keep, len(mesh))[:, None]
    for _ in range(times):
        moved = average @ points
        moved[rim] = (along @ points)[rim]
        points = hold * points + (1 - hold) * moved
    return sheet.with_points(points)


def rim_edges(mesh: Mesh) -> Ints:
    """(E, 2) edges that belong to one triangle only, in its direction."""
    edges = mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    _, first, count = np.unique(
        np.sort(edges, axis=1), axis=0, return_index=True, return_counts=True
    )
    return edges[first[count == 1]]


def rim_vertices(mesh: Mesh) -> Ints:
    """Vertices on the mesh's edges."""
    return np.unique(rim_edges(mesh))


def rim_average(mesh: Mesh) -> csr_matrix:
    """Sparse averaging along the rim."""
    edges = rim_edges(mesh)
    doubled = np.stack([edges[:, 0], edges[:, 1], edges[:, 0]], 1)
    return neighbours(len(mesh), doubled.astype(np.int32))


def rim_loops(mesh: Mesh) -> list[Ints]:
    """The mesh's edges as closed rounds of vertices, each in order."""
    following = {int(a): int(b) for a, b in rim_edges(mesh)}
    loops = []
    while following:
        start, at = next(iter(following.items()))
        del following[start]
        loop = [start]
        while at in following:
            loop.append(at)
            at = following.pop(at)
        loops.append(np.array(loop, np.int32))
    return sorted(loops, key=len, reverse=True)


def inflated(sheet: Sheet, amount: Floats | float) -> Sheet:
    """Moved out along the normals."""
    normals = face_normals(sheet.mesh.points, sheet.mesh.faces)
    out = np.broadcast_to(amount, len(sheet.mesh))[:, None] * sheet.scale
    return sheet.with_points(sheet.mesh.points + normals * out)


def tube_about(points: Floats, start: Floats, end: Floats) -> tuple[Floats, Floats, Floats]:
    """Share along an axis (V,), radius (V,) and unit direction out of it (V, 3)."""
    axis = (end - start) / np.linalg.norm(end - start)
    along = (points - start) @ axis
    out = points - start - along[:, None] * axis
    radius = np.linalg.norm(out, axis=1)
    share = along / np.linalg.norm(end - start)
    return share, radius, out / np.maximum(radius, 1e-9)[:, None]


def hung(sheet: Sheet, top: float, inward: float = 0.22) -> Sheet:
    """Cloth falls straight from what carries it: below `top` it follows no hollow of the trunk.

    The radius about the trunk's axis may shrink downward no faster than `inward` per metre fallen.
    """
    points = sheet.mesh.points
    centre = bone_at(sheet.body, "spine03")[:2]
    flat = points[:, :2] - centre
    angle = np.arctan2(flat[:, 1], flat[:, 0])
    radius = np.linalg.norm(flat, axis=1)
    trunk = sheet.arm < 0.3
    bins = np.round((angle + np.pi) / (2 * np.pi) * 36).astype(int) % 36
    height, limit = points[:, 2], radius.copy()
    roof = top * sheet.scale
    for column in range(36):
        near = np.isin(bins, [(column - 1) % 36, column, (column + 1) % 36]) & trunk
        mine = np.flatnonzero((bins == column) & trunk & (height < roof))
        others = np.flatnonzero(near & (height < roof))
        if len(mine) and len(others):
            drop = height[others][None] - height[mine][:, None]
            carried = radius[others][None] - inward * drop
            limit[mine] = np.max(np.where(drop >= 0, carried, 0.0), axis=1, initial=0.0)
    limit = np.maximum(limit, radius)
    grown = points.copy()
    grown[:, :2] = centre + flat * (limit / np.maximum(radius, 1e-9))[:, None]
    return sheet.with_points(grown)


def straight_tubes(
    sheet: Sheet, bones: tuple[str, str], profile: tuple[Floats, Floats], member: Floats
) -> Sheet:
    """Sleeves and legs keep at least the radius of a profile.

    `profile`: shares along the limb, radii in template metres; `member` (V,) fades it in, 0 to 1.
    """
    points = sheet.mesh.points.copy()
    for side, sign in zip(SIDES, (1.0, -1.0), strict=True):
        start, end = (bone_at(sheet.body, f"{name}.{side}") for name in bones)
        mine = (sheet.at[:, 1] * sign > 0) & (member > 0)
        share, radius, out = tube_about(points[mine], start, end)
        wanted = np.interp(share, *profile) * sheet.scale
        extra = np.maximum(0.0, wanted - radius) * member[mine]
        points[mine] += out * extra[:, None]
    return sheet.with_points(points)


def along_arm(body: Body, points: Floats, side: str) -> tuple[Floats, float]:
    """Share along the upper arm (0 to 1) and the forearm (1 to 2) of rest points.

    And the upper arm's length, metres.
    """
    shoulder, elbow, wrist = (
        bone_at(body, f"{name}.{side}") for name in ("upperarm01", "lowerarm01", "wrist")
    )
    upper = tube_about(points, shoulder, elbow)[0]
    fore = tube_about(points, elbow, wrist)[0]
    bend = points - elbow
    past = bend @ _unit(wrist - elbow) > bend @ _unit(shoulder - elbow)
    share = np.where(past, 1 + np.maximum(fore, 0), np.minimum(upper, 1))
    return share, float(np.linalg.norm(elbow - shoulder))


def _unit(vector: Floats) -> Floats:
    return vector / np.linalg.norm(vector)
