"""How far a landmark may be from where the engine says, before and after smoothing."""

from __future__ import annotations

import numpy as np

from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

JITTER_SHARE = {
    "nose": 0.003, "ear": 0.003, "shoulder": 0.006, "elbow": 0.010, "wrist": 0.012,
    "knuckle": 0.015, "hip": 0.005, "knee": 0.005, "ankle": 0.005, "heel": 0.006, "toe": 0.007,
}  # fmt: skip
"""Standard deviation along each axis of a plainly seen point about its own mean, of the size."""
OFFSETS = {
    "nose": (0.0145, 6.0), "ear": (0.019, 4.0), "shoulder": (0.021, 5.0), "elbow": (0.016, 2.5),
    "wrist": (0.0085, 8.0), "knuckle": (0.019, 2.5), "hip": (0.020, 3.0), "knee": (0.012, 0.5),
    "ankle": (0.0095, 2.0), "heel": (0.012, 2.0), "toe": (0.016, 5.0),
}  # fmt: skip
"""How far the engine's point is from the joint it stands for, along each axis, of the size:
for a point plainly seen, and how many times that is added where it is guessed. It changes slowly
with the posture and does not average out. Fitted on rendered golfers of known joints."""
HIDDEN = 3.0
"""A point of confidence 0 jitters by this much more, in plain jitters, than one of confidence 1."""
MEMORY_S, HIDDEN_MEMORY_S = 0.03, 0.5
"""The engine's error is alike in frames nearer than this, so that more frames a second say little
more; for points that it guesses, the error drifts slowly and looks like motion."""
WITHIN_SHARE = 0.05
"""A point is where it says when it is within this share of the size: a hand's breadth."""
SMALLEST_SIZE_PX = 20.0
SCALE_RANGE = (0.3, 4.0)
"""How much less or more than expected a clip may jitter."""
MEDIAN_OF_TWO = 2.0 * np.log(2.0)
"""Median of the sum of two squared unit normals."""


def body_size(xy: Floats) -> float:
    """Pixels of one stature, from nose to the middle of the ankles of an (n, J, 2) track.

    A golfer at address stands 0.82 of the stature from nose to ankles; others are off by less than
    a tenth, which is good enough to say what is near.
    """
    ankles = (_point(xy, "lead_ankle") + _point(xy, "trail_ankle")) / 2
    height = np.linalg.norm(_point(xy, "nose") - ankles, axis=1)
    tall = float(np.nanquantile(height, 0.8)) if np.isfinite(height).any() else 0.0
    return max(tall / 0.82, SMALLEST_SIZE_PX)


def expect_jitter(time_s: Floats, xy: Floats, confidence: Floats, size_px: float) -> Floats:
    """(n, J) pixels: deviation of each measurement, by its confidence and the clip's jitter."""
    plain = np.array([JITTER_SHARE[_part(name)] for name in BODY_LANDMARKS]) * size_px
    expected = plain * (1.0 + HIDDEN * (1.0 - confidence))
    likeness = float(np.exp(-_interval(time_s) / MEMORY_S))
    bend = np.sum(np.diff(xy, n=2, axis=0) ** 2, axis=2) / expected[1:-1] ** 2
    share = bend / (MEDIAN_OF_TWO * (6.0 - 8.0 * likeness + 2.0 * likeness**2))
    return expected * np.sqrt(np.clip(_median_or_one(share), *np.square(SCALE_RANGE)))


def repeat_penalty(time_s: Floats, confidence: Floats) -> Floats:
    """How much wider a measurement must count because its neighbours share its error, (n, J)."""
    memory = MEMORY_S + (HIDDEN_MEMORY_S - MEMORY_S) * (1.0 - confidence)
    likeness = np.exp(-_interval(time_s) / memory)
    penalty: Floats = np.sqrt((1.0 + likeness) / (1.0 - likeness))
    return penalty


def add_offsets(sd: Floats, confidence: Floats, size_px: float) -> Floats:
    """Spread (n, J) with the slow error of each landmark added."""
    plain, guessed = np.array([OFFSETS[_part(name)] for name in BODY_LANDMARKS]).T
    return np.hypot(sd, size_px * plain * (1.0 + guessed * (1.0 - confidence) ** 2))


def chance_within(sd: Floats, size_px: float) -> Floats:
    """Probability that a point is within `WITHIN_SHARE` of the size of where it says; 0 for NaN."""
    chance = -np.expm1(-0.5 * (WITHIN_SHARE * size_px / sd) ** 2)
    return np.nan_to_num(chance, nan=0.0)


def _interval(time_s: Floats) -> float:
    return float(np.median(np.diff(time_s))) if len(time_s) > 1 else np.inf


def _median_or_one(share: Floats) -> Floats:
    """Median over frames of (n, J); 1 for a landmark that is never seen three times running."""
    seen = np.isfinite(share).any(axis=0)
    median = np.ones(share.shape[1])
    median[seen] = np.nanmedian(share[:, seen], axis=0)
    return median


def _part(name: str) -> str:
    return name.rpartition("_")[2]


def _point(xy: Floats, name: str) -> Floats:
    return xy[:, BODY_LANDMARKS.index(name)]
