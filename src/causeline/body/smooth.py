"""A smoother for points that move as muscles move them, with frames at any times.

Each landmark is a Kalman filter run forward and a Rauch-Tung-Striebel pass back (H. Rauch, F. Tung,
C. Striebel, AIAA Journal 3(8), 1965) over position, velocity and acceleration, with white jerk.
Both picture axes of a landmark share their gains. Outliers are met by Student-t weights, so that a
frame that the neighbours contradict counts less instead of bending the path.

Arrays: n frames, J landmarks. Missing is NaN on the way in; the smoother answers for every frame,
and says with the variance how little it knows there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.quantities.angle import Floats

FREEDOM = 4.0
"""Degrees of freedom of the Student-t: 4 lets a point at six deviations count a tenth."""
ROUNDS = 5
"""Rounds of weighing: the weights move by less than a per cent after the fourth."""
LEAST_WEIGHT = 1e-6
MOST_SAY = 0.98
"""Where a measurement decides its own place by more than this, nothing contradicts it."""


@dataclass(frozen=True, slots=True, eq=False)
class Smoothed:
    """What the smoother says of every frame."""

    xy: Floats
    """(n, J, 2) pixels."""
    speed: Floats
    """(n, J) pixels a second."""
    acceleration: Floats
    """(n, J) pixels a second squared, that part of it which the noise cannot explain."""
    sd: Floats
    """(n, J) pixels along each axis: one standard deviation of `xy` about the true path."""
    weight: Floats
    """(n, J) 0 to 1: how far the frame agrees with its neighbours; 0 where nothing was measured."""


def smooth_robustly(time_s: Floats, xy: Floats, sd: Floats, jerk: Floats) -> Smoothed:
    """Smooth (n, J, 2) with measurement deviations (n, J) and jerk density (n, J), px²/s⁵."""
    seen = np.isfinite(xy).all(axis=2)
    weight = seen.astype(float)
    result = _smooth(time_s, xy, sd**2, jerk, weight)
    for _ in range(ROUNDS):
        weight = seen * _student_weight(xy, result, sd)
        result = _smooth(time_s, xy, sd**2 / np.maximum(weight, LEAST_WEIGHT), jerk, weight)
    return result


def _student_weight(xy: Floats, result: Smoothed, sd: Floats) -> Floats:
    """By how far each measurement is from what all the others say, and how well they can say it."""
    variance = sd**2 / np.maximum(result.weight, LEAST_WEIGHT)
    own_say = np.minimum(result.sd**2 / variance, MOST_SAY)
    apart = np.sum((xy - result.xy) ** 2, axis=2) / (1.0 - own_say) ** 2
    by_others = variance * own_say / (1.0 - own_say)
    weight = (FREEDOM + 2.0) / (FREEDOM + apart / (sd**2 + by_others))
    return np.nan_to_num(np.minimum(weight, 1.0), nan=0.0)


def _smooth(time_s: Floats, xy: Floats, variance: Floats, jerk: Floats, weight: Floats) -> Smoothed:
    step = np.diff(time_s)
    move = _transition(step)
    stir = _stir(step)[:, None] * np.maximum(jerk[:-1], jerk[1:])[..., None, None]
    state, spread, ahead, ahead_spread = _forward(xy, variance, move, stir)
    for k in range(len(time_s) - 2, -1, -1):
        carried = spread[k] @ move[k].T
        gain = np.swapaxes(np.linalg.solve(ahead_spread[k + 1], np.swapaxes(carried, 1, 2)), 1, 2)
        state[k] += gain @ (state[k + 1] - ahead[k + 1])
        spread[k] += gain @ (spread[k + 1] - ahead_spread[k + 1]) @ np.swapaxes(gain, 1, 2)
    strength = np.sum(state[:, :, 2] ** 2, axis=2)
    return Smoothed(
        xy=state[:, :, 0],
        speed=np.linalg.norm(state[:, :, 1], axis=2),
        acceleration=np.sqrt(np.maximum(strength - 2 * spread[:, :, 2, 2], 0.0)),
        sd=np.sqrt(np.maximum(spread[:, :, 0, 0], 0.0)),
        weight=weight,
    )


def _forward(
    xy: Floats, variance: Floats, move: Floats, stir: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Filtered and predicted states (n, J, 3, 2) and their covariances (n, J, 3, 3)."""
    n, count = xy.shape[:2]
    state, ahead = np.zeros((n, count, 3, 2)), np.zeros((n, count, 3, 2))
    spread, ahead_spread = np.zeros((n, count, 3, 3)), np.zeros((n, count, 3, 3))
    ahead[0, :, 0] = _first_seen(xy)
    ahead_spread[0] = _know_nothing(xy)
    for k in range(n):
        if k:
            ahead[k] = move[k - 1] @ state[k - 1]
            ahead_spread[k] = move[k - 1] @ spread[k - 1] @ move[k - 1].T + stir[k - 1]
        gain = ahead_spread[k, :, :, 0] / (ahead_spread[k, :, 0, 0] + variance[k])[:, None]
        gain = np.where(np.isfinite(xy[k, :, :1]), gain, 0.0)
        surprise = np.nan_to_num(xy[k] - ahead[k, :, 0])
        state[k] = ahead[k] + gain[:, :, None] * surprise[:, None, :]
        spread[k] = ahead_spread[k] - gain[:, :, None] * ahead_spread[k, :, :1, :]
        spread[k] = (spread[k] + np.swapaxes(spread[k], 1, 2)) / 2
    return state, spread, ahead, ahead_spread


def _first_seen(xy: Floats) -> Floats:
    """Where each landmark is first measured, (J, 2); the middle of the rest where it never is."""
    seen = np.isfinite(xy).all(axis=2)
    first = xy[np.argmax(seen, axis=0), np.arange(xy.shape[1])]
    return np.nan_to_num(first)


def _know_nothing(xy: Floats) -> Floats:
    """A prior as wide as the picture, at any speed that a person reaches, (3, 3)."""
    size = float(np.nanmax(np.abs(xy))) if np.isfinite(xy).any() else 1.0
    return np.diag([size**2, (5.0 * size) ** 2, (50.0 * size) ** 2])


def _transition(step: Floats) -> Floats:
    """(n - 1, 3, 3): how position, velocity and acceleration follow after each step."""
    move = np.tile(np.eye(3), (len(step), 1, 1))
    move[:, 0, 1] = move[:, 1, 2] = step
    move[:, 0, 2] = step**2 / 2
    return move


def _stir(step: Floats) -> Floats:
    """(n - 1, 3, 3): what white jerk of unit density adds to the covariance in each step."""
    one, two, three = step, step**2 / 2, step**3 / 6
    four, five = step**4 / 8, step**5 / 20
    rows = [[five, four, three], [four, step**3 / 3, two], [three, two, one]]
    return np.moveaxis(np.array(rows), -1, 0)
