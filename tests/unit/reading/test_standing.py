"""Where a golfer stands with a lesson: verdicts, days that met the target, what is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import pytest

from causeline.lesson.compose import compose_lesson
from causeline.model.clip import Hand, View
from causeline.model.course import Case
from causeline.model.lesson import Checkpoint, Golfer, Lesson
from causeline.model.library import Tick
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName as M
from causeline.model.progress import Stage, Swung, Unfit, Verdict
from causeline.model.words import Words
from causeline.quantities.uncertain import Uncertain
from causeline.reading.standing import run_further, run_practised, run_standing, run_stopped
from causeline.store.drill_files import load_drills
from tests.unit.lesson.swings import brief

KNEE = "lead_knee_toward_target_percent"
CHECK = Checkpoint(
    KNEE, M.TOP, View.FACE_ON, "% of stature", Uncertain(-9.0, 0.9), -7.0, -6.6, None, True, 2.0
)
MADE = date(2026, 4, 6)
NOW = datetime(2026, 5, 6, 12, tzinfo=UTC)


def _lesson(check: Checkpoint | None = CHECK) -> Lesson:
    lesson = compose_lesson(brief(Golfer("Ivo"), drills=load_drills()), Words())
    return replace(lesson, made=MADE, checkpoint=check, film_again=MADE + timedelta(days=21))


def _swung(day: int, value: float, number: int = 1, **other: object) -> Swung:
    """A swing so many days after the lesson, filmed with a clip of its day."""
    measures = (
        Measure(KNEE, M.TOP, value, 0.9, "% of stature", ""),
        Measure("pelvis_turn", M.TOP, 40.0, 4.0, "°", ""),
        Measure("downswing_time", None, 0.25, 0.01, "s", ""),
    )
    swung = Swung(
        MADE + timedelta(days=day), f"clip {day}", f"{day}.mov", number, View.FACE_ON,
        Hand.RIGHT, measures,
    )  # fmt: skip
    return replace(swung, **other)  # type: ignore[arg-type]


def _case(swings: Sequence[Swung], lesson: Lesson | None = None, **other: object) -> Case:
    case = Case("id", "Knee", lesson or _lesson(), tuple(swings), (), NOW)
    return replace(case, **other)  # type: ignore[arg-type]


def _many(day: int, mean: float, count: int = 5) -> list[Swung]:
    spread = np.linspace(-0.6, 0.6, count) if count > 1 else [0.0]
    return [_swung(day, mean + float(part), i + 1) for i, part in enumerate(spread)]


def test_a_knee_that_stays_is_a_change_that_was_kept() -> None:
    standing = run_standing(_case([*_many(0, -9.0), *_many(22, -5.0)]))
    assert standing.change is not None
    assert standing.change.verdict is Verdict.CHANGED
    assert standing.change.kept is True
    assert standing.change.difference.value == pytest.approx(4.0)


def test_a_knee_that_goes_on_as_before_is_not_told_apart() -> None:
    standing = run_standing(_case([*_many(0, -9.0), *_many(22, -8.8)]))
    assert standing.change is not None
    assert standing.change.verdict is Verdict.NOT_TOLD_APART


def test_a_turn_that_grew_instead_is_something_else() -> None:
    later = [
        replace(each, measures=(each.measures[0], Measure("pelvis_turn", M.TOP, 75, 4, "°", "")))
        for each in _many(22, -9.0)
    ]
    standing = run_standing(_case([*_many(0, -9.0), *later]))
    assert standing.change is not None
    assert standing.change.verdict is Verdict.SOMETHING_ELSE
    assert [each.measure for each in standing.others] == ["pelvis_turn@top@face-on"]


def test_met_on_two_days_the_target_moves_a_step_toward_the_band() -> None:
    check = replace(CHECK, now=Uncertain(-14.0, 0.9), target=-10.0)
    lesson = _lesson(check)
    once = run_standing(_case([*_many(0, -14.0), *_many(15, -9.0)], lesson))
    assert once.met_on == (MADE + timedelta(days=15),)
    assert once.stage is not Stage.FURTHER
    twice = run_standing(_case([*_many(0, -14.0), *_many(15, -9.0), *_many(22, -9.2)], lesson))
    assert twice.stage is Stage.FURTHER
    step = run_further(check, twice.checked, twice.met_on)
    assert step is not None
    assert step.now.value == pytest.approx(-9.1)
    assert -9.1 < step.target <= -6.6


def test_in_the_band_on_two_days_the_next_cause_comes() -> None:
    standing = run_standing(_case([*_many(0, -9.0), *_many(15, -5.0), *_many(22, -5.0)]))
    assert standing.stage is Stage.NEXT


def test_what_met_the_last_target_does_not_meet_the_next() -> None:
    lesson = _lesson()
    starts = lesson.sessions[0].starts + timedelta(days=30)
    moved = replace(lesson, sessions=(replace(lesson.sessions[0], starts=starts),))
    days = [*_many(0, -9.0), *_many(15, -5.0), *_many(22, -5.0)]
    assert run_standing(_case(days, moved)).met_on == ()


def test_met_at_the_end_of_a_practice_is_not_met_yet() -> None:
    after = [replace(each, practised=True) for each in _many(22, -5.0)]
    standing = run_standing(_case([*_many(0, -9.0), *after]))
    assert standing.met_on == ()
    assert standing.checked[0].practised
    assert standing.change is not None
    assert standing.change.kept is False


@pytest.mark.parametrize(
    ("other", "why"),
    [
        ({"hand": Hand.LEFT}, Unfit.OTHER_HAND),
        ({"struck": False}, Unfit.NO_BALL),
        ({"view": View.DOWN_THE_LINE}, Unfit.OTHER_VIEW),
        ({"measures": (Refusal(KNEE, M.TOP, "the knee is hidden"),)}, Unfit.UNMEASURED),
        ({"measures": (Measure(KNEE, M.TOP, -5, 0.9, "% of stature", ""),
                       Measure("downswing_time", None, 0.6, 0.02, "s", ""))}, Unfit.SLOW),
    ],
)  # fmt: skip
def test_a_swing_that_cannot_be_compared_is_left_out_with_its_reason(
    other: dict[str, Any], why: Unfit
) -> None:
    standing = run_standing(_case([_swung(0, -9.0), _swung(22, -5.0, **other)]))
    assert [each.why for each in standing.left_out] == [why]
    assert standing.change is None


def test_what_was_filmed_before_the_lesson_before_counts_for_neither_side() -> None:
    long_ago = replace(_swung(0, -20.0), clip="old", day=date(2025, 4, 6))
    swings = [long_ago, *_many(0, -9.0), *_many(22, -5.0)]
    standing = run_standing(_case(swings, since=date(2025, 6, 1)))
    assert standing.change is not None
    assert standing.change.before.value == pytest.approx(-9.0)


def test_a_lesson_without_a_checkpoint_has_no_change_to_tell() -> None:
    standing = run_standing(_case([_swung(0, -9.0), _swung(22, -5.0)], _lesson(None)))
    assert (standing.change, standing.checked, standing.stage) == (None, (), Stage.FILM)


def test_practices_are_due_when_their_day_is_over() -> None:
    lesson = _lesson()
    first, second = lesson.sessions[:2]
    tick = Tick("t", "g", "id", first.uid, first.starts)
    same_day = run_practised(lesson, [tick], second.starts + timedelta(hours=2))
    assert (same_day.due, same_day.done, same_day.missed) == (1, 1, 0)
    day_after = run_practised(lesson, [tick], second.starts + timedelta(days=1))
    assert (day_after.due, day_after.done, day_after.missed) == (2, 1, 1)
    assert day_after.last == first.starts.date()


def test_who_gives_no_sign_for_long_has_stopped() -> None:
    standing = run_standing(_case([]))
    assert run_stopped(standing, NOW.date() - timedelta(days=3), NOW.date()) is None
    assert run_stopped(standing, NOW.date() - timedelta(days=12), NOW.date()) == 12
