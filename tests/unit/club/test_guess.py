"""Lines read off maps that are drawn by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.club.guess import track_guesses
from causeline.club.lines import track_line_guesses
from causeline.club.polish import track_edge
from causeline.club.reach import track_regions
from causeline.model.club import ClubCrop
from causeline.model.tracks import Region
from causeline.quantities.angle import direction_deg
from tests.unit.club import clubs

REGION = Region(360.0, 700.0, 1056.0)
ANGLES = [-170.0, -90.0, -37.0, 0.0, 64.0, 90.0, 145.0]


@pytest.mark.parametrize("deg", ANGLES)
def test_the_likeliest_line_is_the_club_that_the_maps_show(deg: float) -> None:
    found = track_guesses(clubs.crop(clubs.points(deg), REGION), clubs.HANDS)
    assert direction_deg(found.butt[0], found.hosel[0]) == pytest.approx(deg, abs=0.5)
    # A cell of the map is 22 pixels of the clip; a quarter of one is what its centre of mass tells.
    assert found.hosel[0] == pytest.approx(clubs.points(deg)[1], abs=6.0)
    assert bool(found.tip_seen[0])


def test_maps_that_show_nothing_give_no_guess() -> None:
    assert len(track_guesses(clubs.crop(None, REGION), clubs.HANDS)) == 0


def test_a_club_whose_head_is_outside_is_followed_without_an_end() -> None:
    crop = clubs.crop(clubs.points(-60.0), REGION)
    maps = crop.maps.copy()
    maps[1:3] = -8.0
    found = track_guesses(ClubCrop(REGION, crop.grey, maps), clubs.HANDS)
    assert direction_deg(found.butt[0], found.hosel[0]) == pytest.approx(-60.0, abs=1.5)
    assert not found.tip_seen[0]


def test_hands_that_are_taken_to_be_elsewhere_do_not_bend_the_line() -> None:
    """The body has them 200 px (a quarter of the stature) beside the grip that the maps show."""
    crop = clubs.crop(clubs.points(-37.0), REGION)
    found = track_guesses(crop, clubs.HANDS - np.array([200.0, 0.0]))
    assert direction_deg(found.butt[0], found.hosel[0]) == pytest.approx(-37.0, abs=0.5)
    assert found.butt[0] == pytest.approx(clubs.points(-37.0)[0], abs=20.0)


def test_a_grip_that_is_hardly_seen_moves_no_hands() -> None:
    crop = clubs.crop(clubs.points(-37.0), REGION)
    maps = crop.maps.copy()
    maps[0] = np.roll(maps[0], 12, axis=1) - 4.0
    found = track_guesses(replace(crop, maps=maps), clubs.HANDS)
    assert direction_deg(found.butt[0], found.hosel[0]) == pytest.approx(-37.0, abs=0.5)


def test_through_hidden_hands_a_line_is_laid_as_the_shaft_lies_at_its_end() -> None:
    """The body has them 150 px above the grip, which the maps do not show either."""
    crop = clubs.crop(clubs.points(-37.0), REGION)
    maps = crop.maps.copy()
    maps[0] = -8.0
    crop, hands = replace(crop, maps=maps), clubs.HANDS - np.array([0.0, 150.0])

    def nearest(hidden: bool) -> float:
        found = track_guesses(crop, hands, hidden)
        return min(
            abs(float(direction_deg(*ends)) + 37.0)
            for ends in zip(found.butt, found.hosel, strict=True)
        )

    assert nearest(hidden=True) < 0.5 < nearest(hidden=False)


def test_hidden_hands_that_are_far_from_a_line_do_not_hold_it() -> None:
    """Half the golfer's height away."""
    crop = clubs.crop(clubs.points(0.0), REGION)
    away = clubs.HANDS - np.array([0.0, 400.0])
    assert len(track_guesses(crop, away, hidden=True)) == len(track_guesses(crop, away))


def _with_closer(far: float, near: float, share: float) -> ClubCrop:
    """A club at `far` in the usual crop and one at `near` in the closer one, `share` as long."""
    crops = []
    for deg, size in ((far, REGION.size), (near, REGION.size / 2)):
        club = clubs.points(deg)
        club[1:] = club[0] + share * (club[1:] - club[0])
        crops.append(clubs.crop(club, replace(REGION, size=size)))
    return replace(crops[0], closer=crops[1])


def test_a_short_shaft_is_told_by_the_closer_look_alone() -> None:
    found = track_guesses(_with_closer(-37.0, -34.0, 0.3), clubs.HANDS)
    seen = found.hosel[found.tip_seen]
    assert len(seen) == 1
    assert direction_deg(found.butt[0], seen[0]) == pytest.approx(-34.0, abs=1.0)


def test_what_only_one_of_the_looks_shows_stays_beside_the_other() -> None:
    found = track_guesses(_with_closer(90.0, -34.0, 0.3), clubs.HANDS)
    told = [direction_deg(butt, hosel) for butt, hosel in zip(found.butt, found.hosel, strict=True)]
    assert any(deg == pytest.approx(90.0, abs=1.0) for deg in told)
    assert any(deg == pytest.approx(-34.0, abs=1.0) for deg in told)


def _streak(deg: float, side: int = 192, width: float = 1.2) -> np.ndarray:
    """A bright line through the middle of a grey picture, and a broad edge that is no line."""
    y, x = np.mgrid[:side, :side] - (side - 1) / 2
    away = x * np.sin(np.radians(deg)) + y * np.cos(np.radians(deg))
    grey = 90.0 + 60.0 * np.exp(-((away / width) ** 2))
    grey[:, : side // 5] = 200.0
    return grey.astype(np.float32)


@pytest.mark.parametrize("deg", [-37.0, 12.0, 80.0])
@pytest.mark.parametrize("off_deg", [-2.0, 1.5])
def test_a_line_is_laid_on_the_streak_beneath_it(deg: float, off_deg: float) -> None:
    middle = np.array([95.5, 95.5])
    start, end = track_edge(_streak(deg), middle, middle + 70 * clubs.way(deg + off_deg), 1.0)
    # Steps of half a pixel over 70 are 0.4°; the centre of mass of the best few is finer.
    assert direction_deg(start, end) == pytest.approx(deg, abs=0.3)


def test_a_line_on_plain_ground_stays() -> None:
    plain = np.full((192, 192), 90.0, dtype=np.float32)
    start, end = np.array([90.0, 90.0]), np.array([150.0, 60.0])
    moved = track_edge(plain, start, end, 1.0)
    assert (moved[0] == start).all()
    assert (moved[1] == end).all()


def test_the_baseline_finds_a_lone_streak() -> None:
    grey = _streak(30.0)
    grey[:, :96] = 90.0
    crop = ClubCrop(Region(95.5, 95.5, 192.0), np.stack([grey] * 3), np.zeros((6, 48, 48), "f4"))
    found = track_line_guesses(crop, np.array([95.5, 95.5]))
    assert direction_deg(found.butt[0], found.hosel[0]) == pytest.approx(30.0, abs=1.0)


def test_the_square_that_the_body_gives_is_the_one_that_is_read() -> None:
    region = track_regions(clubs.body(1))[0]
    found = track_guesses(clubs.crop(clubs.points(20.0), region), clubs.HANDS)
    assert direction_deg(found.butt[0], found.hosel[0]) == pytest.approx(20.0, abs=0.5)
