"""Rotations as arrays: vectors (..., 3) in radians, matrices (..., 3, 3). Right-handed."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from studio.performance import Floats

_SMALL = 1e-8


def skew(vector: Floats) -> Floats:
    """The matrix S with S b = vector × b."""
    out = np.zeros((*vector.shape[:-1], 3, 3))
    out[..., 0, 1], out[..., 0, 2] = -vector[..., 2], vector[..., 1]
    out[..., 1, 0], out[..., 1, 2] = vector[..., 2], -vector[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -vector[..., 1], vector[..., 0]
    return out


def turn_matrix(vector: ArrayLike) -> Floats:
    """The rotation about `vector` by its length."""
    vector = np.asarray(vector, dtype=np.float64)
    angle = np.linalg.norm(vector, axis=-1)[..., None, None]
    cross = skew(vector)
    safe = np.maximum(angle, _SMALL)
    return np.eye(3) + np.sinc(safe / np.pi) * cross + _versine(safe) * (cross @ cross)


def _versine(angle: Floats) -> Floats:
    """(1 - cos a) / a², without loss at small angles."""
    return 0.5 * np.sinc(angle / (2 * np.pi)) ** 2


def left_jacobian(vector: Floats) -> Floats:
    """Columns: the axes about which small changes of `vector` turn the rotation it stands for."""
    angle = np.maximum(np.linalg.norm(vector, axis=-1), _SMALL)[..., None, None]
    cross = skew(vector)
    rest = np.where(angle < 1e-3, 1 / 6, (angle - np.sin(angle)) / angle**3)
    return np.eye(3) + _versine(angle) * cross + rest * (cross @ cross)


def turn_vector(matrix: Floats) -> Floats:
    """The rotation vector of a matrix, length within [0, π]. At π exactly its sign is arbitrary."""
    quaternion = matrix_quaternion(matrix)
    scalar, part = quaternion[..., :1], quaternion[..., 1:]
    length = np.linalg.norm(part, axis=-1, keepdims=True)
    angle = 2 * np.arctan2(length, scalar)
    return part * np.where(length < _SMALL, 2.0, angle / np.maximum(length, _SMALL))


def matrix_quaternion(matrix: Floats) -> Floats:
    """(..., 4) unit quaternions, scalar first and never negative."""
    trace = np.trace(matrix, axis1=-2, axis2=-1)
    diagonal = np.diagonal(matrix, axis1=-2, axis2=-1)
    squares = np.concatenate([trace[..., None], 2 * diagonal - trace[..., None]], axis=-1)
    largest = np.argmax(squares, axis=-1)
    columns = np.stack([_quaternion_row(matrix, i, squares[..., i]) for i in range(4)], axis=-2)
    chosen = np.take_along_axis(columns, largest[..., None, None], axis=-2)[..., 0, :]
    chosen = chosen / np.linalg.norm(chosen, axis=-1, keepdims=True)
    return chosen * np.where(chosen[..., :1] < 0, -1.0, 1.0)


def _quaternion_row(matrix: Floats, row: int, square: Floats) -> Floats:
    """The quaternion times four of its own component `row`."""
    m = matrix
    odd = [m[..., 2, 1] - m[..., 1, 2], m[..., 0, 2] - m[..., 2, 0], m[..., 1, 0] - m[..., 0, 1]]
    even = {
        (1, 2): m[..., 0, 1] + m[..., 1, 0],
        (1, 3): m[..., 0, 2] + m[..., 2, 0],
        (2, 3): m[..., 1, 2] + m[..., 2, 1],
    }
    if row == 0:
        return np.stack([1 + square, *odd], axis=-1)
    rest = [1 + square if i == row else even[(min(i, row), max(i, row))] for i in range(1, 4)]
    return np.stack([odd[row - 1], *rest], axis=-1)


def frame_from(first: ArrayLike, second: ArrayLike) -> Floats:
    """Columns: `first` made unit, the part of `second` square to it, and their cross product."""
    x = unit(first)
    y = np.asarray(second, dtype=np.float64)
    y = unit(y - np.sum(x * y, axis=-1, keepdims=True) * x)
    return np.stack([x, y, np.cross(x, y)], axis=-1)


def unit(vector: ArrayLike) -> Floats:
    """`vector` with length 1 along the last axis."""
    vector = np.asarray(vector, dtype=np.float64)
    return vector / np.linalg.norm(vector, axis=-1, keepdims=True)


def lean_and_turn(lean_x_deg: ArrayLike, lean_y_deg: ArrayLike, turn_deg: ArrayLike) -> Floats:
    """(..., 3, 3): turned about a long axis that leans toward the ball (x) and the target (y).

    A turn is positive away from the target: clockwise seen from above.
    """
    lean_x, lean_y, turn = np.broadcast_arrays(
        *(np.radians(np.asarray(a, dtype=np.float64)) for a in (lean_x_deg, lean_y_deg, turn_deg))
    )
    axis = unit(np.stack([np.tan(lean_x), np.tan(lean_y), np.ones_like(turn)], axis=-1))
    hinge = np.cross([0.0, 0.0, 1.0], axis)
    sine = np.linalg.norm(hinge, axis=-1, keepdims=True)
    tilt = hinge * np.where(sine > _SMALL, np.arcsin(sine) / np.maximum(sine, _SMALL), 1.0)
    spin = np.stack([np.zeros_like(turn), np.zeros_like(turn), -turn], axis=-1)
    return turn_matrix(tilt) @ turn_matrix(spin)
