"""What a value says of a band, beside answers worked out with SciPy's own integrals."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from causeline.findings.bands import BANDS
from causeline.findings.weigh import DOUBT, SLIGHTEST, explain_values
from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.measures import Measure

KEY = "posture_top"


def _chance(value: float, sd: float, club: ClubSort | None = None, key: str = KEY) -> float:
    band = BANDS[key]
    measure = Measure(band.measure, band.moment, value, sd, "", "invented")
    view = band.views[0]
    side = "low" if band.low is not None else "high"
    return explain_values({view: [measure]}, club)[key, side].chance


@pytest.mark.parametrize("value", [-4.0, -8.0, -9.5, -13.0])
@pytest.mark.parametrize("sd", [0.01, 1.5, 4.0])
def test_the_odds_are_those_of_two_densities(value: float, sd: float) -> None:
    """Usual -5, end -8.5, severity 1 at 11 past it: moved by 0.15 to 1 of 14.5."""
    band = BANDS[KEY]
    assert (band.usual, band.low, band.full) == (-5, -8.5, 11)
    spread = np.hypot(3.5 / 2, sd)
    away = -5 - value
    usual = norm.pdf(away, 0, spread)
    shown = quad(lambda s: norm.pdf(away, 14.5 * s, spread), SLIGHTEST, 1)[0] / (1 - SLIGHTEST)
    odds = shown / usual
    expected = DOUBT + (1 - 2 * DOUBT) * odds / (1 + odds)
    assert _chance(value, sd) == pytest.approx(expected, abs=1e-6)


def test_what_lies_beyond_the_worst_shows_no_less() -> None:
    chances = [_chance(value, 1.0) for value in (-10.0, -15.0, -25.0, -60.0)]
    assert chances == sorted(chances)
    assert chances[-1] == pytest.approx(1 - DOUBT, abs=1e-3)


def test_a_wide_uncertainty_says_next_to_nothing() -> None:
    assert _chance(-12.0, 0.1) > 0.95
    assert _chance(-12.0, 200.0) == pytest.approx(0.5, abs=0.02)


def test_only_what_lies_outside_speaks_for_a_fault() -> None:
    band = BANDS[KEY]
    inside = Measure(band.measure, band.moment, -8.4, 0.01, "", "invented")
    outside = Measure(band.measure, band.moment, -8.6, 0.01, "", "invented")
    for one, speaks in ((inside, False), (outside, True)):
        found = explain_values({View.DOWN_THE_LINE: [one]}, None)[KEY, "low"]
        assert found.chance > 0.5
        assert found.speaks_for is speaks


def test_the_usual_value_goes_with_the_club_s_ends() -> None:
    """The shaft leans less with a driver: 3° less of it says the same there."""
    shift = -4.0 - (BANDS["shaft_lean_impact"].low or 0.0)
    iron = _chance(2.0, 1.0, ClubSort.IRON, "shaft_lean_impact")
    driver = _chance(2.0 + shift, 1.0, ClubSort.DRIVER, "shaft_lean_impact")
    assert driver == pytest.approx(iron)
