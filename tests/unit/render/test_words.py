from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from causeline.model.clip import Called, Clip, ScaleFrom
from causeline.model.moments import MomentName
from causeline.quantities.clock import Clock
from causeline.render.words import (
    MOMENT_PLACES,
    MOMENT_SHORT,
    MOMENT_TITLES,
    render_clock,
    render_confidence,
    render_view,
)


def _clip(stamps: list[int], time_base: Fraction, scale: int, known: ScaleFrom) -> Clip:
    clock = Clock(np.array(stamps), time_base, Fraction(scale))
    fresh = np.zeros(len(stamps), bool)
    return Clip("a.mov", "00", 8, 8, clock, 0, "h264", known, fresh)


@pytest.mark.parametrize("words", [MOMENT_TITLES, MOMENT_PLACES, MOMENT_SHORT])
def test_every_moment_has_words(words: dict[MomentName, str]) -> None:
    assert list(words) == list(MomentName)


@pytest.mark.parametrize(
    ("confidence", "words"),
    [
        (1.0, "as given"),
        (0.99, "plain in the pictures, 99 in 100"),
        (0.94, "very likely, 94 in 100"),
        (0.7, "likely, 70 in 100"),
        (0.55, "unsure, 55 in 100"),
    ],
)
def test_confidence_is_told_in_words_and_in_cases(confidence: float, words: str) -> None:
    assert render_confidence(Called("face-on", confidence)) == words


def test_a_decision_that_is_nearly_sure_is_not_called_given() -> None:
    assert render_confidence(Called("right", 0.9999)) == "plain in the pictures, 99 in 100"


def test_the_clock_says_how_time_was_measured() -> None:
    plain = _clip([0, 1, 2, 3], Fraction(1, 30), 1, ScaleFrom.REAL_TIME)
    slow = _clip([0, 1, 2, 3], Fraction(1, 30), 8, ScaleFrom.CONTAINER)
    assert render_clock(plain) == "30 frames a second"
    assert render_clock(slow) == "240 frames a second, slowed 8×, as the file itself says"


def test_the_clock_tells_uneven_and_guessed_time() -> None:
    uneven = _clip([0, 100, 200, 390, 490], Fraction(1, 3000), 1, ScaleFrom.REAL_TIME)
    guessed = _clip([0, 1, 2], Fraction(1, 30), 4, ScaleFrom.INFERRED)
    assert render_clock(uneven) == "30 frames a second, unevenly spaced"
    assert render_clock(guessed).endswith("worked out from the swing itself, so check it")


def test_a_film_rate_keeps_one_place() -> None:
    film = _clip([0, 1001, 2002, 3003], Fraction(1, 23976), 1, ScaleFrom.REAL_TIME)
    ntsc = replace(film, clock=Clock(film.clock.stamps, Fraction(1, 30000)))
    assert render_clock(film) == "24 frames a second"
    assert render_clock(ntsc) == "30 frames a second"
    assert render_clock(replace(film, clock=Clock(film.clock.stamps, Fraction(1, 25500)))) == (
        "25.5 frames a second"
    )


def test_a_single_frame_has_no_time() -> None:
    assert render_clock(_clip([0], Fraction(1, 30), 1, ScaleFrom.REAL_TIME)).startswith("a single")


def test_views_are_named_as_coaches_name_them() -> None:
    assert render_view(Called("down-the-line", 0.9)) == "down the line"
    assert render_view(Called("face-on", 0.9)) == "face-on"
    assert render_view(Called("from above", 0.9)) == "from above"
