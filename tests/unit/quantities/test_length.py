"""Pixels to per cent of stature and to centimetres, with the error of the scale."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.quantities.length import Scale
from causeline.quantities.uncertain import Uncertain

EXACT = Scale(Uncertain(900.0, 0.0), Uncertain(1.8, 0.0))
UNSURE = Scale(Uncertain(900.0, 18.0), Uncertain(1.8, 0.027))


def test_by_hand() -> None:
    """1.8 m over 900 pixels is 2 mm a pixel; 45 pixels are 9 cm, a twentieth of the stature."""
    length = Uncertain(45.0, 4.5)
    assert EXACT.to_centimetres(length).value == pytest.approx(9.0)
    assert EXACT.to_centimetres(length).sd == pytest.approx(0.9)
    assert EXACT.to_stature_percent(length).value == pytest.approx(5.0)
    assert EXACT.to_stature_percent(length).sd == pytest.approx(0.5)


def test_the_error_of_the_scale_is_added() -> None:
    """Relative errors: 2 % of the scale in pixels, 1.5 % of the stature: 2.5 % together."""
    length = Uncertain(450.0, 0.0)
    assert UNSURE.to_stature_percent(length).sd == pytest.approx(0.02 * 50.0)
    assert UNSURE.to_centimetres(length).sd == pytest.approx(0.025 * 90.0)


def test_against_chance() -> None:
    """Outside reference: a Monte Carlo of 200,000 draws; second order is under 1 % here."""
    random = np.random.default_rng(8)
    length = Uncertain(60.0, 3.0)
    pixels, stature_px, stature_m = (
        random.normal(number.value, number.sd, 200_000)
        for number in (length, UNSURE.stature_px, UNSURE.stature_m)
    )
    found = UNSURE.to_centimetres(length)
    drawn = 100.0 * pixels / stature_px * stature_m
    assert found.sd == pytest.approx(drawn.std(), rel=0.015)
    assert found.value == pytest.approx(drawn.mean(), rel=0.002)
    assert UNSURE.to_stature_percent(length).sd == pytest.approx(
        (100.0 * pixels / stature_px).std(), rel=0.015
    )


@given(st.floats(-2000, 2000), st.floats(0, 50), st.floats(0.1, 10))
def test_a_nearer_camera_changes_nothing(pixels: float, sd: float, zoom: float) -> None:
    near = Scale(UNSURE.stature_px.times(zoom), UNSURE.stature_m)
    length = Uncertain(pixels, sd)
    there, here = near.to_centimetres(length.times(zoom)), UNSURE.to_centimetres(length)
    assert there.value == pytest.approx(here.value, rel=1e-9, abs=1e-9)
    assert there.sd == pytest.approx(here.sd, rel=1e-9, abs=1e-9)


@given(st.floats(-2000, 2000), st.floats(0, 50))
def test_a_length_of_nothing_is_unsure_by_its_ends_only(pixels: float, sd: float) -> None:
    assert UNSURE.to_centimetres(Uncertain(0.0, sd)).sd == pytest.approx(0.2 * sd)
    assert UNSURE.to_centimetres(Uncertain(pixels, sd)).sd >= 0.2 * sd * (1 - 1e-9)
