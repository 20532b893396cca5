"""Clubs and balls as parts to draw, in the club's own frame.

The club's frame: origin at the grip's end, x along the face's normal turned square to the shaft,
y toward the toe, z down the shaft. One bone carries it all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from studio.draw.mesh import Floats, Ints, Mesh, make_mesh
from studio.draw.parts import Part
from studio.draw.solids import ball, loft, tube
from studio.performance import Performance

BALL_RADIUS_M = 0.02135
GRIP_M = 0.27


@dataclass(frozen=True, slots=True)
class ClubLook:
    """Colours of one club."""

    grip: tuple[float, float, float] = (0.02, 0.02, 0.022)
    shaft: tuple[float, float, float] = (0.55, 0.56, 0.58)
    head: tuple[float, float, float] = (0.02, 0.02, 0.025)
    ball: tuple[float, float, float] = (0.85, 0.85, 0.83)


def club_transforms(butt: Floats, hosel: Floats, face_normal: Floats) -> Floats:
    """(..., 3, 4) club to world."""
    along = _unit(hosel - butt)
    square = _unit(face_normal - (face_normal * along).sum(-1, keepdims=True) * along)
    toe = np.cross(along, square)
    return np.concatenate([np.stack([square, toe, along], -1), butt[..., None]], -1)


def club_parts(performance: Performance, look: ClubLook) -> list[Part]:
    """Grip, shaft and head of the club that was swung."""
    frame = club_transforms(performance.butt[0], performance.hosel[0], performance.face_normal[0])
    turn = frame[:, :3].T
    hosel = turn @ (performance.hosel[0] - performance.butt[0])
    middle = turn @ (performance.head[0] - performance.butt[0])
    length = float(hosel[2])
    head_mesh = _head(performance.club, hosel, middle)
    driver = str(performance.club.get("kind", "iron")) in ("driver", "hybrid")
    metal = look.head if driver else (0.42, 0.43, 0.45)
    return [
        Part("grip", _rod([0, 0.01, GRIP_M * 0.6, GRIP_M], [0.0135, 0.0138, 0.0118, 0.0102]),
             "plain.frag", _hard(look.grip, 0.8, 0.1)),
        Part("shaft", _rod([GRIP_M, length - 0.02], [0.0074, 0.0047]),
             "plain.frag", _hard(look.shaft, 0.25, 0.9)),
        Part("ferrule", _rod([length - 0.03, length + 0.004], [0.0056, 0.0068]),
             "plain.frag", _hard((0.02, 0.02, 0.02), 0.4, 0.4)),
        Part("head", head_mesh, "plain.frag", _hard(metal, 0.25, 0.9)),
    ]  # fmt: skip


def ball_parts(look: ClubLook) -> list[Part]:
    """A ball about the origin of its own frame."""
    mesh = make_mesh(*ball(np.zeros(3), BALL_RADIUS_M, 10))
    return [Part("ball", mesh, "plain.frag", _hard(look.ball, 0.35, 0.5))]


def _hard(colour: tuple[float, float, float], rough: float, shine: float) -> dict[str, Any]:
    return {"base_colour": np.array(colour), "roughness": rough, "shine": shine}


def _rod(stations: list[float], radii: list[float]) -> Mesh:
    spine = np.zeros((len(stations), 3))
    spine[:, 2] = stations
    return make_mesh(*tube(spine, np.array(radii), 10))


def _head(club: Mapping[str, Any], hosel: Floats, middle: Floats) -> Mesh:
    """The head's mesh in the club's frame, its centre where the truth has it."""
    kind = str(club.get("kind", "iron"))
    size = np.array(club.get("head_size_m", (0.08, 0.055, 0.022)), float)
    axes = _head_axes(float(club.get("lie_deg", 62.0)), float(club.get("loft_deg", 33.0)))
    points, faces = _wood(size) if kind in ("driver", "hybrid") else _blade(size, club)
    mesh = make_mesh(points @ axes.T + middle, faces)
    neck = np.linspace(hosel - [0, 0, 0.03], hosel * 0.75 + middle * 0.25, 3)
    neck_points, neck_faces = tube(neck, np.array([0.0066, 0.0066, 0.0075]), 10)
    points = np.vstack([mesh.points, neck_points])
    return make_mesh(points, np.vstack([faces, neck_faces + len(mesh.points)]))


def _head_axes(lie_deg: float, loft_deg: float) -> Floats:
    """(3, 3) columns in the club's frame: where the face heads (level), toe, up at address."""
    lie = np.radians(lie_deg)
    about = np.arctan(np.tan(np.radians(loft_deg)) * np.cos(lie))
    heading = np.array([np.cos(about), -np.sin(about), 0.0])
    across = np.array([np.sin(about), np.cos(about), 0.0])
    shaft = np.array([0.0, 0.0, 1.0])
    toe = np.cos(lie) * shaft + np.sin(lie) * across
    up = -np.sin(lie) * shaft + np.cos(lie) * across
    return np.stack([heading, toe, up], 1)


def _wood(size: Floats) -> tuple[Floats, Ints]:
    """A wood's pear: an upright face, a domed crown, a round back."""
    toe, tall, deep = size
    angle = np.linspace(0, 2 * np.pi, 22, endpoint=False)
    across = np.sign(np.cos(angle)) * np.abs(np.cos(angle)) ** 0.85
    up = np.sign(np.sin(angle)) * np.abs(np.sin(angle)) ** 0.85
    rings = []
    for step in (0.0, 0.0, 0.06, 0.18, 0.32, 0.48, 0.63, 0.77, 0.88, 0.96, 1.0):
        wide = toe / 2 * (0.90 + 0.25 * step) * np.sqrt(max(0.02, 1 - step**2.6))
        crown = tall / 2 * (1 - 0.62 * step**1.8)
        sole = tall / 2 * (1 - 0.45 * step**2.5)
        high = np.where(up > 0, up * crown, up * sole)
        bulge = 0.006 * (1 - across**2) * (step < 0.05)
        forward = deep * (0.5 - step) + bulge - 0.10 * high * (step < 0.05)
        rings.append(np.stack([forward, across * wide + 0.006 * step, high], 1))
    return loft(np.array(rings)[::-1])


def _blade(size: Floats, club: Mapping[str, Any]) -> tuple[Floats, Ints]:
    """An iron: a lofted blade, tall at the toe and low at the heel, thick at the sole."""
    toe, tall, deep = size
    slope = np.tan(np.radians(float(club.get("loft_deg", 33.0))))
    rings = []
    for step in np.linspace(0, 1, 9):
        across = toe * (step - 0.5)
        high = (
            tall
            * (0.42 + 0.58 * np.sqrt(min(1.0, step * 1.25)))
            * (1 - 0.75 * max(0, step - 0.82) / 0.18)
        )
        low = -tall / 2 + 0.012 * (2 * step - 1) ** 2
        top = -tall / 2 + high
        rings.append(
            [
                [deep * 0.3, across, low],
                [-deep * 0.7, across, low + 0.003],
                [-deep * 0.7 - slope * (low + 0.02 - low), across, low + 0.02],
                [-slope * (top - low) - 0.004, across, top],
                [-slope * (top - low) + 0.0015 + deep * 0.1, across, top],
                [deep * 0.3 - slope * 0.004, across, low + 0.004],
            ]
        )
    shape = np.array(rings)
    shape[..., 0] += slope * tall / 2
    return loft(shape[::-1])


def _unit(vector: Floats) -> Floats:
    return vector / np.linalg.norm(vector, axis=-1, keepdims=True)
