from __future__ import annotations

from datetime import date, datetime

import pytest

from causeline.model.lesson import Golfer, Lesson, Line, Part, PracticeSession
from tests.unit.lesson.drills import a_drill


def _lesson(lines: tuple[Line, ...] = (), drills: int = 0) -> Lesson:
    return Lesson(
        id="one",
        made=date(2026, 5, 4),
        coach="Maren Oakes",
        golfer=Golfer(),
        club=None,
        swings=(),
        cause=None,
        chain=(),
        lines=lines,
        drills=tuple(a_drill(f"drill {number}") for number in range(drills)),
        later=None,
        checkpoint=None,
        sessions=(),
        film_again=date(2026, 5, 25),
    )


def test_lines_are_found_by_their_part_and_by_their_id() -> None:
    line = Line("care.pain", Part.CARE, "Stop if it hurts.")
    lesson = _lesson((line, Line("plan.1", Part.PLAN, "Ten minutes.")))
    assert lesson.part(Part.CARE) == (line,)
    assert lesson.line("care.pain") == line
    assert lesson.line("care.sun") is None


def test_three_drills_are_too_many() -> None:
    with pytest.raises(ValueError, match="expected 2 at most"):
        _lesson(drills=3)


def test_a_line_id_is_used_once() -> None:
    line = Line("care.pain", Part.CARE, "Stop if it hurts.")
    with pytest.raises(ValueError, match="each id once"):
        _lesson((line, line))


def test_a_practice_has_a_time_zone() -> None:
    with pytest.raises(ValueError, match="without a time zone"):
        PracticeSession("u", datetime(2026, 5, 5, 18), 10, ())
