"""Clubs: lengths and lies as the trade makes them, and how they are addressed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from studio.performance import Floats

BALL_RADIUS_M = 0.02135
"""Half the least diameter that the rules allow, 42.67 mm."""


@dataclass(frozen=True, slots=True)
class Club:
    """One club. Lengths are along the shaft from the grip's end to the heel's ground contact."""

    kind: str
    length_m: float
    lie_deg: float
    """Between shaft and ground when the sole is flat; common practice."""
    stands_deg: float
    """Slope of the shaft as golfers hold it at address: hands lower than the lie asks, the more the
    longer the club; common practice."""
    loft_deg: float
    head_size_m: tuple[float, float, float]
    """Heel to toe, sole to crown, face to back."""
    tee_m: float
    """Height of the ball's lowest point above the ground."""
    stance: float
    """Ankles apart, of stature; common practice."""
    ball_forward: float
    """Where the ball lies between the ankles: 0 trail, 1 lead; common practice."""
    lean_deg: float
    """Shaft's lean toward the target at address; common practice."""
    impact_lean_deg: float
    """The same at impact; common practice."""
    tilt_deg: float = 0.0
    """More tilt of the trunk away from the target, for a ball that lies farther forward."""


CLUBS = (
    Club(
        "driver", 1.150, 58.0, 50.5, 10.5, (0.120, 0.060, 0.110), 0.035, 0.265, 0.82, -4.0, 1.0, 4.0
    ),
    Club(
        "hybrid", 1.015, 59.5, 54.0, 21.0, (0.100, 0.042, 0.060), 0.004, 0.235, 0.70, 0.0, 4.0, 2.0
    ),
    Club(
        "long iron",
        0.970,
        61.0,
        56.5,
        26.0,
        (0.080, 0.050, 0.024),
        0.002,
        0.230,
        0.65,
        2.0,
        5.0,
        1.0,
    ),
    Club("mid iron", 0.940, 62.5, 58.5, 33.0, (0.080, 0.055, 0.022), 0.0, 0.215, 0.58, 4.0, 7.0),
    Club("wedge", 0.900, 64.0, 60.5, 46.0, (0.080, 0.062, 0.020), 0.0, 0.190, 0.52, 4.0, 9.0),
)


def club_of(kind: str, stature_m: float = 1.78) -> Club:
    """A club fitted to the golfer: an inch shorter for the small, much shorter for children."""
    club = next(club for club in CLUBS if club.kind == kind)
    trim = np.interp(stature_m, [1.40, 1.60, 1.70, 1.85, 2.0], [-0.14, -0.035, -0.015, 0.0, 0.02])
    return replace(club, length_m=club.length_m + float(trim))


def head_in_club(club: Club) -> Floats:
    """(3,) centre of the head from the grip's end, along (shaft, face normal, toe-ward square)."""
    lie = np.radians(club.lie_deg)
    toe = club.head_size_m[0] / 2
    return np.array([club.length_m + toe * np.cos(lie), 0.0, toe * np.sin(lie)])
