"""The plan after missed practice, and after a target was met twice."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from causeline.lesson.adapt import compose_further, compose_shortened, compose_voice
from causeline.lesson.compose import compose_lesson
from causeline.lesson.told_change import compose_change, compose_next
from causeline.model.clip import View
from causeline.model.lesson import MOST_DRILLS, Checkpoint, Golfer, Lesson, Part, Units
from causeline.model.moments import MomentName
from causeline.model.progress import Change, NextCause, Verdict
from causeline.model.words import Words
from causeline.quantities.uncertain import Uncertain
from causeline.store.drill_files import load_drills
from causeline.store.languages import load_words
from tests.unit.lesson.swings import brief

DAY = timedelta(days=1)


def _lesson(language: str = "en") -> Lesson:
    golfer = Golfer("Ivo", language=language, time_zone="Europe/Berlin")
    words = load_words(language) if language != "en" else Words()
    return compose_lesson(brief(golfer, drills=load_drills()), words)


def _after(lesson: Lesson, missed: int, done: int = 0) -> Lesson:
    """The plan on the morning after so many practices, the first `done` of them ticked."""
    ticked = {one.uid for one in lesson.sessions[:done]}
    now = lesson.sessions[missed + done - 1].starts + DAY
    return compose_shortened(compose_voice(lesson, Words()), lesson, ticked, now)


def test_who_practises_keeps_the_plan() -> None:
    lesson = _lesson()
    assert _after(lesson, missed=0, done=3) is lesson
    assert _after(lesson, missed=1, done=3) is lesson


def test_two_missed_make_the_rest_short_and_none_longer() -> None:
    lesson = _lesson()
    lighter = _after(lesson, missed=2)
    ahead = lighter.sessions[2:]
    assert [one.uid for one in lighter.sessions] == [one.uid for one in lesson.sessions]
    assert [one.starts for one in lighter.sessions] == [one.starts for one in lesson.sessions]
    assert all(one.minutes <= 8 and len(one.drills) == 1 for one in ahead)
    assert lighter.sequence == lesson.sequence + 1
    assert lighter.part(Part.PLAN)[0].id == "plan.shorter"


def test_four_missed_leave_out_every_second_one_once() -> None:
    lesson = _lesson()
    lighter = _after(lesson, missed=4)
    assert len(lighter.sessions) + len(lighter.dropped) == len(lesson.sessions)
    assert len(lighter.dropped) == (len(lesson.sessions) - 4) // 2
    again = compose_shortened(
        compose_voice(lesson, Words()), lighter, set(), lesson.sessions[4].starts + DAY
    )
    assert again.dropped == lighter.dropped


def test_the_same_day_asked_twice_changes_nothing_more() -> None:
    lesson = _lesson()
    lighter = _after(lesson, missed=3)
    now = lesson.sessions[2].starts + DAY
    assert compose_shortened(compose_voice(lesson, Words()), lighter, set(), now) is lighter


def test_nothing_in_a_lighter_plan_scolds() -> None:
    text = _after(_lesson(), missed=4).part(Part.PLAN)[0].text.lower()
    assert not any(word in text for word in ("miss", "fail", "should have", "forgot", "only"))


def test_after_a_target_was_met_the_plan_goes_on_with_a_new_step() -> None:
    lesson = _lesson()
    assert lesson.checkpoint is not None
    step = Checkpoint(
        lesson.checkpoint.measure, lesson.checkpoint.moment, lesson.checkpoint.view,
        lesson.checkpoint.unit, Uncertain(104.0, 3.0), 101.0, None, 100.0, False, 6.0,
    )  # fmt: skip
    starts = lesson.sessions[-1].starts + 7 * DAY
    met = (date(2026, 5, 4), date(2026, 5, 6))
    further = compose_further(compose_voice(lesson, Words()), lesson, step, met, starts)
    assert further.checkpoint is not None
    assert further.checkpoint.target == 101.0
    assert further.sessions[0].starts == starts
    assert not {one.uid for one in further.sessions} & {one.uid for one in lesson.sessions}
    assert len(further.drills) <= MOST_DRILLS
    assert further.film_again > lesson.film_again
    assert "Monday 4 May" in further.part(Part.PLAN)[0].text
    assert further.sequence == lesson.sequence + 1
    assert all(not line.stills for line in further.part(Part.CHECKPOINT))


def _change(verdict: Verdict, **other: object) -> Change:
    known = {
        "measure": "shoulder_turn", "before": Uncertain(118.0, 2), "after": Uncertain(98.0, 2),
        "difference": Uncertain(-20.0, 3), "low": -26.0, "high": -14.0, "freedom": 12.0,
        "sem": 2.0, "detectable": 6.5, "verdict": verdict, "more_swings": 0, "more_days": 0,
        "kept": True,
    }  # fmt: skip
    return Change(**{**known, **other})  # type: ignore[arg-type]


TURN = Checkpoint(
    "shoulder_turn", MomentName.TOP, View.FACE_ON, "°", Uncertain(118, 3), 108, None, 104, False, 6
)


def test_a_change_is_told_with_its_numbers_and_that_it_stayed() -> None:
    voice = compose_voice(_lesson(), Words())
    said = " ".join(compose_change(voice, TURN, _change(Verdict.CHANGED)))
    assert "real" in said
    assert "98°" in said
    assert "118°" in said
    assert "20°" in said
    assert "6°" in said or "7°" in said
    assert "stayed" in said


@pytest.mark.parametrize(
    ("verdict", "other", "words"),
    [
        (Verdict.NOT_TOLD_APART, {"more_swings": 3}, "3 more swings"),
        (Verdict.NOT_TOLD_APART, {"more_swings": None, "more_days": 1}, "1 more day"),
        (Verdict.NOT_TOLD_APART, {"more_swings": None, "more_days": None}, "however much"),
        (Verdict.OTHER_WAY, {}, "other way"),
        (Verdict.CHANGED, {"kept": False}, "another day"),
        (Verdict.SOMETHING_ELSE, {"more_swings": 2}, "Something else"),
    ],
)
def test_each_verdict_says_what_would_settle_it(
    verdict: Verdict, other: dict[str, object], words: str
) -> None:
    voice = compose_voice(_lesson(), Words())
    assert words in " ".join(compose_change(voice, TURN, _change(verdict, **other)))


def test_it_is_said_in_german_too() -> None:
    voice = compose_voice(_lesson("de"), load_words("de"))
    said = compose_change(voice, TURN, _change(Verdict.CHANGED))
    assert said[0] == "Es hat sich geändert, und zwar wirklich."
    again = NextCause("over_turn", "Over-turn", 0.9, "", date(2026, 5, 4), again=False)
    assert compose_next(voice, again).startswith("Das ist geschafft")


def test_the_voice_of_a_kept_lesson_counts_lengths_as_it_did() -> None:
    lesson = _lesson()
    share = Checkpoint(
        "pelvis_toward_target_percent", MomentName.TOP, View.FACE_ON, "% of stature",
        Uncertain(-5, 1), -3, None, None, True, 2, "", "in", 181 / 254,
    )  # fmt: skip
    golfer = Golfer("Ivo", units=Units.IMPERIAL)
    kept = replace(lesson, golfer=golfer, checkpoint=share)
    assert compose_voice(kept, Words()).stature_cm == pytest.approx(181)
