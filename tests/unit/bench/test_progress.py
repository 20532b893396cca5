"""The bench of verdicts: few false changes, and the scenario as planted once enough is filmed."""

from __future__ import annotations

import numpy as np
import pytest
from bench.progress import PLANS, SIZES, curves, picture, share_told
from bench.progress_demo import robust
from bench.progress_scenario import GOLFERS, Key, Told, keys_of, true_value, verdicts

from causeline.model.clip import View
from causeline.model.moments import MomentName
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
def test_the_scenarios_golfers_come_out_as_planted_in_nine_of_ten_draws(golfer: Told) -> None:
    """As filmed; what is true of the demo's clips, the noise of measuring drawn anew."""
    told = verdicts(golfer, 80)
    assert told.get(golfer.planted, 0.0) >= 0.9 - 2 * (0.9 * 0.1 / 80) ** 0.5


def test_what_is_true_of_the_clips_is_what_was_planted() -> None:
    ivo, nell, dara = GOLFERS
    assert rose(ivo, ivo.aim) > 3.0
    assert abs(rose(nell, nell.aim)) < 0.5
    assert abs(rose(dara, dara.aim)) < 0.5
    assert rose(dara, ("lead_arm_angle", MomentName.TOP), View.FACE_ON) > 15.0
    assert rose(dara, ("backswing_time", None), View.FACE_ON) > 0.15


def rose(golfer: Told, key: Key, view: View | None = None) -> float:
    """How much larger it truly is after than before, mean over the swings that show it."""
    view = view or keys_of(golfer)["aim"][0]
    sides = [
        [true_value(clip, key) for one in side if one.view is view for clip in one.clips]
        for side in (golfer.before, golfer.after)
    ]
    return float(np.mean(sides[1]) - np.mean(sides[0]))


def test_the_error_of_readings_is_one_where_the_stated_sd_is_true() -> None:
    """A thousand standard normal numbers, and one that went far astray, which decides nothing."""
    drawn = np.append(np.random.default_rng(5).normal(size=1000), 1e6)
    assert robust(drawn) == pytest.approx(1.0, abs=0.1)
