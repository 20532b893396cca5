"""A frame put by in half the room, and taken out again."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.model.clip import Frame
from causeline.sources.packing import decode_packed


@pytest.mark.parametrize("shape", [(20, 30), (21, 30), (20, 31), (21, 31)])
def test_a_smooth_picture_comes_back_within_four_levels(shape: tuple[int, int]) -> None:
    """Blue is 1.77 of its difference from the brightness, which is rounded twice and, at half the
    size, up to a pixel away: 1.8 and 1.8 levels, and half of one for the brightness.
    """
    height, width = shape
    down, across = np.mgrid[:height, :width]
    picture = np.stack([60 + down, 90 + across, 200 - down], axis=-1).astype(np.uint8)
    packed = decode_packed(Frame(7, picture, 0.5))
    again = packed.frame()
    assert (again.index, again.shrink, again.picture.shape) == (7, 0.5, (height, width, 3))
    assert np.abs(again.picture.astype(int) - picture).max() <= 4


@pytest.mark.parametrize("level", [0, 1, 16, 127, 235, 254, 255])
def test_grey_keeps_its_level_from_black_to_white(level: int) -> None:
    picture = np.full((8, 8, 3), level, dtype=np.uint8)
    assert np.abs(decode_packed(Frame(0, picture)).frame().picture.astype(int) - level).max() <= 1


def test_it_takes_half_the_room() -> None:
    picture = np.zeros((40, 60, 3), dtype=np.uint8)
    assert decode_packed(Frame(0, picture)).nbytes == picture.nbytes / 2
