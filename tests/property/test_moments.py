"""What must hold for every swing: mirror, shift and stretch of time, place and size."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from causeline.body import refine_body
from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName as M
from causeline.model.tracks import LandmarkTrack
from causeline.moments import find_moments, find_swings
from tests.motions.puppet import Camera, Flaws, Puppet

FEW = settings(max_examples=12)
"""A swing takes a third of a second to refine."""
VIEWS = st.sampled_from(list(View))
WIDTH = 720
SAME_S = 1e-6
"""A microsecond: what arithmetic leaves when nothing but the picture's side changes."""


def _times(track: LandmarkTrack, hand: Hand, view: View) -> dict[M, float]:
    found = find_moments(refine_body(track, hand, WIDTH), view).found
    return {moment.name: moment.time_s for moment in found}


@FEW
@given(view=VIEWS, seed=st.integers(0, 999))
def test_a_left_hander_has_the_moments_of_the_mirrored_right_hander(view: View, seed: int) -> None:
    flaws = Flaws(noise_px=0.0, missing=(20 + seed % 60,))
    puppet = Puppet(camera=Camera(view), rate_hz=30.0)
    right = _times(puppet.landmarks(flaws), Hand.RIGHT, view)
    left = _times(replace(puppet, hand=Hand.LEFT).landmarks(flaws), Hand.LEFT, view)
    assert right.keys() == left.keys() == set(M)
    for name, time_s in right.items():
        assert left[name] == pytest.approx(time_s, abs=SAME_S)


@FEW
@given(view=VIEWS, shift_s=st.floats(0.0, 1e4), seed=st.integers(0, 99))
def test_a_later_clip_is_the_same_swing_later(view: View, shift_s: float, seed: int) -> None:
    track = Puppet(camera=Camera(view), rate_hz=30.0).landmarks(Flaws(noise_px=3.0, seed=seed))
    later = replace(track, time_s=track.time_s + shift_s)
    here, there = _times(track, Hand.RIGHT, view), _times(later, Hand.RIGHT, view)
    assert here.keys() == there.keys()
    for name, time_s in here.items():
        assert there[name] - shift_s == pytest.approx(time_s, abs=1e-4)


@given(view=VIEWS, slower=st.floats(1.0, 10.0), seed=st.integers(0, 99))
def test_windows_stretch_with_the_film(view: View, slower: float, seed: int) -> None:
    track = Puppet(camera=Camera(view), rate_hz=60.0).landmarks(Flaws(noise_px=3.0, seed=seed))
    (window,) = find_swings(track)
    (stretched,) = find_swings(replace(track, time_s=slower * track.time_s))
    assert (stretched.first_frame, stretched.last_frame) == (window.first_frame, window.last_frame)
    assert stretched.fall_s == pytest.approx(slower * window.fall_s)
    assert stretched.rise_s == pytest.approx(slower * window.rise_s)


@FEW
@given(
    view=VIEWS,
    x_m=st.floats(-0.2, 0.2),
    size=st.floats(0.6, 1.2),
    seed=st.integers(0, 99),
)
def test_where_and_how_large_the_golfer_is_does_not_matter(
    view: View, x_m: float, size: float, seed: int
) -> None:
    """Half a frame, for the noise is not the same share of a smaller golfer."""
    camera = Camera(view, focal_px=1500.0 * size)
    puppet = Puppet(camera=camera, rate_hz=60.0, at_m=(x_m, x_m))
    times = _times(puppet.landmarks(Flaws(noise_px=2.0, seed=seed)), Hand.RIGHT, view)
    for name in (M.ARM_LEVEL_DOWN, M.IMPACT):
        assert times[name] == pytest.approx(puppet.moments[name], abs=0.03)
