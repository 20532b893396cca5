"""Rounding by the ±: every answer was written by hand from the Particle Data Group's rule."""

from __future__ import annotations

import math

import pytest

from causeline.render.numbers import MINUS, Shown, render_number, render_plain, render_uncertain


@pytest.mark.parametrize(
    ("value", "sd", "expected_value", "expected_sd"),
    [
        # three leading digits of the ± from 355 to 949: one digit
        (87.34, 4.2, "87", "4"),
        (0.8213, 0.0355, "0.82", "0.04"),
        (0.8213, 0.0949, "0.82", "0.09"),
        (2.5, 0.949, "2.5", "0.9"),
        # from 100 to 354: two digits
        (87.34, 1.0, "87.3", "1.0"),
        (0.8213, 0.0354, "0.821", "0.035"),
        (99.96, 0.123, "99.96", "0.12"),
        (-3.14159, 0.0211, f"{MINUS}3.142", "0.021"),
        # from 950: rounds up to 1000 and keeps two
        (2.5, 0.95, "2.5", "1.0"),
        (0.5, 0.00961, "0.500", "0.010"),
        (1234.0, 960.0, "1200", "1000"),
        # the ± rounds to three digits first: 0.35449 is 354, 0.35451 is 355
        (1.0, 0.35449, "1.00", "0.35"),
        (1.0, 0.35451, "1.0", "0.4"),
        # tens and hundreds are the last sure place
        (12.3, 45.0, "10", "40"),
        (1249.0, 120.0, "1250", "120"),
        (12.3, 455.0, "0", "500"),
        # the value's own size does not matter
        (1e-7, 3.0e-9, "0.0000001000", "0.0000000030"),
        (0.0, 0.5, "0.0", "0.5"),
    ],
)
def test_the_spread_decides_the_places(
    value: float, sd: float, expected_value: str, expected_sd: str
) -> None:
    assert render_number(value, sd) == Shown(expected_value, expected_sd, "")


def test_a_half_goes_to_the_even_neighbour() -> None:
    assert render_number(0.25, 0.5).value == "0.2"
    assert render_number(0.35, 0.5).value == "0.4"


def test_nothing_is_shown_as_minus_zero() -> None:
    assert render_number(-0.02, 0.4).value == "0.0"
    assert render_number(-0.3, 5.0).value == "0"


def test_a_negative_number_has_a_true_minus_sign() -> None:
    assert render_number(-12.4, 2.1).value == "\N{MINUS SIGN}12.4"


def test_an_exact_number_has_no_spread() -> None:
    assert render_number(3.0, 0.0) == Shown("3", "", "")
    assert render_number(29.97002997, 0.0) == Shown("29.97", "", "")
    assert render_uncertain(3.0, 0.0, "s") == "3\N{NO-BREAK SPACE}s"


@pytest.mark.parametrize(
    ("unit", "text"),
    [
        ("°", "87° ± 4"),
        ("deg", "87° ± 4"),
        ("ratio", "87 ± 4"),
        ("s", "87\N{NO-BREAK SPACE}s ± 4"),
        ("% of stature", "87\N{NO-BREAK SPACE}% of stature ± 4"),
    ],
)
def test_units_are_set_as_the_trade_sets_them(unit: str, text: str) -> None:
    assert render_uncertain(87.34, 4.2, unit) == text


@pytest.mark.parametrize(
    ("value", "sd"), [(math.nan, 1.0), (1.0, math.nan), (math.inf, 1.0), (1.0, -1.0)]
)
def test_a_number_that_is_none_is_refused(value: float, sd: float) -> None:
    with pytest.raises(ValueError, match="expected finite numbers"):
        render_number(value, sd)


def test_ticks_keep_the_places_they_are_given() -> None:
    assert render_plain(-90.0, 0) == f"{MINUS}90"
    assert render_plain(0.5, 1) == "0.5"
    assert render_plain(-0.0, 1) == "0.0"
