"""A change is told from chance as often as it should be, and no more."""

from __future__ import annotations

from collections import Counter
from datetime import date

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from statsmodels.formula.api import mixedlm

from causeline.model.progress import Aim, Session, Verdict
from causeline.progress import change
from causeline.progress.change import compare_change, compare_changes
from causeline.quantities.uncertain import Uncertain

LESS = Aim("shoulder_turn", upward=False)


def _session(values: list[float], spot: str = "mat", sd: float = 3.0, day: int = 1) -> Session:
    return Session(date(2026, 4, day), spot, tuple(Uncertain(value, sd) for value in values))


def test_a_large_fall_in_many_swings_is_a_change() -> None:
    before = [_session([118, 121, 119, 120, 122])]
    after = [_session([97, 99, 96, 98, 100], day=20)]
    found = compare_change(before, after, LESS, "°")
    assert found.verdict == Verdict.CHANGED
    assert found.difference.value == pytest.approx(-22.0)
    assert found.low < -22 < found.high < 0
    assert found.more_swings == 0
    assert found.kept is True


def test_the_same_rise_is_a_change_the_other_way() -> None:
    found = compare_change([_session([98] * 5)], [_session([120] * 5, day=20)], LESS, "°")
    assert found.verdict == Verdict.OTHER_WAY


def test_two_single_swings_that_differ_by_less_than_the_error_are_not_told_apart() -> None:
    found = compare_change([_session([100])], [_session([96], "other", day=20)], LESS, "°")
    assert found.verdict == Verdict.NOT_TOLD_APART
    assert found.detectable > 4.0
    assert found.kept is None


def test_more_swings_settle_what_is_nearly_settled() -> None:
    before = [_session([100.0, 101.0, 99.0])]
    after = [_session([92.5, 93.5], day=20)]
    found = compare_change(before, after, LESS, "°")
    assert found.verdict == Verdict.NOT_TOLD_APART
    assert found.more_swings is not None
    grown = [_session([92.5, 93.5, *[93.0] * found.more_swings], day=20)]
    assert compare_change(before, grown, LESS, "°").verdict == Verdict.CHANGED


def test_no_number_of_swings_makes_up_for_another_spot() -> None:
    found = compare_change(
        [_session([100.0] * 8, "mat", sd=5.0)], [_session([95.0] * 8, "grass", sd=5.0)], LESS, "°"
    )
    assert found.more_swings is None


def test_another_spot_widens_the_interval() -> None:
    same = compare_change([_session([100] * 5)], [_session([95] * 5)], LESS, "°")
    other = compare_change([_session([100] * 5)], [_session([95] * 5, "grass")], LESS, "°")
    assert other.difference.sd > 1.2 * same.difference.sd


def test_swings_straight_after_practice_are_not_yet_kept() -> None:
    after = Session(date(2026, 4, 20), "mat", (Uncertain(80.0, 3.0),) * 5, practised=True)
    assert compare_change([_session([118.0] * 5)], [after], LESS, "°").kept is False


def test_something_else_changed() -> None:
    aimed = compare_change([_session([100] * 3)], [_session([100] * 3, day=20)], LESS, "°")
    told, others = compare_changes(
        aimed, {"pelvis_rise": ([_session([1.0] * 5)], [_session([21.0] * 5, day=20)], "°")}
    )
    assert told.verdict == Verdict.SOMETHING_ELSE
    assert [each.measure for each in others] == ["pelvis_rise"]


def test_a_time_without_swings_is_refused() -> None:
    with pytest.raises(ValueError, match="one measured swing at least"):
        compare_change([], [_session([1.0])], LESS, "°")


def _simulated(
    rng: np.random.Generator, level: float, spot: str, swings: int, spots: dict[str, float]
) -> Session:
    """A session of a golfer whose spreads are those that the guesses say."""
    stated, own = 3.0, change.OWN_VARIATION["°"]
    spot_sd = stated * np.sqrt(change.SETUP_SHARE)
    day_sd = np.sqrt(change.DAY_SHARE * (spot_sd**2 + own**2))
    swing_sd = np.hypot(own, stated * np.sqrt(1 - change.SETUP_SHARE))
    shift = spots.setdefault(spot, rng.normal(0, spot_sd)) + rng.normal(0, day_sd)
    return _session(list(level + shift + rng.normal(0, swing_sd, swings)), spot, stated)


@pytest.mark.parametrize(("sessions", "swings"), [(1, 1), (1, 5), (3, 3), (3, 10)])
@pytest.mark.parametrize("same_spot", [True, False])
def test_golfers_who_did_not_change_are_seldom_told_so(
    sessions: int, swings: int, same_spot: bool
) -> None:
    rng = np.random.default_rng(20260)
    told: Counter[Verdict] = Counter()
    golfers = 500
    for _ in range(golfers):
        spots: dict[str, float] = {}
        before, after = (
            [
                _simulated(rng, 0.0, "mat" if same_spot else f"{time}{i}", swings, spots)
                for i in range(sessions)
            ]
            for time in ("before", "after")
        )
        told[compare_change(before, after, LESS, "°").verdict] += 1
    # five in a hundred, and three standard errors of a share from 500 golfers
    assert golfers - told[Verdict.NOT_TOLD_APART] <= golfers * (0.05 + 0.03)


def test_levels_are_those_of_generalised_least_squares() -> None:
    """Against statsmodels' GLS with the same covariance."""
    rng = np.random.default_rng(5)
    before = [_session(list(rng.normal(100, 3, k)), f"b{k}") for k in (2, 5, 3)]
    after = [_session(list(rng.normal(94, 3, k)), "a") for k in (4, 2)]
    found = compare_change(before, after, LESS, "°")
    sessions = (*before, *after)
    spread = change._spread(sessions, "°")
    means = [np.mean([value.value for value in each.values]) for each in sessions]
    times = np.column_stack([[1, 1, 1, 0, 0], [0, 0, 0, 1, 1]])
    fit = sm.GLS(means, times, sigma=change._covariance(sessions, spread)).fit()
    assert (found.before.value, found.after.value) == pytest.approx(fit.params, rel=1e-9)


def test_agrees_with_a_mixed_model_where_the_golfers_own_swings_outweigh_the_guess() -> None:
    """Against statsmodels' MixedLM (REML, sessions as random effect), twelve sessions a side."""
    rng = np.random.default_rng(11)
    rows, sides = [], {0: [], 1: []}  # type: ignore[var-annotated]
    for time in (0, 1):
        for number in range(12):
            name = f"{time}-{number}"
            values = 100 - 5 * time + rng.normal(0, 2.0) + rng.normal(0, 3.0, 6)
            sides[time].append(_session(list(values), name))
            rows += [{"time": time, "session": name, "value": value} for value in values]
    fit = mixedlm("value ~ time", pd.DataFrame(rows), groups="session").fit(reml=True)
    found = compare_change(sides[0], sides[1], LESS, "°")
    assert found.difference.value == pytest.approx(fit.params["time"], abs=1e-3)
    # the guess still counts for six of some 130 degrees of freedom
    assert found.difference.sd == pytest.approx(fit.bse["time"], rel=0.35)
