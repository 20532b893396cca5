"""A coach's morning: each matter once, and nobody called quiet whose coach has the word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from causeline.lesson.compose import compose_lesson
from causeline.model.clip import Hand, View
from causeline.model.course import Case, Course, Matter
from causeline.model.lesson import Golfer
from causeline.model.library import CheckIn, ClipEntry, GolferEntry, Tick
from causeline.model.measures import Measure
from causeline.model.progress import Swung
from causeline.model.words import Words
from causeline.reading.course import run_morning, run_titles
from causeline.reading.standing import run_standing
from causeline.store.drill_files import load_drills
from tests.kept_course import CHECK, KNEE, MADE
from tests.unit.lesson.swings import brief

ENTRY = GolferEntry("g", "c", Golfer("Ivo", time_zone="Europe/Dublin"))
LESSON = replace(
    compose_lesson(brief(ENTRY.golfer, drills=load_drills()), Words()),
    made=MADE,
    checkpoint=CHECK,
    film_again=MADE + timedelta(days=21),
)


def _swings(days: Sequence[tuple[int, float]]) -> tuple[Swung, ...]:
    return tuple(
        Swung(
            MADE + timedelta(days=day), f"clip {day}", f"{day}.mov", number, View.FACE_ON,
            Hand.RIGHT,
            (Measure(KNEE, CHECK.moment, mean + float(part), 0.9, "% of stature", ""),),
        )
        for day, mean in days
        for number, part in enumerate(np.linspace(-0.6, 0.6, 5), 1)
    )  # fmt: skip


def _course(day: int, films: Sequence[tuple[int, float]] = (), **other: object) -> Course:
    """The golfer so many days after the lesson, who filmed on those days."""
    now = datetime(MADE.year, MADE.month, MADE.day, 12, tzinfo=UTC) + timedelta(days=day)
    case = Case("l", "Knee", LESSON, _swings([(0, -9.0), *films]), (), now)
    course = Course(ENTRY, now, (case,), (run_standing(case),), (), (), ())
    return replace(course, **other)  # type: ignore[arg-type]


def _matters(*courses: Course) -> list[Matter]:
    return [item.matter for item in run_morning(courses)]


def test_a_check_in_without_an_answer_comes_first_and_its_golfer_is_not_quiet() -> None:
    course = _course(12)
    check_in = CheckIn("i", "g", course.now - timedelta(days=2), felt="odd")
    assert _matters(replace(course, check_ins=(check_in,))) == [Matter.ANSWER]


def test_who_gives_no_sign_has_gone_quiet() -> None:
    tick = Tick("t", "g", "l", "s", _course(3).now)
    quiet = _course(14, ticks=(tick,))
    assert _matters(quiet) == [Matter.QUIET]
    assert run_morning([quiet])[0].days == 11


def test_who_practises_is_left_in_peace() -> None:
    tick = Tick("t", "g", "l", "s", _course(9).now)
    assert _matters(_course(10, ticks=(tick,))) == [Matter.GOING]


def test_a_day_to_film_is_told_before_it_comes() -> None:
    tick = Tick("t", "g", "l", "s", _course(18).now)
    soon = run_morning([_course(19, ticks=(tick,))])
    assert [(one.matter, one.days) for one in soon] == [(Matter.DUE, -2)]


@pytest.mark.parametrize(
    ("later", "matter"),
    [(-5.0, Matter.REAL), (-9.1, Matter.UNSURE), (-13.0, Matter.OTHERWISE)],
)
def test_the_numbers_are_one_matter(later: float, matter: Matter) -> None:
    tick = Tick("t", "g", "l", "s", _course(24).now)
    told = _matters(_course(25, [(22, later), (24, later)], ticks=(tick,)))
    assert told == [matter]


def test_clips_without_a_lesson_are_due() -> None:
    course = _course(3)
    clip = ClipEntry("k", "g", "0" * 64, "a.mov", 1, course.now - timedelta(days=3))
    bare = replace(course, cases=(), standings=(), clips=(clip,))
    assert [(one.matter, one.days) for one in run_morning([bare])] == [(Matter.DUE, 3)]
    assert run_morning([replace(bare, clips=())]) == ()


def test_the_most_pressing_comes_first_and_of_equals_the_longest() -> None:
    ivo = _course(25, [(22, -5.0), (24, -5.0)])
    early, late = _course(12), _course(20)
    items = run_morning([ivo, early, late])
    assert [one.matter for one in items] == [Matter.REAL, Matter.QUIET, Matter.QUIET]
    assert items[1].days > items[2].days


def test_every_aim_of_a_drill_has_a_title() -> None:
    titles = run_titles()
    aims = {drill.aim.measure for drill in load_drills() if drill.aim}
    assert aims <= set(titles)


def test_today_is_the_golfers_own() -> None:
    late = datetime(2026, 4, 6, 23, 30, tzinfo=UTC)
    assert replace(_course(0), now=late).today == date(2026, 4, 7)
