"""A whole golfer: bare skin where no cloth covers it, clothes, hair, shoes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from studio.draw.anatomy import skin_mesh, template
from studio.draw.cut import cut
from studio.draw.mesh import Floats, Mesh
from studio.draw.parts import Part
from studio.performance import Body
from studio.wardrobe.bottoms import HEMS, Bottom, belt_parts, bottom_parts, sock_parts
from studio.wardrobe.cloth import along_arm
from studio.wardrobe.fabric import Colour
from studio.wardrobe.gloves import glove_parts, hand_field
from studio.wardrobe.hair import Hair, hair_parts
from studio.wardrobe.headwear import Headwear, headwear_parts
from studio.wardrobe.shoes import shoe_parts
from studio.wardrobe.skin import Complexion, paint_skin
from studio.wardrobe.tops import SLEEVES, Top, top_parts

UNDER = 0.02
"""How far bare skin goes on under cloth, metres."""


@dataclass(frozen=True, slots=True)
class Outfit:
    """What a golfer wears."""

    top: Top
    bottom: Bottom
    shoe: Colour = (0.8, 0.8, 0.8)
    sole: Colour = (0.7, 0.7, 0.7)
    trim: Colour = (0.1, 0.1, 0.1)
    sock: Colour | None = (0.8, 0.8, 0.8)
    belt: Colour | None = (0.03, 0.02, 0.015)
    glove: Colour | None = (0.75, 0.75, 0.75)
    headwear: Headwear = field(default_factory=Headwear)


@dataclass(frozen=True, slots=True)
class Person:
    """Who wears it: colouring and hair."""

    complexion: Complexion
    hair: Hair


def golfer_parts(body: Body, outfit: Outfit, person: Person) -> list[Part]:
    """Everything, ready to draw."""
    parts = [_skin(body, outfit, person)]
    parts += bottom_parts(body, outfit.bottom)
    parts += top_parts(body, outfit.top)
    if outfit.belt and outfit.top.tucked:
        parts += belt_parts(body, np.array(outfit.belt), np.array([0.5, 0.48, 0.4]))
    if outfit.glove:
        parts += glove_parts(body, np.array(outfit.glove))
    capped = outfit.headwear.kind in ("cap", "bucket")
    parts += hair_parts(body, person.hair, capped)
    parts += headwear_parts(body, outfit.headwear)
    if outfit.sock:
        parts += sock_parts(body, np.array(outfit.sock))
    parts += shoe_parts(body, np.array(outfit.shoe), np.array(outfit.sole), np.array(outfit.trim))
    return parts


def _skin(body: Body, outfit: Outfit, person: Person) -> Part:
    mesh, vertex = skin_mesh(body)
    mesh = cut(mesh, bare_field(body, mesh, template()[vertex], outfit))[0]
    look = {"bleed": np.array([0.32, 0.14, 0.09])}
    pictures = {"painted": paint_skin(body, person.complexion)}
    return Part("skin", mesh, "skin.frag", look, pictures)


def bare_field(body: Body, mesh: Mesh, at: Floats, outfit: Outfit) -> Floats:
    """Metres inside the bare skin, (V,): positive on head, arms beyond sleeves, legs below hems."""
    head = at[:, 2] - 1.355
    bare = head
    for side, sign in (("L", 1.0), ("R", -1.0)):
        share, length = along_arm(body, mesh.points, side)
        arm = np.where(
            at[:, 1] * sign > 0.15, (share - SLEEVES[outfit.top.sleeve]) * length + UNDER, -1
        )
        arm = np.where(at[:, 2] > 0.85, arm, -1)
        bare = np.maximum(bare, arm)
        if outfit.glove and side == "L":
            bare = np.minimum(bare, 0.01 - hand_field(body, mesh.points, side))
    if outfit.bottom.kind != "trousers":
        hem = HEMS[outfit.bottom.kind]
        leg = np.minimum(hem + UNDER - at[:, 2], at[:, 2] - (0.13 if outfit.sock else 0.07))
        bare = np.maximum(bare, np.where(np.abs(at[:, 1]) < 0.3, leg, -1))
    return bare
