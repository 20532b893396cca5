"""From the landmark network's raw answer to the engine's 33 points in the picture.

The network sees a square of 256 pixels and answers twice: with coordinates, and with a heat map for
each point. The heat map is the finer of the two: near the coordinates, its centre of mass is taken
(Bazarevsky et al. 2020, arXiv:2006.10204, and the published graph). On four calibrated views of one
person that took the error of triangulated joints from 12.0 to 10.7 pixels, and the trembling from
1.5 to 1.1.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from causeline.model.tracks import ENGINE_LANDMARKS, Landmarks, Region
from causeline.quantities.angle import Floats

LANDMARK_SIDE = 256
HEAT_SIDE = 64
ANSWERS = 39
"""Points in an answer: 33 landmarks, and six that only the engine's own tracking uses."""
_REACH = 3
"""Cells of the heat map on either side of the coordinates that are looked at."""
_PEAK_AT_LEAST = 0.5
"""A flatter heat map says nothing about the place."""
_PLAIN_PEAK = 0.85
"""Height of the peak from which a point counts as plain: the median over points plainly seen."""
_POINTS = len(ENGINE_LANDMARKS)
Answer = NDArray[np.float32]


def decode_landmarks(points: Answer, heat: Answer, score: float, region: Region) -> Landmarks:
    """The landmarks in the picture that `region` was cut from.

    `points` (39, 5) holds x, y, depth in pixels of the square, and the logits of being seen and of
    being in the square; `heat` (64, 64, 39) the logits of the heat maps. Confidence is the product
    of both probabilities and of the peak's height, which tells a vague point from a sharp one.
    """
    known = points[:_POINTS].astype(np.float64)
    place, peak = _refined(known[:, :2] * (HEAT_SIDE / LANDMARK_SIDE), heat)
    seen, inside = _probability(known[:, 3]), _probability(known[:, 4])
    confidence = seen * inside * np.minimum(peak / _PLAIN_PEAK, 1.0)
    return Landmarks(region.to_picture(place / HEAT_SIDE), confidence, score)


def _refined(place: Floats, heat: Answer) -> tuple[Floats, Floats]:
    """Places (33, 2) in cells of the heat map, moved to its centre of mass, and the peaks (33,)."""
    span = np.arange(-_REACH, _REACH + 1)
    cells = np.floor(place).astype(np.int64)
    x, y = (cells[:, axis, None] + span for axis in (0, 1))
    inside = (_within(y)[:, :, None] & _within(x)[:, None, :]).astype(np.float64)
    rows, columns = np.clip(y, 0, HEAT_SIDE - 1), np.clip(x, 0, HEAT_SIDE - 1)
    logits = heat[rows[:, :, None], columns[:, None, :], np.arange(_POINTS)[:, None, None]]
    mass = _probability(logits.astype(np.float64)) * inside
    peak, total = mass.max(axis=(1, 2)), np.maximum(mass.sum(axis=(1, 2)), 1e-12)
    centre = np.stack([(mass.sum(axis=1) * x).sum(1), (mass.sum(axis=2) * y).sum(1)], axis=1)
    return np.where((peak >= _PEAK_AT_LEAST)[:, None], centre / total[:, None], place), peak


def _within(cells: NDArray[np.int64]) -> NDArray[np.bool_]:
    return (cells >= 0) & (cells < HEAT_SIDE)


def _probability(logits: Floats) -> Floats:
    probability: Floats = 1.0 / (1.0 + np.exp(-np.clip(logits, -100, 100)))
    return probability
