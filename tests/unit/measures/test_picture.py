"""Light and sharpness of pictures that are made by hand."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from causeline.measures.filming_picture import BLURRED
from causeline.measures.picture import FINEST_PX, measure_picture
from causeline.model.clip import Picture

WHOLE = (0.0, 0.0, 400.0, 400.0)


def _flat(grey: int, size: int = 400) -> Picture:
    return np.full((size, size, 3), grey, np.uint8)


def _checks(square: int, size: int = 400) -> Picture:
    rows, columns = np.indices((size, size)) // square
    grey = np.where((rows + columns) % 2, 180, 60).astype(np.uint8)
    return np.repeat(grey[..., None], 3, axis=2)


def _blurred(picture: Picture, sigma_px: float) -> Picture:
    return gaussian_filter(picture.astype(float), (sigma_px, sigma_px, 0)).astype(np.uint8)


def test_luminance_is_the_mean_luma() -> None:
    assert measure_picture(_flat(51), WHOLE).luminance == pytest.approx(0.2, abs=1e-6)
    green = np.zeros((400, 400, 3), np.uint8)
    green[..., 1] = 255
    # ITU-R BT.709 weighs green by 0.7152.
    assert measure_picture(green, WHOLE).luminance == pytest.approx(0.7152, abs=1e-6)


def test_pure_black_and_white_are_counted() -> None:
    picture = _flat(128)
    picture[:100] = 0
    picture[-40:] = 255
    assert measure_picture(picture, WHOLE).clipped == pytest.approx(0.35)


def test_only_the_box_is_looked_at() -> None:
    picture = _flat(255)
    picture[100:300, 100:300] = 102
    assert measure_picture(picture, (100.0, 100.0, 300.0, 300.0)).luminance == pytest.approx(0.4)


@pytest.mark.parametrize("box", [(-50.0, -50.0, 900.0, 900.0), (0.0, 0.0, 400.0, 1e6)])
def test_a_box_is_cut_to_the_picture(box: tuple[float, float, float, float]) -> None:
    assert measure_picture(_flat(102), box).luminance == pytest.approx(0.4)


@pytest.mark.parametrize("box", [(10.0, 10.0, 12.0, 300.0), (500.0, 0.0, 700.0, 400.0)])
def test_a_box_without_a_picture_tells_nothing(box: tuple[float, float, float, float]) -> None:
    facts = measure_picture(_flat(102), box)
    assert np.isnan([facts.luminance, facts.sharpness, facts.clipped]).all()


def test_every_blur_makes_it_less_sharp() -> None:
    scores = [
        measure_picture(_blurred(_checks(40), sigma), WHOLE).sharpness
        for sigma in (0.0, 0.7, 1.0, 1.5, 2.0, 3.0)
    ]
    assert all(first > second for first, second in itertools.pairwise(scores))
    assert scores[0] > 0.5 > BLURRED > scores[-1]


def test_blur_along_one_axis_is_enough() -> None:
    smeared = gaussian_filter(_checks(40).astype(float), (0, 4, 0)).astype(np.uint8)
    assert measure_picture(smeared, WHOLE).sharpness < BLURRED


def test_the_same_picture_four_times_as_large_is_as_sharp() -> None:
    small = _blurred(_checks(40), 1.0)
    large = np.kron(small, np.ones((4, 4, 1), np.uint8))
    box = (0.0, 0.0, 1600.0, 1600.0)
    assert large.shape[0] > FINEST_PX
    assert measure_picture(large, box).sharpness == pytest.approx(
        measure_picture(small, WHOLE).sharpness, abs=0.02
    )


def test_a_flat_picture_has_no_sharpness() -> None:
    assert measure_picture(_flat(100), WHOLE).sharpness == 0.0
