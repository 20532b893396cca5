"""The bench of verdicts: few false changes, and the scenario as planted once enough is filmed."""

from __future__ import annotations

import pytest
from bench.progress import PLANS, SIZES, curves, picture, share_told
from bench.progress_scenario import GOLFERS, Told, levels, verdicts

from causeline.model.clip import View
from causeline.progress import change

GOLFERS_DRAWN = 300
FALSE = 0.05
"""Asked of the tool: at most so many unchanged golfers are told that they changed."""
OF_SHARE = 3 * (FALSE * (1 - FALSE) / GOLFERS_DRAWN) ** 0.5
"""Three standard errors of a share from so many golfers."""


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """How many more swings would settle it is not asked here."""
    monkeypatch.setattr(change, "MOST_SWINGS", 0)
    monkeypatch.setattr(change, "MOST_DAYS", 0)


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.title)
def test_golfers_as_they_come_are_seldom_told_a_change_that_is_none(plan: object) -> None:
    assert share_told(plan, 0.0, GOLFERS_DRAWN, True) <= FALSE + OF_SHARE  # type: ignore[arg-type]


def test_a_larger_change_is_told_more_often_and_more_filming_tells_more() -> None:
    shares = [share_told(PLANS[2], size, 120, True) for size in (4, 10, 20)]
    assert shares == sorted(shares)
    assert share_told(PLANS[2], 10, 120, True) > share_told(PLANS[0], 10, 120, True)


def test_the_picture_names_every_line() -> None:
    drawn = picture({plan.title: [0.5] * len(SIZES) for plan in PLANS})
    assert all(plan.title in drawn for plan in PLANS)
    assert set(curves(2)) == {plan.title for plan in PLANS}


@pytest.mark.parametrize("golfer", GOLFERS, ids=lambda golfer: golfer.name)
def test_the_scenarios_golfers_come_out_as_planted_where_enough_is_filmed(golfer: Told) -> None:
    """Ten swings a day from both places, each phone where it stood; truth of the demo's clips."""
    told = verdicts(golfer, tuple(View), 10, 60, same_spot=True)
    assert told.get(golfer.planted, 0.0) >= 0.75


def test_what_is_true_of_the_clips_is_what_was_planted() -> None:
    ivo, nell, dara = (levels(golfer, tuple(View)) for golfer in GOLFERS)
    assert ivo["aim"][1] - ivo["aim"][0] > 3.0
    assert abs(nell["aim"][1] - nell["aim"][0]) < 0.5
    assert abs(dara["aim"][1] - dara["aim"][0]) < 0.5
    assert dara["lead_arm_top"][1] - dara["lead_arm_top"][0] > 15.0
