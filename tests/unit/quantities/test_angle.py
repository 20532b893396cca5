"""Angles of lines in a picture, y down in the picture and up in the angle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from causeline.quantities.angle import Floats, direction_deg, from_vertical_deg, joint_deg, wrap_deg

DEGREE = 1.0
COORDINATES = st.floats(-1e4, 1e4, allow_subnormal=False)
POINTS = st.tuples(COORDINATES, COORDINATES).map(np.array)
ANGLES = st.floats(-1e4, 1e4)


def _far_enough(*pairs: tuple[Floats, Floats]) -> None:
    assume(all(np.hypot(*(a - b)) > 1e-3 for a, b in pairs))


class TestByHand:
    @pytest.mark.parametrize(
        ("end", "angle"),
        [
            ((1, 0), 0),
            ((1, -1), 45),
            ((0, -1), 90),
            ((-1, -1), 135),
            ((-1, 0), 180),
            ((-1, 1), -135),
            ((0, 1), -90),
            ((np.sqrt(3), -1), 30),
        ],
    )
    def test_direction(self, end: tuple[float, float], angle: float) -> None:
        assert direction_deg((0, 0), end) == pytest.approx(angle)

    def test_straight_left_is_plus_180_whatever_the_sign_of_zero(self) -> None:
        assert direction_deg((0, 0.0), (-1, 0.0)) == 180.0
        assert direction_deg((0, 0.0), (-1, -0.0)) == 180.0
        assert direction_deg((0, -0.0), (-1, 0.0)) == 180.0

    @pytest.mark.parametrize(
        ("high", "lean"),
        [((0, -1), 0), ((1, -1), 45), ((-1, -1), -45), ((1, 0), 90), ((-1, 0), -90), ((0, 1), 180)],
    )
    def test_lean(self, high: tuple[float, float], lean: float) -> None:
        assert from_vertical_deg((0, 0), high) == pytest.approx(lean)

    @pytest.mark.parametrize(
        ("first", "second", "angle"),
        [
            ((1, 0), (-1, 0), 180),
            ((1, 0), (0, 1), 90),
            ((1, 0), (0, -1), 90),
            ((1, 0), (2, 0), 0),
            ((1, 0), (1, np.sqrt(3)), 60),
            ((1, 0), (-np.sqrt(3), 1), 150),
        ],
    )
    def test_joint(
        self, first: tuple[float, float], second: tuple[float, float], angle: float
    ) -> None:
        assert joint_deg(first, (0, 0), second) == pytest.approx(angle, abs=1e-9)

    @pytest.mark.parametrize(
        ("angle", "wrapped"),
        [(0, 0), (180, 180), (-180, 180), (181, -179), (-181, 179), (360, 0), (540, 180), (720, 0)],
    )
    def test_wrap(self, angle: float, wrapped: float) -> None:
        assert wrap_deg(angle) == wrapped

    def test_nearly_straight_and_nearly_folded_joints_are_exact(self) -> None:
        """Where arccos of a dot product loses half of its digits: a millionth of a degree."""
        for tiny in (1e-6, 1e-7):
            leg = np.array([np.cos(np.radians(tiny)), np.sin(np.radians(tiny))])
            assert joint_deg((1, 0), (0, 0), leg) == pytest.approx(tiny, rel=1e-6)
            assert 180.0 - joint_deg((1, 0), (0, 0), -leg) == pytest.approx(tiny, rel=1e-6)


class TestDegenerate:
    def test_coincident_points_have_no_direction(self) -> None:
        assert np.isnan(direction_deg((3, 4), (3, 4)))
        assert np.isnan(from_vertical_deg((3, 4), (3, 4)))

    def test_a_limb_without_length_makes_no_joint(self) -> None:
        assert np.isnan(joint_deg((1, 1), (1, 1), (2, 3)))
        assert np.isnan(joint_deg((2, 3), (1, 1), (1, 1)))

    def test_missing_in_missing_out_and_only_there(self) -> None:
        ends = np.array([[1.0, 0.0], [np.nan, 1.0], [0.0, -1.0]])
        assert np.isnan(direction_deg((0, 0), ends)).tolist() == [False, True, False]
        assert np.isnan(from_vertical_deg((0, 0), ends)).tolist() == [False, True, False]
        assert np.isnan(joint_deg(ends, (0, 0), (1, 1))).tolist() == [False, True, False]
        assert np.isnan(wrap_deg(np.nan))


class TestProperties:
    @given(POINTS, POINTS)
    def test_directions_lie_in_the_range(self, start: Floats, end: Floats) -> None:
        _far_enough((start, end))
        assert -180.0 < direction_deg(start, end) <= 180.0
        assert -180.0 < from_vertical_deg(start, end) <= 180.0

    @given(ANGLES)
    def test_wrapping_keeps_the_angle_and_the_range(self, angle: float) -> None:
        wrapped = float(wrap_deg(angle))
        assert -180.0 < wrapped <= 180.0
        turns = (angle - wrapped) / 360.0
        assert turns == pytest.approx(round(turns), abs=1e-9)
        assert wrap_deg(wrapped) == wrapped

    @given(ANGLES, st.floats(1.0, 1e4))
    def test_a_direction_that_is_drawn_is_read_back(self, angle: float, length: float) -> None:
        ray = length * np.array([np.cos(np.radians(angle)), -np.sin(np.radians(angle))])
        start = np.array([5.0, 7.0])
        gap = wrap_deg(direction_deg(start, start + ray) - angle)
        # A point at 5, 7 rounds a ray of length 1 by 1e-15.
        assert abs(gap) < 1e-9 * DEGREE

    @given(POINTS, POINTS)
    def test_the_mirror_image_leans_the_other_way(self, low: Floats, high: Floats) -> None:
        _far_enough((low, high))
        mirror = np.array([-1.0, 1.0])
        there, here = from_vertical_deg(low * mirror, high * mirror), from_vertical_deg(low, high)
        assert wrap_deg(there + here) == pytest.approx(0.0, abs=1e-9)

    @given(POINTS, POINTS)
    def test_the_way_back_differs_by_half_a_turn(self, start: Floats, end: Floats) -> None:
        _far_enough((start, end))
        there, back = direction_deg(start, end), direction_deg(end, start)
        assert abs(wrap_deg(there - back)) == pytest.approx(180.0)

    @given(POINTS, POINTS, POINTS)
    def test_a_joint_is_the_rotation_between_its_limbs(
        self, first: Floats, joint: Floats, second: Floats
    ) -> None:
        """Outside reference: scipy's rotation that takes one limb onto the other, its angle."""
        _far_enough((first, joint), (second, joint))
        a, b = (np.append(point - joint, 0.0) for point in (first, second))
        turn = Rotation.from_rotvec(_rotvec(a, b))
        assert turn.apply(a / np.linalg.norm(a)) == pytest.approx(b / np.linalg.norm(b), abs=1e-9)
        expected = np.degrees(turn.magnitude())
        assert joint_deg(first, joint, second) == pytest.approx(expected, abs=1e-6 * DEGREE)

    @given(POINTS, POINTS, POINTS, ANGLES, st.floats(0.1, 10.0))
    def test_a_joint_does_not_care_where_the_camera_is_turned_or_how_near(
        self, first: Floats, joint: Floats, second: Floats, turn: float, zoom: float
    ) -> None:
        _far_enough((first, joint), (second, joint))
        moved = Rotation.from_euler("z", turn, degrees=True).as_matrix()[:2, :2] * zoom
        seen = joint_deg(moved @ first, moved @ joint, moved @ second)
        # Points up to 1e4 from the origin and 1e-3 apart: 1e-16 × 1e4 / 1e-3 rad is 1e-7°.
        assert seen == pytest.approx(joint_deg(first, joint, second), abs=1e-5 * DEGREE)

    @given(POINTS, POINTS, POINTS)
    def test_a_joint_is_the_same_from_either_side(
        self, first: Floats, joint: Floats, second: Floats
    ) -> None:
        _far_enough((first, joint), (second, joint))
        assert joint_deg(first, joint, second) == joint_deg(second, joint, first)


def test_arrays_are_taken_whole() -> None:
    points = np.random.default_rng(1).normal(size=(3, 7, 5, 2))
    whole = joint_deg(*points)
    assert whole.shape == (7, 5)
    assert whole[3, 2] == joint_deg(*points[:, 3, 2])


def _rotvec(a: Floats, b: Floats) -> Floats:
    """The shortest rotation from a to b, about the axis out of the picture."""
    turn = np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)
    return np.array([0.0, 0.0, turn])
