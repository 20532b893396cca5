"""How the engine's points err: in pairs, over time, and by how much.

A pair of points errs alike (both too low) and against each other (both too far out), and the two
are far from equal, which decides how sure a turn is: shoulders that are drawn too broad look like
shoulders less turned. So each pair is counted as its sum and its difference, along and across.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.model.motion import POINTS
from causeline.quantities.angle import Floats

ALIKE: dict[str, tuple[float, float]] = {
    "shoulder": (0.06, 7.0), "hip": (0.30, 8.0), "knee": (0.33, 8.0), "ankle": (0.38, 8.0),
    "heel": (0.38, 8.0), "toe": (0.38, 8.0), "nose": (0.15, 7.0), "ear": (0.15, 7.0),
    "elbow": (0.05, 5.5), "wrist": (0.03, 4.5), "knuckle": (0.03, 4.5), "butt": (0.05, 3.0),
    "hosel": (0.02, 2.0),
}  # fmt: skip
"""Share of an error's variance that lasts over the whole swing, and samples of the clock over which
the rest drifts: from the engine's errors on 67 and 61 rendered training swings face-on and down the
line, whose correlations at 1 to 30 samples these follow."""
FRESH = 0.03
"""Share that is new in every sample."""


def error_pairs() -> Floats:
    """(C, Q) channels of points: sum and difference of each pair over √2, other points alone."""
    channels = np.eye(len(POINTS))
    for row, name in enumerate(POINTS):
        if name.startswith("lead_"):
            other = POINTS.index(f"trail_{name.removeprefix('lead_')}")
            channels[row, [row, other]] = np.sqrt(0.5)
            channels[other, [row, other]] = np.sqrt(0.5), -np.sqrt(0.5)
    return channels


CHANNELS = error_pairs()
WEIGHTS = CHANNELS**2
"""(C, Q) of which points a channel's variance is made."""
PARTS = tuple(name.rpartition("_")[2] for name in POINTS)


def error_channels(sd: Floats) -> Floats:
    """(P, C) of points' standard deviations (P, Q); NaN where a point of the channel has none."""
    missing = np.isnan(sd).astype(float) @ WEIGHTS.T > 0
    variance = np.nan_to_num(sd) ** 2 @ WEIGHTS.T
    return np.where(missing, np.nan, np.sqrt(variance))


@dataclass(frozen=True, slots=True, eq=False)
class Whitener:
    """What turns errors of points into unit normals."""

    factors: Floats
    """(C, 2, P, P) inverse roots of each channel's covariance; zero where it was not seen."""
    count: int
    """Of unit normals that say something."""

    def apply(self, array: Floats) -> Floats:
        """(P, Q, 2, ...) pixels to (C 2 P, ...)."""
        tail = array.shape[3:]
        samples, points = array.shape[:2]
        # a point that was not seen is NaN; its channels have no factors
        known = np.where(np.isfinite(array), array, 0.0).transpose(1, 2, 0, *range(3, array.ndim))
        wide = int(np.prod(tail))
        channels = CHANNELS @ known.reshape(points, 2 * samples * wide)
        channels = channels.reshape(points, 2, samples, wide)
        return (self.factors @ channels).reshape(2 * points * samples, *tail)


def error_whitener(sd: Floats) -> Whitener:
    """The whitener of errors of (P, C, 2) pixels, one standard deviation; NaN is not seen."""
    length, count = sd.shape[:2]
    factors = np.zeros((count, 2, length, length))
    apart = np.abs(np.subtract.outer(np.arange(length), np.arange(length)))
    for channel, part in enumerate(PARTS):
        lasting, drift = ALIKE[part]
        mixed = lasting + (1 - lasting) * (
            (1 - FRESH) * np.exp(-apart / drift) + FRESH * np.eye(length)
        )
        for axis in range(2):
            each = sd[:, channel, axis]
            seen = np.flatnonzero(np.isfinite(each))
            if len(seen):
                covariance = mixed[np.ix_(seen, seen)] * np.outer(each[seen], each[seen])
                root = np.linalg.inv(np.linalg.cholesky(covariance))
                factors[channel, axis][np.ix_(seen, seen)] = root
    return Whitener(factors, int(np.isfinite(sd).sum()))
