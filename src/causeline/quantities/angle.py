"""Angles of lines in a picture, in degrees. Pixels have y down; every angle here has y up.

A point or a vector is an array whose last axis is (x, y) in pixels; NaN in gives NaN out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def direction_deg(start: ArrayLike, end: ArrayLike) -> Floats:
    """Direction from `start` to `end`: zero to the right, positive counter-clockwise as seen.

    Range (-180, 180]. Degenerate: coincident points give NaN.
    """
    vector = np.asarray(end, float) - np.asarray(start, float)
    angle = np.degrees(np.arctan2(-vector[..., 1], vector[..., 0]))
    angle = np.where(angle <= -180.0, 180.0, angle)
    return np.where(np.hypot(vector[..., 0], vector[..., 1]) > 0, angle, np.nan)


def from_vertical_deg(low: ArrayLike, high: ArrayLike) -> Floats:
    """Lean of the line from `low` to `high`: zero upright, positive leaning to the right.

    Range (-180, 180]. Degenerate: coincident points give NaN.
    """
    return wrap_deg(90.0 - direction_deg(low, high))


def joint_deg(first: ArrayLike, joint: ArrayLike, second: ArrayLike) -> Floats:
    """Angle at `joint` between the limbs to `first` and `second`: 180 is straight.

    Range [0, 180], no sign. Degenerate: a limb without length gives NaN. Uses
    2·atan2(|a−b|, |a+b|) of the unit vectors, accurate near 0 and 180 where arccos is not
    (W. Kahan, "How Futile are Mindless Assessments of Roundoff", 2006, section 12).
    """
    a = _unit(np.asarray(first, float) - np.asarray(joint, float))
    b = _unit(np.asarray(second, float) - np.asarray(joint, float))
    apart = np.linalg.norm(a - b, axis=-1)
    along = np.linalg.norm(a + b, axis=-1)
    return np.degrees(2.0 * np.arctan2(apart, along))


def wrap_deg(angle: ArrayLike) -> Floats:
    """The same angle in (-180, 180]."""
    return -((180.0 - np.asarray(angle, float)) % 360.0 - 180.0)


def _unit(vector: Floats) -> Floats:
    length = np.linalg.norm(vector, axis=-1, keepdims=True)
    return np.divide(vector, length, out=np.full_like(vector, np.nan), where=length > 0)
