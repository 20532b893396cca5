"""The club's door: what it hands to the network, and what comes back, in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from causeline.errors import EngineError
from causeline.model.clip import Frame
from causeline.model.club import CLUB_MAPS
from causeline.model.tracks import Region
from causeline.sources.club_net import (
    SIDE,
    WEIGHTS,
    OpenvinoClubNet,
    _planes,
    _seems_short,
    _trios,
)

WIDE, HIGH = 400, 300
REGION = Region(199.5, 149.5, 192.0)


def _frames(count: int) -> Iterator[Frame]:
    """Frame i is grey 10 + 20 i all over, but for a bright spot right of the middle."""
    for i in range(count):
        picture = np.full((HIGH, WIDE, 3), 10 + 20 * i, np.uint8)
        picture[145:155, 245:255] = 250
        yield Frame(i, picture)


def _squares(
    frames: Iterable[Frame], regions: list[Region], mirrored: bool
) -> Iterator[tuple[Region, NDArray[np.uint8]]]:
    for region, trio in _trios(frames, regions, mirrored):
        yield region, _planes(trio, region)


def test_each_square_holds_its_frame_and_the_grey_of_its_neighbours() -> None:
    planes = [square for _, square in _squares(_frames(4), [REGION] * 4, mirrored=False)]
    corners = [[int(plane[0, 0]) for plane in square] for square in planes]
    assert corners == [
        [10, 10, 10, 10, 30],
        [30, 30, 30, 10, 50],
        [50, 50, 50, 30, 70],
        [70, 70, 70, 50, 70],
    ]


@pytest.mark.parametrize(("mirrored", "column"), [(False, 146), (True, 45)])
def test_a_mirrored_picture_shows_the_spot_on_the_other_side(mirrored: bool, column: int) -> None:
    """The spot is 50.5 right of the middle: at 96 + 50.5 of the square, or at 96 - 50.5."""
    _, square = next(_squares(_frames(1), [REGION], mirrored))
    bright = np.argwhere(square[0] > 200)[:, 1]
    assert bright.mean() == pytest.approx(column, abs=0.6)


def test_beyond_the_picture_there_is_its_mean_and_no_edge() -> None:
    _, square = next(_squares(_frames(1), [Region(0.0, 149.5, 192.0)], mirrored=False))
    left = square[0][:, : SIDE // 2 - 2]
    assert np.ptp(left) == 0
    assert int(left[0, 0]) == pytest.approx(10, abs=1)


def test_a_single_frame_is_its_own_neighbour() -> None:
    planes = [square for _, square in _squares(_frames(1), [REGION], mirrored=False)]
    assert [int(plane[0, 0]) for plane in planes[0]] == [10] * 5


def test_more_frames_than_regions_are_refused() -> None:
    with pytest.raises(EngineError, match="asked for in 2 frames"):
        list(_squares(_frames(3), [REGION] * 2, mirrored=False))


@pytest.mark.skipif(not WEIGHTS.is_file(), reason="the club's weights are not here")
def test_the_shipped_network_answers_once_for_each_frame_in_order() -> None:
    regions = [Region(199.5 + i, 149.5, 192.0) for i in range(3)]
    crops = list(OpenvinoClubNet().find_club(_frames(3), regions))
    assert [crop.region for crop in crops] == regions
    assert {crop.maps.shape for crop in crops} == {(len(CLUB_MAPS), SIDE // 4, SIDE // 4)}
    assert crops[1].grey[:, 0, 0] == pytest.approx([10, 30, 50], abs=0.5)
    assert np.isfinite(crops[0].maps).all()


def test_missing_weights_are_said(tmp_path: Path) -> None:
    with pytest.raises(EngineError, match="are missing"):
        OpenvinoClubNet(tmp_path / "none.xml").load()


@pytest.mark.parametrize(("side_px", "by"), [(192.0, 1), (575.0, 1), (576.0, 2), (900.0, 3)])
def test_a_frame_is_shrunk_by_whole_pixels_and_the_square_stays_as_large(
    side_px: float, by: int
) -> None:
    frame = next(_frames(1))
    small = OpenvinoClubNet().shrink_frame(frame, side_px).frame()
    assert small.shrink == 1 / by
    assert small.picture.shape == (-(-HIGH // by), -(-WIDE // by), 3)
    region = [Region(199.5, 149.5, side_px)]
    (_, whole), (_, cut) = (
        next(_squares([each], region, mirrored=False)) for each in (frame, small)
    )
    np.testing.assert_allclose(whole, cut, atol=1)


@pytest.mark.parametrize(("place", "short"), [((24, 30), True), ((24, 40), False)])
def test_a_shaft_seems_short_where_its_end_is_near_the_hands(
    place: tuple[int, int], short: bool
) -> None:
    """6.5 and 16.5 cells of 48 from the middle, where 9.6 are near."""
    maps = np.full((len(CLUB_MAPS), 48, 48), -8.0, dtype=np.float32)
    maps[CLUB_MAPS.index("hosel")][place] = 2.0
    assert _seems_short(maps) is short


def test_a_second_end_nearly_as_likely_is_worth_the_second_look() -> None:
    maps = np.full((len(CLUB_MAPS), 48, 48), -8.0, dtype=np.float32)
    ends = maps[CLUB_MAPS.index("hosel")]
    ends[24, 44], ends[24, 28] = 2.0, 1.5
    assert _seems_short(maps)
    ends[24, 28] = 0.5
    assert not _seems_short(maps)


@pytest.mark.skipif(not WEIGHTS.is_file(), reason="the club's weights are not here")
def test_the_second_look_is_half_as_wide_around_the_same_middle(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("causeline.sources.club_net._seems_short", lambda maps: True)
    crop = next(OpenvinoClubNet().find_club(_frames(1), [REGION]))
    assert crop.closer is not None
    assert crop.closer.region == Region(REGION.x, REGION.y, REGION.size / 2)
    assert crop.closer.maps.shape == crop.maps.shape
    assert crop.closer.closer is None
