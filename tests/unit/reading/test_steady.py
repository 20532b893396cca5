"""Regions made calm: what a track's regions become at the frames between and around its looks."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.model.tracks import LandmarkTrack, Region
from causeline.quantities.angle import Floats
from causeline.reading.steady import is_off, steady_regions
from tests.stickman import standing


def _track(time_s: Floats, xy: Floats) -> LandmarkTrack:
    return LandmarkTrack(np.arange(len(time_s)), time_s, xy, np.ones(xy.shape[:2]))


def test_somebody_still_has_one_region_at_all_times() -> None:
    xy = standing(200, 150, 100)
    track = _track(np.arange(10) / 15, np.repeat(xy[None], 10, axis=0))
    for region in steady_regions(track, np.array([-3.0, 0.0, 0.31, 0.6, 9.0])):
        own = Region.around(xy)
        assert (region.x, region.y, region.size) == pytest.approx((own.x, own.y, own.size))
        assert region.turn_deg == pytest.approx(0)


def test_somebody_who_walks_evenly_is_expected_on_the_way() -> None:
    time_s = np.arange(31) / 15
    track = _track(time_s, np.array([standing(100 + 60 * t, 150, 100) for t in time_s]))
    (region,) = steady_regions(track, np.array([1.03]))
    # A Gaussian keeps a straight line; what is left comes from the spacing of the looks.
    assert region.x == pytest.approx(100 + 60 * 1.03, abs=0.2)


def test_one_wild_look_moves_the_region_by_a_fraction() -> None:
    xy = np.array([standing(200, 150, 100)] * 11)
    xy[5, :, 0] += 50
    regions = steady_regions(_track(np.arange(11) / 15, xy), np.arange(11) / 15)
    # The middle weight of a Gaussian of 0.1 s on looks 1/15 s apart is 0.27.
    assert max(region.x for region in regions) - 200 == pytest.approx(50 * 0.27, abs=0.5)


def test_one_tiny_look_does_not_change_the_size() -> None:
    xy = np.array([standing(200, 150, 100)] * 11)
    xy[5] = standing(200, 150, 10)
    regions = steady_regions(_track(np.arange(11) / 15, xy), np.arange(11) / 15)
    assert {region.size for region in regions} == {Region.around(xy[0]).size}


def test_a_gap_is_bridged() -> None:
    xy = np.array([standing(200 + 10 * k, 150, 100) for k in range(20)])
    xy[5:15] = np.nan
    regions = steady_regions(_track(np.arange(20) / 15, xy), np.arange(20) / 15)
    assert np.all(np.diff([region.x for region in regions]) >= 0)


def test_the_turn_runs_on_over_half_a_circle() -> None:
    upside_down = [
        Region(0, 0, 1, turn).to_picture(standing(0.5, 0.5, 0.3)) for turn in (178, -178)
    ]
    track = _track(np.arange(2) / 15, np.array(upside_down) * 500)
    (region,) = steady_regions(track, np.array([0.5 / 15]))
    assert region.turn_deg == pytest.approx(180)


@pytest.mark.parametrize(
    ("region", "off"),
    [
        (Region(100, 100, 100, 0), False),
        (Region(119, 100, 100, 0), False),
        (Region(121, 100, 100, 0), True),
        (Region(100, 100, 149, 24), False),
        (Region(100, 100, 151, 0), True),
        (Region(100, 100, 66, 0), True),
        (Region(100, 100, 100, -26), True),
        (Region(100, 100, 100, 350), False),
    ],
)
def test_what_counts_as_off(region: Region, off: bool) -> None:
    assert is_off(region, Region(100, 100, 100, 0)) is off
