"""The golfer in space at one instant, or in many variants of it, addressed by name."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.model.motion import POINTS
from causeline.quantities.angle import Floats

TO_BALL, TO_TARGET, UP = 0, 1, 2
"""Axes of the body frame."""


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """`points` (..., Q, 3) metres in the order of `POINTS`; leading axes run over variants."""

    points: Floats

    def point(self, name: str) -> Floats:
        """One point, (..., 3) metres."""
        return self.points[..., POINTS.index(name), :]

    def middle(self, part: str) -> Floats:
        """Half-way between the lead and the trail point of a pair, (..., 3) metres."""
        return (self.point(f"lead_{part}") + self.point(f"trail_{part}")) / 2

    def line(self, part: str) -> Floats:
        """From the trail to the lead point of a pair, (..., 3) metres."""
        return self.point(f"lead_{part}") - self.point(f"trail_{part}")

    def trunk(self) -> Floats:
        """From the middle of the hips to that of the shoulders, (..., 3) metres."""
        return self.middle("shoulder") - self.middle("hip")


def lean_deg(line: Floats, axis: int) -> Floats:
    """Lean of lines (..., 3) along an axis of the body frame: zero upright, positive along it.

    Range (-180, 180]. Degenerate: a line square to the axis and level gives a number without
    meaning.
    """
    lean: Floats = np.degrees(np.arctan2(line[..., axis], line[..., UP]))
    return lean


def azimuth_deg(line: Floats) -> Floats:
    """Direction of lines (..., 3) from straight above: zero to the target, positive to the ball.

    Range (-180, 180]. Degenerate: an upright line gives a number without meaning.
    """
    azimuth: Floats = np.degrees(np.arctan2(line[..., TO_BALL], line[..., TO_TARGET]))
    return azimuth
