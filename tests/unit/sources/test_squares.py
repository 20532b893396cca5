"""Squares cut out of pictures whose pixels say where they are."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.model.clip import Picture
from causeline.model.tracks import Region
from causeline.quantities.angle import Floats
from causeline.sources.squares import decode_search, decode_square

GREY_LEVELS = 1.0
"""Half a level is lost by rounding down, the rest by the averaging of whole pixels."""


def _ramp(width: int = 120, height: int = 100) -> Picture:
    """Red is twice the column, green twice the row."""
    column, row = np.meshgrid(np.arange(width), np.arange(height))
    return np.stack([2 * column, 2 * row, np.full_like(row, 200)], axis=2).astype(np.uint8)


def _where(region: Region, side: int) -> Floats:
    """Pixels of the picture under the middle of each pixel of the square."""
    share = (np.arange(side) + 0.5) / side
    return region.to_picture(np.stack(np.meshgrid(share, share), axis=2))


@pytest.mark.parametrize(
    ("region", "side"),
    [
        (Region(60, 50, 64), 64),
        (Region(60.3, 49.8, 50), 64),
        (Region(60, 50, 55, 30), 40),
        (Region(61, 50, 50, -120), 64),
        (Region(60, 50, 64, 20), 16),
        (Region(59.5, 49.5, 66, 180), 20),
    ],
)
def test_each_pixel_shows_what_lies_under_its_middle(region: Region, side: int) -> None:
    square = decode_square(_ramp(), region, side).astype(float)
    assert square.shape == (side, side, 3)
    error = square[..., :2] - 2 * _where(region, side)
    # A whole square that is off by half a pixel of the picture would be off by one level.
    assert abs(float(error.mean()) + 0.25) <= 0.35
    assert float(np.abs(error).max()) <= 2 * GREY_LEVELS


def test_a_dot_is_found_where_it_was_put() -> None:
    picture = np.zeros((200, 300, 3), np.uint8)
    picture[80, 140] = 255
    region = Region(150, 90, 64, 25)
    square = decode_square(picture, region, 128)[..., 0].astype(float)
    row, column = (np.average(np.arange(128), weights=square.sum(axis=a)) for a in (1, 0))
    share = (np.array([column, row]) + 0.5) / 128
    assert region.to_picture(share) == pytest.approx([140, 80], abs=0.05)


def test_beyond_the_picture_is_black() -> None:
    square = decode_square(np.full((100, 120, 3), 200, np.uint8), Region(0, 0, 80), 40)
    assert (square[:19, :] == 0).all()
    assert (square[:, :19] == 0).all()
    assert (square[22:, 22:] == 200).all()


def test_a_region_wholly_outside_is_black() -> None:
    square = decode_square(np.full((100, 120, 3), 200, np.uint8), Region(900, -700, 80, 10), 32)
    assert not square.any()


def test_shrinking_averages_instead_of_skipping() -> None:
    picture = np.zeros((256, 256, 3), np.uint8)
    picture[:, ::2] = 200
    square = decode_square(picture, Region(127.5, 127.5, 256), 32)
    assert square.mean() == pytest.approx(100, abs=1)
    assert float(square.std()) < 1.0


@pytest.mark.parametrize(
    ("width", "height", "sides"),
    [
        (1920, 1080, {1920, 1080, 960}),
        (1080, 1920, {1920, 1080, 960}),
        (600, 600, {600, 300}),
        (640, 480, {640, 480, 320}),
    ],
)
def test_a_search_covers_the_picture_at_several_sizes(
    width: int, height: int, sides: set[int]
) -> None:
    squares = decode_search(np.zeros((height, width, 3), np.uint8))
    assert {round(square.size) for square in squares} == sides
    for side in sides:
        covered = np.zeros((height, width), bool)
        for square in squares:
            if round(square.size) == side:
                left, top = square.to_picture(np.zeros(2)) + 0.5
                covered[
                    max(0, round(top)) : round(top + side), max(0, round(left)) : round(left + side)
                ] = True
        assert covered.mean() > 0.95


def test_a_search_of_the_smallest_picture_does_not_fail() -> None:
    assert len(decode_search(np.zeros((1, 1, 3), np.uint8))) >= 1
