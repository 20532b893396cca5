"""The baseline: guesses from the picture alone, by looking along rays from the hands.

No network: a shaft is a thin streak, brighter or darker than both its sides, that starts at the
hands; where it moves, it also differs from the frames before and after. Kept to be compared with.
"""

from __future__ import annotations

import numpy as np
from scipy.ndimage import map_coordinates, maximum_filter1d

from causeline.club.polish import track_edge
from causeline.model.club import ClubCrop, ClubGuesses
from causeline.quantities.angle import Floats

ANGLE_DEG = 1.5
NEAREST, FARTHEST, STEPS = 0.06, 0.5, 64
"""Where along a ray the streak is looked for, in sides of the crop."""
SIDES_PX = 2.0
MOST = 4
"""Rays that are followed up."""
STRONGEST = 30.0
MOVING = 0.6
"""Weight of a change between frames against a streak in one of them."""
LEAST = 2.0
"""Levels of grey that a streak must have, to count as going on."""
WHOLE = 12.0
"""Levels of grey, on average, of a streak that is as good as sure."""


def track_line_guesses(crop: ClubCrop, hands: Floats) -> ClubGuesses:
    """The plainest streaks from `hands` (2,) outward, clip pixels; the likeliest first."""
    side = crop.grey.shape[-1]
    cell = crop.region.size / side
    corner = np.array([crop.region.x, crop.region.y]) - crop.region.size / 2
    start = (hands - corner) / cell - 0.5
    angles = np.radians(np.arange(0, 360, ANGLE_DEG))
    reach = np.linspace(NEAREST, FARTHEST, STEPS) * side
    streak = _streaks(crop, start, angles, reach)
    total = streak.mean(axis=1)
    peaks = np.flatnonzero(total == maximum_filter1d(total, 7, mode="wrap"))
    best = peaks[np.argsort(-total[peaks])][:MOST]
    ends = [start + _way(angles[i]) * _end(streak[i], reach) for i in best]
    lines = [track_edge(crop.grey[1], start, end, 1.0) for end in ends]
    return _gathered(lines, total[best] / WHOLE, corner, cell)


def _way(angle: float) -> Floats:
    return np.array([np.cos(angle), np.sin(angle)])


def _streaks(crop: ClubCrop, start: Floats, angles: Floats, reach: Floats) -> Floats:
    """(angles, steps) levels of grey by which each place is a thin streak, or a moving one."""
    ways = np.stack([np.cos(angles), np.sin(angles)], -1)
    normals = np.stack([-ways[:, 1], ways[:, 0]], -1)
    middle = start + ways[:, None] * reach[None, :, None]

    def at(which: int, off: float) -> Floats:
        points = middle + off * normals[:, None]
        values = map_coordinates(
            crop.grey[which], [points[..., 1], points[..., 0]], order=1, mode="nearest"
        )
        return np.asarray(values, dtype=float)

    here = at(1, 0.0)
    one, other = here - at(1, SIDES_PX), here - at(1, -SIDES_PX)
    thin = np.where(one * other > 0, np.minimum(np.abs(one), np.abs(other)), 0.0)
    moving = np.minimum(np.abs(here - at(0, 0.0)), np.abs(here - at(2, 0.0)))
    return np.minimum(thin, STRONGEST) * (1 + MOVING * np.minimum(moving, STRONGEST) / STRONGEST)


def _end(streak: Floats, reach: Floats) -> float:
    """Where the streak stops going on: the place that best parts strong from faint."""
    above = np.cumsum(streak - max(LEAST, float(streak.mean()) * 0.7))
    return float(reach[max(int(np.argmax(above)), 8)])


def _gathered(
    lines: list[tuple[Floats, Floats]], score: Floats, corner: Floats, cell: float
) -> ClubGuesses:
    butt, hosel = (
        (np.array([line[end] for line in lines]).reshape(-1, 2) + 0.5) * cell + corner
        for end in (0, 1)
    )
    seen = np.ones(len(lines), dtype=np.bool_)
    return ClubGuesses(butt, hosel, hosel, np.clip(score, 0.02, 0.95), seen)
