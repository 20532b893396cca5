"""Yes-or-no calls of the club: which way, and how surely."""

from __future__ import annotations

import pytest

from causeline.measures.club_calls import CALLS, measure_club_calls
from causeline.measures.club_catalogue import CLUB_CATALOGUE
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName

LEVEL = MomentName.SHAFT_LEVEL_BACK


@pytest.mark.parametrize(
    ("value", "sd", "chance"),
    [
        # 1.645 standard deviations: 95 % (table of the normal distribution).
        (3.29, 2.0, 0.95),
        (-3.29, 2.0, 0.05),
        (40.0, 2.0, 1.0),
    ],
)
def test_the_chance_is_that_of_a_value_above_zero(value: float, sd: float, chance: float) -> None:
    (call,) = measure_club_calls([Measure("head_outside_hands", LEVEL, value, sd, "%", "")])
    assert call.chance == pytest.approx(chance, abs=1e-4)


@pytest.mark.parametrize("value", [0.0, 2.0, -2.5])
def test_what_could_easily_be_the_other_is_not_called(value: float) -> None:
    """Up to 1.25 standard deviations from zero: less than 90 % sure."""
    assert measure_club_calls([Measure("head_loop", None, value, 2.0, "%", "")]) == ()


def test_a_call_says_the_likelier_side_and_how_sure_it_is() -> None:
    shallower = Measure("shaft_steepening", MomentName.ARM_LEVEL_DOWN, -6.0, 2.5, "°", "")
    (call,) = measure_club_calls([shallower])
    assert call.told == "shallower down than up"
    assert not call.says_yes
    # 2.4 standard deviations: 99.18 %.
    assert call.sureness == pytest.approx(0.9918, abs=1e-4)


def test_refusals_other_measures_and_values_without_a_spread_call_nothing() -> None:
    given: list[Measure | Refusal] = [
        Refusal("head_loop", None, "Too few frames."),
        Measure("tempo_ratio", None, 3.0, 0.1, "ratio", ""),
        Measure("hands_loop", None, 3.0, 0.0, "%", ""),
    ]
    assert measure_club_calls(given) == ()


def test_every_call_is_of_a_measure_of_the_catalogue() -> None:
    assert set(CALLS) <= {spec.name for spec in CLUB_CATALOGUE}
