"""Turns of shoulders and hips from joints in space."""

from __future__ import annotations

import numpy as np

from causeline.model.motion import POINTS
from causeline.quantities.angle import Floats


def turns_of(points: Floats) -> Floats:
    """(..., P, 3) degrees, in the order of `TURNS`, of points (..., P, Q, 3) over time.

    Zero at the first sample, positive away from the target, unwrapped. Degenerate: a shoulder line
    along the trunk, or an upright line, gives numbers without meaning.
    """
    shoulders, hips = _line(points, "shoulder"), _line(points, "hip")
    trunk = _middle(points, "shoulder") - _middle(points, "hip")
    about = (turn_about(shoulders, trunk), turn_from_above(shoulders), turn_from_above(hips))
    turns = np.stack(about, axis=-1)
    relative: Floats = turns - turns[..., :1, :]
    return relative


def turn_from_above(line: Floats) -> Floats:
    """Degrees from the target's direction in the horizontal plane, (..., P), unwrapped over P.

    Positive toward the ball, which is a lead side going back.
    """
    turn: Floats = np.degrees(np.unwrap(np.arctan2(line[..., 0], line[..., 1]), axis=-1))
    return turn


def turn_about(line: Floats, axis: Floats) -> Floats:
    """The same after the shortest rotation that sets `axis` upright: the turn about that axis."""
    axis = axis / np.linalg.norm(axis, axis=-1, keepdims=True)
    hinge = np.cross(axis, [0.0, 0.0, 1.0])
    once = np.cross(hinge, line)
    upright = line + once + np.cross(hinge, once) / (1.0 + axis[..., 2:])
    return turn_from_above(upright)


def _line(points: Floats, part: str) -> Floats:
    return _at(points, f"lead_{part}") - _at(points, f"trail_{part}")


def _middle(points: Floats, part: str) -> Floats:
    middle: Floats = (_at(points, f"lead_{part}") + _at(points, f"trail_{part}")) / 2
    return middle


def _at(points: Floats, name: str) -> Floats:
    return points[..., POINTS.index(name), :]
