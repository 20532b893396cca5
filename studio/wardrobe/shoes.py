"""Golf shoes: the foot's hull without toes, on a sole."""

from __future__ import annotations

import numpy as np

from studio.draw.mesh import Floats
from studio.draw.parts import Part
from studio.performance import Body
from studio.wardrobe.cloth import finer, inflated, smoothed, tights

ANKLE = 0.098


def shoe_parts(body: Body, upper: Floats, sole: Floats, trim: Floats) -> list[Part]:
    """Both shoes."""
    sheet = tights(body)
    field = np.where(
        sheet.arm > 0.05, -1.0, ANKLE + 0.10 * (0.02 - sheet.at[:, 0]) - sheet.at[:, 2]
    )
    sheet = finer(sheet.cut(field), 3)
    sheet = inflated(sheet, 0.006)
    sheet = smoothed(sheet, 2)
    points = sheet.mesh.points.copy()
    low = np.clip((0.030 - points[:, 2]) / 0.012, 0, 1)
    out = np.zeros_like(points)
    for sign in (1.0, -1.0):
        mine = points[:, 1] * sign > 0
        middle = points[mine].mean(0)
        away = points[mine, :2] - middle[:2]
        out[mine, :2] = away / np.maximum(np.linalg.norm(away, axis=1, keepdims=True), 1e-9)
    points += 0.006 * low[:, None] * out
    points[:, 2] = np.maximum(points[:, 2], 0.0)
    sheet = sheet.with_points(points)
    look = {"base_colour": upper, "sole_colour": sole, "trim_colour": trim}
    return [Part("shoes", sheet.mesh, "shoe.frag", look, two_sided=True)]
