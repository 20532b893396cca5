from __future__ import annotations

from datetime import date, datetime

import pytest

from causeline.model.lesson import Lesson, Line, Part, PracticeSession


def _lesson(lines: tuple[Line, ...] = (), drills: tuple[str, ...] = ()) -> Lesson:
    return Lesson("one", date(2026, 5, 4), None, lines, drills, None, None, (), date(2026, 5, 25))


def test_lines_are_found_by_their_part() -> None:
    line = Line("care.pain", Part.CARE, "Stop if it hurts.")
    lesson = _lesson((line, Line("plan.1", Part.PLAN, "Ten minutes.")))
    assert lesson.part(Part.CARE) == (line,)


def test_three_drills_are_too_many() -> None:
    with pytest.raises(ValueError, match="expected 2 at most"):
        _lesson(drills=("a", "b", "c"))


def test_a_line_id_is_used_once() -> None:
    line = Line("care.pain", Part.CARE, "Stop if it hurts.")
    with pytest.raises(ValueError, match="each id once"):
        _lesson((line, line))


def test_a_practice_has_a_time_zone() -> None:
    with pytest.raises(ValueError, match="without a time zone"):
        PracticeSession("u", datetime(2026, 5, 5, 18), 10, ())
