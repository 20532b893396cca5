"""When a body that stood still begins to move: every landmark has a say.

A golfer does not start like a machine: hands, shoulders and hips set off softly and together, and
down the line the hands go away from the camera and hardly move in the picture. So each candidate
instant is judged by how well "still until then, and after that a curve that grows" fits all the
landmarks at once. The best one is the start.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS
from causeline.moments.signals import Evidence, Signal
from causeline.quantities.angle import Floats

PARTS = ("shoulder", "elbow", "wrist", "hip", "knee")
GROWTH = (1.0,)
"""Powers of time since the start. Fitted to no clip: softer (2, 3) finds the start of rendered and
of marker-captured swings 60 ms early, harder (1, 2) 50 ms late."""
STILL_S = 0.6
"""Seconds before the rough start that are fitted; they need not all be still."""
LEAST_NOISE = 0.005
"""Trunk lengths: a better fit than this proves no more."""
SHARE = 0.45
"""The fit ends at this share of the backswing, while the motion still grows."""


def stirring(seen: Evidence) -> Signal:
    """How well a start in each frame explains the body: the logarithm of its likelihood, (n,)."""
    start, top = seen.at(MomentName.START), seen.at(MomentName.TOP)
    time_s = seen.body.time_s
    fitted = (time_s >= start - STILL_S) & (time_s <= start + SHARE * (top - start))
    value = np.full(len(time_s), np.nan)
    points = _whole_landmarks(seen, fitted)
    if fitted.sum() > len(GROWTH) + 2 and points.shape[1]:
        times = time_s[fitted]
        value[fitted] = [_likelihood(times, points, at) for at in times]
    return Signal(value, np.zeros(len(time_s)))


def _whole_landmarks(seen: Evidence, fitted: NDArray[np.bool_]) -> Floats:
    """(n, k, 2) landmarks without a gap, in trunk lengths."""
    columns = [k for k, name in enumerate(BODY_LANDMARKS) if name.endswith(PARTS)]
    points = seen.body.xy[fitted][:, columns] / seen.trunk_px
    whole: Floats = points[:, np.isfinite(points).all(axis=(0, 2))]
    return whole


def _likelihood(time_s: Floats, points: Floats, start_s: float) -> float:
    """Log-likelihood, each landmark with a noise of its own that is not known beforehand.

    A landmark that drifts whatever the start is fits no start well, and so has little say.
    """
    since = np.maximum(time_s - start_s, 0.0)
    shapes = np.stack([np.ones_like(since), *(since**power for power in GROWTH)], axis=1)
    base, _ = np.linalg.qr(shapes)
    flat = points.reshape(len(points), -1)
    left = flat - base @ (base.T @ flat)
    squares = np.sum(left.reshape(points.shape) ** 2, axis=(0, 2)) / len(time_s)
    return float(-len(time_s) * np.sum(np.log(squares + LEAST_NOISE**2)))
