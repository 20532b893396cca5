"""The skeleton's derivatives and the solver, on poses whose answer is known."""

from __future__ import annotations

import numpy as np
import pytest
from studio.body import Build, make_body
from studio.pose import Goals, PlaneGoal, PointGoal, TurnGoal, _rows, solve_pose
from studio.rotation import left_jacobian, turn_matrix, turn_vector
from studio.skeleton import Skeleton


@pytest.fixture(scope="module")
def skeleton() -> Skeleton:
    return Skeleton(make_body(Build()))


def _goals(skeleton: Skeleton, settings: np.ndarray) -> Goals:
    """Goals that those settings meet: hands, feet and head."""
    world, places = skeleton.pose(settings)
    size = len(skeleton.names)
    bones = ("wrist.L", "wrist.R", "foot.L", "foot.R", "head", "root", "spine01")
    points, turns = [], []
    for bone in bones:
        slot = skeleton.slot[bone]
        sd = np.full(len(settings), 0.001)
        points.append(PointGoal(bone, skeleton.heads[slot], places[:, slot], sd))
        turns.append(TurnGoal(bone, world[:, slot], np.full(3, 0.01)))
    free = np.full((len(settings), size), 30.0)
    low, high = np.full(size, -9.0), np.full(size, 9.0)
    return Goals(tuple(points), (), tuple(turns), 0 * free, free, low, high)


def test_a_known_pose_is_found_again(skeleton: Skeleton) -> None:
    rng = np.random.default_rng(0)
    settings = rng.normal(0, 0.2, (1, len(skeleton.names))).repeat(4, axis=0)
    goals = _goals(skeleton, settings)
    found = solve_pose(skeleton, goals, settings + rng.normal(0, 0.15, settings.shape), 60)
    world, places = skeleton.pose(found)
    for point in goals.points:
        assert np.abs(places[:, skeleton.slot[point.bone]] - point.place).max() < 2e-4  # metres
    for turn in goals.turns:
        off = turn_vector(world[:, skeleton.slot[turn.bone]] @ np.swapaxes(turn.rotation, 1, 2))
        assert np.abs(np.degrees(off)).max() < 0.2


def test_derivatives_are_those_of_small_changes(skeleton: Skeleton) -> None:
    rng = np.random.default_rng(1)
    settings = rng.normal(0, 0.3, (2, len(skeleton.names)))
    place = rng.normal(0, 1, (2, 3))
    point = PointGoal("wrist.L", skeleton.at("finger2-1.L"), place, np.ones(2))
    normal = np.tile([0.0, 0.6, 0.8], (2, 1))
    plane = PlaneGoal("lowerarm01.R", "upperarm01.R", normal, 1.0)
    goals = _goals(skeleton, settings)
    goals = Goals((point,), (plane,), goals.turns[:1], *(
        getattr(goals, name) for name in ("wish", "wish_sd", "low", "high")
    ))  # fmt: skip

    def rows(at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        world, places = skeleton.pose(at)
        return _rows(skeleton, goals, at, (world, places, skeleton.turning_axes(at, world)))

    exact = rows(settings)[0]
    for column in range(settings.shape[1]):
        step = np.zeros(settings.shape[1])
        step[column] = 1e-6
        change = (rows(settings + step)[1] - rows(settings - step)[1]) / 2e-6
        assert exact[:, :, column] == pytest.approx(change, abs=1e-4)


def test_rotations_there_and_back() -> None:
    rng = np.random.default_rng(2)
    vectors = rng.normal(0, 1, (200, 3))
    vectors *= rng.uniform(0, 3.1, (200, 1)) / np.linalg.norm(vectors, axis=1, keepdims=True)
    assert turn_vector(turn_matrix(vectors)) == pytest.approx(vectors, abs=1e-9)
    small = 1e-6 * rng.normal(size=(200, 3))
    moved = turn_matrix(vectors + small) @ np.swapaxes(turn_matrix(vectors), 1, 2)
    expected = (left_jacobian(vectors) @ small[..., None])[..., 0]
    assert turn_vector(moved) == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize("stature", [1.40, 1.65, 1.98])
def test_bodies_stand_on_the_ground_at_their_height(stature: float) -> None:
    body = make_body(Build(stature_m=stature, age=0.4 if stature < 1.5 else 0.67))
    skin = np.unique(body.faces)
    assert body.vertices[skin, 2].min() == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(body.vertices[skin, 2]) == pytest.approx(stature, abs=1e-9)
    assert body.skin_weights.sum(axis=1) == pytest.approx(np.ones(len(body.vertices)))
    assert {"helper-tights", "helper-skirt", "helper-hair"} <= body.helpers.keys()
