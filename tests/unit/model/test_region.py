"""The square in which the engine looks: its geometry, and how it follows from landmarks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.model.tracks import ANKLES, WIDENS, WIDEST_TRUNKS, Landmarks, Region
from tests.stickman import standing

WITHIN_PX = 1e-6
regions = st.builds(
    Region,
    st.floats(-500, 4000),
    st.floats(-500, 4000),
    st.floats(1, 4000),
    st.floats(-180, 180),
)


@given(regions, st.lists(st.tuples(st.floats(-1, 2), st.floats(-1, 2)), min_size=1))
def test_to_the_picture_and_back_changes_nothing(
    region: Region, shares: list[tuple[float, float]]
) -> None:
    points = np.array(shares)
    back = region.to_share(region.to_picture(points))
    np.testing.assert_allclose(back * region.size, points * region.size, atol=WITHIN_PX)


@given(regions)
def test_the_corners_are_as_far_from_the_middle_as_half_a_diagonal(region: Region) -> None:
    corners = region.to_picture(np.array([[0, 0], [1, 0], [0, 1], [1, 1]], float))
    away = np.hypot(*(corners - (region.x, region.y)).T)
    np.testing.assert_allclose(away, region.size / np.sqrt(2), rtol=1e-9)


def test_a_quarter_turn_clockwise_brings_the_upper_left_corner_to_the_upper_right() -> None:
    turned = Region(100, 200, 40, 90)
    assert turned.to_picture(np.array([0.0, 0.0])) == pytest.approx([120, 180])
    assert turned.to_picture(np.array([1.0, 0.0])) == pytest.approx([120, 220])


def test_around_somebody_upright_is_upright_with_the_hips_in_the_middle() -> None:
    region = Region.around(standing(300, 500, stature=400))
    assert (region.x, region.y, region.turn_deg) == pytest.approx((300, 500, 0))
    # From the hips to the heel: 0.51 down and 0.1 to the side; the side is 2.25 of that.
    assert region.size == pytest.approx(2.25 * 400 * np.hypot(0.51, 0.1))


def test_raised_arms_leave_the_region_where_it_is() -> None:
    xy = standing(300, 500, 400)
    raised = xy.copy()
    raised[13:23, 1] -= 500
    assert Region.around(raised) == Region.around(xy)


@pytest.mark.parametrize("turn", [-150, -90, -20, 0, 35, 90, 170])
def test_a_person_turned_turns_the_region(turn: float) -> None:
    turned = Region(0, 0, 1, turn).to_picture(standing(0.5, 0.5, 0.4)) * 1000
    assert Region.around(turned).turn_deg == pytest.approx(turn)


def test_a_person_without_extent_gives_a_region_of_one_pixel() -> None:
    assert Region.around(np.full((33, 2), 7.0)) == Region(7, 7, 1, 0)


def test_two_who_stand_an_arm_apart_do_not_match() -> None:
    one = Region.around(standing(300, 500, 400))
    assert one.matches(Region.around(standing(340, 480, 420)))
    assert not one.matches(Region.around(standing(500, 500, 400)))


def _found(stature: float, feet: float) -> Landmarks:
    """A person whose ankles are as sure as `feet`."""
    confidence = np.ones(33)
    confidence[list(ANKLES)] = feet
    return Landmarks(standing(300, 500, stature), confidence, 1.0)


def test_the_next_look_is_around_the_person_where_the_feet_are_seen() -> None:
    before = Region(290, 490, 900)
    assert before.after(_found(400, 0.8)) == Region.around(standing(300, 500, 400))


@given(st.floats(50, 2000), st.floats(50, 800))
def test_feet_in_doubt_never_narrow_the_look_and_widen_it_to_a_limit(
    size: float, stature: float
) -> None:
    answer = _found(stature, 0.3)
    own, trunk = Region.around(answer.xy), 0.3 * stature
    again = Region(290, 490, size).after(answer)
    assert (again.x, again.y, again.turn_deg) == (own.x, own.y, own.turn_deg)
    assert again.size >= size
    assert again.size <= max(own.size, size, min(WIDENS * size, WIDEST_TRUNKS * trunk)) + 1e-6
