"""Smooth curves through the stations of a swing: no overshoot, no corners."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import gaussian_filter1d

from studio.performance import Floats

STATIONS = (
    "address", "start", "shaft_level_back", "arm_level_back", "top", "arm_level_down",
    "shaft_level_down", "impact", "shaft_level_through", "arm_level_through", "finish",
)  # fmt: skip
"""The instants at which a swing's curves are given: the ten moments, and one more after impact."""

RATE_HZ = 480.0
SOFT_S = 0.012
"""SD of the kernel that rounds a curve's corners; short beside a downswing."""

Row = tuple[float, float, float, float, float, float, float, float, float, float, float]


def fill_curve(knots: Floats, row: ArrayLike, time_s: Floats, soft_s: float = SOFT_S) -> Floats:
    """The curve through (`knots`, `row`), monotone between knots, level outside them.

    `time_s`: an even grid at `RATE_HZ`.
    """
    inside = np.clip(time_s, knots[0], knots[-1])
    curve = PchipInterpolator(knots, np.asarray(row, np.float64))(inside)
    return gaussian_filter1d(curve, soft_s * RATE_HZ, mode="nearest")


def station_times(times: Mapping[str, float], delay_s: float = 0.0) -> Floats:
    """Times of all stations; those at the turn-round (top and the next) shifted by `delay_s`."""
    knots = np.array([times[name] for name in STATIONS])
    knots[STATIONS.index("top")] += delay_s
    return knots


def even_grid(first_s: float, last_s: float) -> Floats:
    """Times at `RATE_HZ` that include both ends' neighbourhood."""
    count = int(np.ceil((last_s - first_s) * RATE_HZ)) + 1
    return first_s + np.arange(count) / RATE_HZ
