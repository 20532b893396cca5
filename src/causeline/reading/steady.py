"""Where to look for the golfer in each frame: the regions of a coarse track, made calm."""

from __future__ import annotations

import numpy as np

from causeline.model.tracks import LandmarkTrack, Region
from causeline.quantities.angle import Floats, wrap_deg

SMOOTH_S = 0.1
"""Standard deviation, in seconds, of the Gaussian that smooths places and turns over time."""
USUAL_SIZE = 75.0
"""Percentile of the sizes around that is taken for all: the engine more often misses a foot than
invents one."""
OFF_SHIFT, OFF_SIZE, OFF_TURN_DEG = 0.2, 1.5, 25.0
"""A region that misses the person by more than this costs accuracy (docs/decisions.md)."""


def steady_regions(golfer: LandmarkTrack, time_s: Floats) -> list[Region]:
    """The golfer's region at each of these times: smoothed over time, and all of one size.

    Raises ValueError where the track holds no landmarks.
    """
    seen = np.isfinite(golfer.xy).all(axis=(1, 2))
    if not seen.any():
        raise ValueError("got a track without landmarks; expected one in which the golfer is seen")
    known_s = golfer.time_s[seen]
    around = [Region.around(xy) for xy in golfer.xy[seen]]
    x, y, turn_deg = (_weights(known_s, time_s) @ _places(around)).T[:3]
    size = _usual_size(around, known_s, time_s)
    return [
        Region(float(at), float(down), size, float(turn))
        for at, down, turn in zip(x, y, turn_deg, strict=True)
    ]


def is_off(region: Region, person: Region) -> bool:
    """Whether a region was so far from the person found in it that it should be moved."""
    shift = np.hypot(region.x - person.x, region.y - person.y) / person.size
    size = max(region.size / person.size, person.size / region.size)
    turn = abs(float(wrap_deg(region.turn_deg - person.turn_deg)))
    return bool(shift > OFF_SHIFT or size > OFF_SIZE or turn > OFF_TURN_DEG)


def _places(around: list[Region]) -> Floats:
    """(k, 3): middle and turn; the turn runs on over half a circle."""
    turn = np.unwrap([region.turn_deg for region in around], period=360.0)
    return np.column_stack([[r.x for r in around], [r.y for r in around], turn])


def _weights(known_s: Floats, time_s: Floats) -> Floats:
    """(n, k): how much each known place counts at each time; far from all, the nearest alone."""
    apart = ((time_s[:, None] - known_s) / SMOOTH_S) ** 2
    weights = np.exp(-0.5 * (apart - apart.min(axis=1, keepdims=True)))
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def _usual_size(around: list[Region], known_s: Floats, time_s: Floats) -> float:
    sizes = np.array([region.size for region in around])
    near = (known_s >= time_s[0] - SMOOTH_S) & (known_s <= time_s[-1] + SMOOTH_S)
    return float(np.percentile(sizes[near] if near.any() else sizes, USUAL_SIZE))
