"""Posing: joint settings that meet targets for points, bones and angles in every key frame.

Damped Gauss-Newton over all frames at once: exact derivatives of the chain, and a curvature
penalty that ties each frame to its neighbours, so that the normal equations are banded.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solveh_banded

from studio.performance import Floats
from studio.rotation import turn_matrix, turn_vector
from studio.skeleton import Skeleton

LARGEST_STEP = 0.35
"""Radians (or metres) that a setting may move in one iteration."""
DAMPING = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class PointGoal:
    """A point fixed to a bone should lie at `place` (n, 3), within `sd_m` (n,) along each axis."""

    bone: str
    at_rest: Floats
    place: Floats
    sd_m: Floats


@dataclass(frozen=True, slots=True, eq=False)
class PlaneGoal:
    """A bone's head should lie in a plane through the head of another, within `sd_m` metres.

    `normal` (n, 3). It says which way a knee or an elbow points, not how far.
    """

    bone: str
    through: str
    normal: Floats
    sd_m: float


@dataclass(frozen=True, slots=True, eq=False)
class TurnGoal:
    """A bone's world rotation should be `rotation` (n, 3, 3).

    Within `sd` (3,) radians about the columns of `axes`, which turn with it. `about` (n, 3): the
    unit shaft, for a hand that the club's roll takes along.
    """

    bone: str
    rotation: Floats
    sd: Floats
    axes: Floats = field(default_factory=lambda: np.eye(3))
    about: Floats | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Goals:
    """All targets of a swing. `wish` and `wish_sd` (n, D): where settings should be, softly."""

    points: tuple[PointGoal, ...]
    planes: tuple[PlaneGoal, ...]
    turns: tuple[TurnGoal, ...]
    wish: Floats
    wish_sd: Floats
    low: Floats
    """(D,) joint limits."""
    high: Floats
    limit_sd: float = np.radians(2.0)
    bend_sd: Floats | float = field(default=np.radians(2.0))
    """Second difference of a setting over three frames that is no rarer than one SD."""

    def some(self, frames: NDArray[np.int64]) -> Goals:
        """The goals of a few frames."""
        return replace(
            self,
            points=tuple(
                replace(p, place=p.place[frames], sd_m=p.sd_m[frames]) for p in self.points
            ),
            planes=tuple(replace(p, normal=p.normal[frames]) for p in self.planes),
            turns=tuple(
                replace(
                    t,
                    rotation=t.rotation[frames],
                    about=None if t.about is None else t.about[frames],
                )
                for t in self.turns
            ),
            wish=self.wish[frames],
            wish_sd=self.wish_sd[frames],
        )


def solve_pose(
    skeleton: Skeleton, goals: Goals, start: Floats, iterations: int = 30, smooth: bool = True
) -> Floats:
    """Settings (n, D) that meet the goals best, from the `start` (n, D)."""
    settings = start.copy()
    bend = goals.bend_sd if smooth else np.inf
    pull = _curvature(len(start), bend, start.shape[1])
    cost, hessian, gradient = _normal_equations(skeleton, goals, settings, pull)
    damping = DAMPING
    for _ in range(iterations):
        step = _step(hessian, gradient, pull, damping)
        widest = np.abs(step).max(axis=1, keepdims=True)
        tried = settings + step * np.minimum(1.0, LARGEST_STEP / np.maximum(widest, 1e-9))
        found = _normal_equations(skeleton, goals, tried, pull)
        if found[0] > cost:
            damping *= 8.0
            continue
        gain = cost - found[0]
        settings, (cost, hessian, gradient) = tried, found
        damping = max(damping / 4.0, DAMPING)
        if gain < 1e-4 * cost:
            break
    return settings


def solve_in_turn(skeleton: Skeleton, goals: Goals, first: Floats) -> Floats:
    """A rough solution frame after frame, each started from the one before."""
    count = len(goals.wish)
    out = np.empty((count, len(first)))
    now = first[None]
    for frame in range(count):
        rounds = 40 if frame == 0 else 4
        now = solve_pose(skeleton, goals.some(np.array([frame])), now, rounds, smooth=False)
        out[frame] = now[0]
    return out


def _normal_equations(
    skeleton: Skeleton, goals: Goals, settings: Floats, pull: Floats
) -> tuple[float, Floats, Floats]:
    """Cost, (n, D, D) and (n, D); the curvature penalty is in the cost and the gradient only."""
    world, places = skeleton.pose(settings)
    axes = skeleton.turning_axes(settings, world)
    cost, hessian, gradient = _settings_cost(goals, settings)
    rows, misses = _rows(skeleton, goals, settings, (world, places, axes))
    hessian += np.swapaxes(rows, 1, 2) @ rows
    gradient += (misses[:, None] @ rows)[:, 0]
    bent = _bend_force(settings, pull)
    cost += float(np.sum(misses**2) + np.sum(bent * settings))
    return cost, hessian, gradient + bent


def _rows(
    skeleton: Skeleton, goals: Goals, settings: Floats, posed: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats]:
    """Weighted derivatives (n, a, D) and misses (n, a) of all goals."""
    out = [_point_rows(skeleton, goal, posed) for goal in goals.points]
    out += [_plane_rows(skeleton, goal, posed) for goal in goals.planes]
    out += [_turn_rows(skeleton, goal, settings, posed) for goal in goals.turns]
    return np.concatenate([r for r, _ in out], axis=1), np.concatenate([m for _, m in out], axis=1)


def _moved(
    skeleton: Skeleton, bone: int, at: Floats, posed: tuple[Floats, Floats, Floats]
) -> Floats:
    """(n, 3, D): how a point at `at` (n, 3) on a bone moves with the settings."""
    _, places, axes = posed
    chain = np.flatnonzero(skeleton.above[bone])
    lever = at[:, None] - places[:, chain]
    moved = np.cross(axes[:, chain], lever[..., None], axis=2)
    rows = np.tensordot(moved.transpose(0, 2, 1, 3), skeleton.mix[chain], axes=2)
    rows[:, :, :3] += np.eye(3)
    return rows


def _point_rows(
    skeleton: Skeleton, goal: PointGoal, posed: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats]:
    world, places, _ = posed
    bone = skeleton.slot[goal.bone]
    at = places[:, bone] + world[:, bone] @ (goal.at_rest - skeleton.heads[bone])
    weight = (1 / goal.sd_m)[:, None]
    return _moved(skeleton, bone, at, posed) * weight[..., None], (at - goal.place) * weight


def _plane_rows(
    skeleton: Skeleton, goal: PlaneGoal, posed: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats]:
    bones = (skeleton.slot[goal.bone], skeleton.slot[goal.through])
    here, there = (posed[1][:, bone] for bone in bones)
    rows = _moved(skeleton, bones[0], here, posed) - _moved(skeleton, bones[1], there, posed)
    rows = np.einsum("na,nad->nd", goal.normal, rows)[:, None] / goal.sd_m
    miss = np.sum(goal.normal * (here - there), axis=1, keepdims=True) / goal.sd_m
    return rows, miss


def _turn_rows(
    skeleton: Skeleton,
    goal: TurnGoal,
    settings: Floats,
    posed: tuple[Floats, Floats, Floats],
) -> tuple[Floats, Floats]:
    world, _, axes = posed
    bone = skeleton.slot[goal.bone]
    chain = np.flatnonzero(skeleton.above[bone])
    rows = np.tensordot(axes[:, chain].transpose(0, 2, 1, 3), skeleton.mix[chain], axes=2)
    rotation = goal.rotation
    if goal.about is not None:
        rotation = turn_matrix(goal.about * settings[:, -1:]) @ rotation
        rows[:, :, -1] -= goal.about
    own = np.swapaxes(rotation @ goal.axes, 1, 2)
    miss = turn_vector(world[:, bone] @ np.swapaxes(rotation, 1, 2))
    return (own @ rows) / goal.sd[:, None], (own @ miss[..., None])[..., 0] / goal.sd


def _settings_cost(goals: Goals, settings: Floats) -> tuple[float, Floats, Floats]:
    """The wishes' and the limits' share of cost, Hessian and gradient."""
    weight = 1 / goals.wish_sd**2
    off = settings - goals.wish
    over = np.maximum(settings - goals.high, 0) + np.minimum(settings - goals.low, 0)
    limit = (over != 0) / goals.limit_sd**2
    cost = float(np.sum(weight * off**2) + np.sum(limit * over**2))
    hessian = (weight + limit)[:, :, None] * np.eye(settings.shape[1])
    return cost, hessian, weight * off + limit * over


def _curvature(count: int, bend_sd: Floats | float, size: int) -> Floats:
    """(3, count, size): the bands (0, 1, 2 frames apart) of the curvature penalty."""
    difference = np.zeros((max(count - 2, 0), count))
    for row in range(len(difference)):
        difference[row, row : row + 3] = (1.0, -2.0, 1.0)
    square = difference.T @ difference
    bands = np.zeros((3, count))
    for apart in range(3):
        bands[apart, : count - apart] = np.diagonal(square, apart)
    return bands[..., None] / np.broadcast_to(np.asarray(bend_sd), (size,)) ** 2


def _bend_force(settings: Floats, pull: Floats) -> Floats:
    """(n, D): the curvature matrix times the settings."""
    force = pull[0] * settings
    for apart in (1, 2):
        bend = pull[apart, : max(len(settings) - apart, 0)]
        force[:-apart] += bend * settings[apart:]
        force[apart:] += bend * settings[:-apart]
    return force


def _step(hessian: Floats, gradient: Floats, pull: Floats, damping: float) -> Floats:
    """(n, D): the damped Newton step of all frames together."""
    count, size = gradient.shape
    if not pull.any():
        stiff = hessian + damping * np.eye(size)
        return np.asarray(np.linalg.solve(stiff, -gradient[..., None])[..., 0], np.float64)
    lower = np.zeros((2 * size + 1, count * size))
    columns = np.arange(size)
    for below in range(size):
        kept = columns[: size - below]
        lower[below].reshape(count, size)[:, kept] = hessian[:, kept + below, kept]
    lower[0] += damping
    for apart in range(3):
        lower[apart * size] += pull[apart].ravel()
    step = solveh_banded(lower, -gradient.ravel(), lower=True, check_finite=False)
    return step.reshape(count, size)
