"""Reliability of a measure from repeated trials, by the formulas of Weir (2005)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from causeline.model.progress import Repeats

NORMAL_95 = 1.959963984540054
"""Half-width of the central 95 % interval of a normal distribution, in standard deviations."""


def compare_repeats(trials: ArrayLike) -> Repeats:
    """Reliability of (subjects, trials) values, two of each at least, none missing.

    Two-way analysis of variance without replication. Source: Weir JP (2005) J Strength Cond Res
    19(1):231-240.
    """
    values = np.asarray(trials, dtype=float)
    if values.ndim != 2 or min(values.shape) < 2 or not np.isfinite(values).all():
        raise ValueError(
            f"got trials of shape {values.shape}; expected two or more subjects with two or more "
            "finite values each"
        )
    n, k = values.shape
    grand = values.mean()
    subjects = k * np.sum((values.mean(1) - grand) ** 2) / (n - 1)
    between_trials = n * np.sum((values.mean(0) - grand) ** 2) / (k - 1)
    rest = values - values.mean(1, keepdims=True) - values.mean(0) + grand
    error = float(np.sum(rest**2) / ((n - 1) * (k - 1)))
    sem = math.sqrt(error)
    return Repeats(
        icc_2_1=_ratio(
            subjects - error, subjects + (k - 1) * error + k * (between_trials - error) / n
        ),
        icc_3_1=_ratio(subjects - error, subjects + (k - 1) * error),
        sem=sem,
        detectable=detectable_difference(sem),
        bias=float(values[:, -1].mean() - values[:, 0].mean()),
    )


def sem_from_icc(sd: float, icc: float) -> float:
    """Standard error of measurement from a group's spread and its reliability: sd·√(1 − icc)."""
    return sd * math.sqrt(max(0.0, 1.0 - icc))


def detectable_difference(sem: float, swings: int = 1) -> float:
    """Smallest difference (95 %) between two means of so many swings: 1.96·√2·sem/√swings."""
    return NORMAL_95 * math.sqrt(2.0 / swings) * sem


def _ratio(above: float, below: float) -> float:
    return float(above / below) if below > 0 else math.nan
