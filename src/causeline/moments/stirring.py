"""When a body that stood still begins to move, and when one that moved comes to rest.

A golfer does not start like a machine: hands, shoulders and hips set off softly and together, and
down the line the hands go away from the camera and hardly move in the picture. So each candidate
instant is judged by how well "still until then, and after that a motion that grows" fits all the
landmarks at once. The best one is the start; with time turned round, it is the finish.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS
from causeline.moments.signals import Evidence, Signal
from causeline.quantities.angle import Floats

WHOLE = ("shoulder", "elbow", "wrist", "hip", "knee")
TRUNK_AND_KNEES = ("shoulder", "hip", "knee")
"""Down the line the arms hang before one another, and what the engine guesses of them drifts."""
RESTING_PARTS = ("shoulder", "elbow", "wrist", "hip")
START_GROWTH, REST_GROWTH = 1.0, 1.5
"""Powers of time with which the motion grows from the start and dies toward the finish."""
FITTED_S = 1.0
"""Seconds that are fitted: about two thirds of them still; they need not all be."""
SHARE_OF_RISE, SHARE = 0.8, 0.40
"""The fit ends this much of the time from level arm to top before the arm is level; or, where it
never is level, at this share of the backswing."""
AFTER_IMPACT_S, REST_S = 0.12, 1.3
"""The finish is looked for from here to there after impact."""
LEAST_NOISE = 0.01
"""Trunk lengths: a better fit than this proves no more."""


def stirring(seen: Evidence, parts: tuple[str, ...]) -> Signal:
    """How well a start in each frame explains the body: the logarithm of its likelihood, (n,)."""
    end = _still_growing_s(seen)
    time_s = seen.body.time_s
    fitted = (time_s >= end - FITTED_S) & (time_s <= end)
    return _judged(seen, fitted, time_s, parts, START_GROWTH)


def _still_growing_s(seen: Evidence) -> float:
    """Where the fit of the start ends: while the motion still grows, told from the level arm."""
    top = seen.at(MomentName.TOP)
    if MomentName.ARM_LEVEL_BACK in seen.known:
        level = seen.at(MomentName.ARM_LEVEL_BACK)
        return level - SHARE_OF_RISE * (top - level)
    start = seen.at(MomentName.START)
    return start + SHARE * (top - start)


def settling(seen: Evidence) -> Signal:
    """How well a rest from each frame on explains the body after impact, (n,)."""
    impact = seen.at(MomentName.IMPACT)
    time_s = seen.body.time_s
    fitted = (time_s >= impact + AFTER_IMPACT_S) & (time_s <= impact + REST_S)
    return _judged(seen, fitted, -time_s, RESTING_PARTS, REST_GROWTH)


def _judged(
    seen: Evidence,
    fitted: NDArray[np.bool_],
    time_s: Floats,
    parts: tuple[str, ...],
    growth: float,
) -> Signal:
    value = np.full(len(time_s), np.nan)
    points = _whole_landmarks(seen, fitted, parts)
    if fitted.sum() > 4 and points.shape[1]:
        times = time_s[fitted]
        value[fitted] = [_likelihood(times, points, at, growth) for at in times]
    return Signal(value, np.zeros(len(time_s)))


def _whole_landmarks(seen: Evidence, fitted: NDArray[np.bool_], parts: tuple[str, ...]) -> Floats:
    """(n, k, 2) landmarks without a gap, in trunk lengths."""
    columns = [k for k, name in enumerate(BODY_LANDMARKS) if name.endswith(parts)]
    points = seen.body.xy[fitted][:, columns] / seen.trunk_px
    whole: Floats = points[:, np.isfinite(points).all(axis=(0, 2))]
    return whole


def _likelihood(time_s: Floats, points: Floats, start_s: float, growth: float) -> float:
    """Log-likelihood, each landmark with a noise of its own that is not known beforehand.

    A landmark that drifts whatever the start is fits no start well, and so has little say.
    """
    since = np.maximum(time_s - start_s, 0.0) ** growth
    shapes = np.stack([np.ones_like(since), since], axis=1)
    base, _ = np.linalg.qr(shapes)
    flat = points.reshape(len(points), -1)
    left = flat - base @ (base.T @ flat)
    squares = np.sum(left.reshape(points.shape) ** 2, axis=(0, 2)) / len(time_s)
    return float(-len(time_s) * np.sum(np.log(squares + LEAST_NOISE**2)))
