"""A golf glove on the lead hand, or on both."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from studio.draw.anatomy import bone_at, skin_mesh
from studio.draw.cut import cut
from studio.draw.mesh import Floats, normals_of
from studio.draw.parts import Material, Part
from studio.performance import Body


def hand_field(body: Body, points: Floats, side: str) -> Floats:
    """Metres of hand beyond the wrist's crease, (V,): positive on the hand."""
    elbow, wrist = bone_at(body, f"lowerarm01.{side}"), bone_at(body, f"wrist.{side}")
    along = (points - wrist) @ ((wrist - elbow) / np.linalg.norm(wrist - elbow))
    near = np.linalg.norm(points - wrist, axis=1) < 0.30
    return np.where(near, along + 0.004, -1.0)


def glove_parts(body: Body, colour: Floats, sides: tuple[str, ...] = ("L",)) -> list[Part]:
    """Leather over the skin of a hand."""
    parts = []
    for side in sides:
        mesh, _ = skin_mesh(body)
        mesh = cut(mesh, hand_field(body, mesh.points, side))[0]
        grown = replace(mesh, points=mesh.points + 0.0018 * normals_of(mesh))
        look: Material = {"base_colour": colour, "roughness": 0.6, "shine": 0.2}
        parts.append(Part(f"glove {side}", grown, "plain.frag", look, two_sided=True))
    return parts
