from __future__ import annotations

import pytest

from causeline.model.clip import Hand, View
from causeline.moments import find_hand, find_off_axis, find_swings, find_view
from tests.motions.puppet import Camera, Flaws, Puppet
from tests.motions.scenes import cut

NOISE = Flaws(noise_px=4.0)


@pytest.mark.parametrize("view", list(View))
@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("off_axis_deg", [-20.0, 0.0, 20.0])
def test_view_and_hand_are_told_from_20_degrees_off(
    view: View, hand: Hand, off_axis_deg: float
) -> None:
    track = Puppet(camera=Camera(view, off_axis_deg=off_axis_deg), hand=hand).landmarks(NOISE)
    (window,) = find_swings(track)
    called = find_view(track, window)
    assert called.name == view
    assert called.confidence > 0.85
    side = find_hand(track, window, view)
    assert side.name == hand
    assert side.confidence > 0.9


def test_half_way_between_the_views_nothing_is_sure() -> None:
    track = Puppet(camera=Camera(View.FACE_ON, off_axis_deg=42.0)).landmarks(NOISE)
    assert find_view(track, find_swings(track)[0]).confidence < 0.8


def test_exchanged_sides_do_not_turn_the_view_or_the_hand() -> None:
    flaws = Flaws(noise_px=4.0, swaps=((0, 60, "whole"),))
    for view in View:
        track = Puppet(camera=Camera(view)).landmarks(flaws)
        (window,) = find_swings(track)
        assert find_view(track, window).name == view
        assert find_hand(track, window, view).name == Hand.RIGHT


@pytest.mark.parametrize("view", list(View))
def test_a_clip_that_begins_at_the_top_still_tells(view: View) -> None:
    track = cut(Puppet(camera=Camera(view)).landmarks(NOISE), 1.87, 3.5)
    (window,) = find_swings(track)
    assert find_view(track, window).name == view
    assert find_hand(track, window, view).name == Hand.RIGHT


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("off_deg", [-15.0, 0.0, 15.0])
def test_down_the_line_the_turned_camera_is_seen_in_the_feet(hand: Hand, off_deg: float) -> None:
    """Positive toward the ball, for left-handers too. The puppet stands square."""
    puppet = Puppet(camera=Camera(View.DOWN_THE_LINE, off_axis_deg=off_deg), hand=hand)
    track = puppet.landmarks(NOISE)
    off = find_off_axis(track, find_swings(track)[0], View.DOWN_THE_LINE)
    assert off is not None
    assert off.value == pytest.approx(off_deg, abs=4.0)
    assert off.sd >= 6.0


@pytest.mark.parametrize("off_deg", [-15.0, 0.0, 15.0])
def test_face_on_the_turned_camera_is_guessed(off_deg: float) -> None:
    track = Puppet(camera=Camera(View.FACE_ON, off_axis_deg=off_deg)).landmarks(NOISE)
    off = find_off_axis(track, find_swings(track)[0], View.FACE_ON)
    assert off is not None
    assert off.value == pytest.approx(off_deg, abs=2 * off.sd)
