"""Which letters are due, once each; and the golfer's own words in mail and calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar, Event

from causeline.model.course import Course
from causeline.model.library import CheckIn, Tick
from causeline.model.reminders import Letter, Mailing, Reminder
from causeline.model.words import Words
from causeline.reading.letters import Addressed, run_letters, run_told
from causeline.render.calendar import render_calendar
from causeline.store.languages import load_words
from tests.kept_course import MADE
from tests.unit.reading.test_course import LESSON, _course

AGREED = datetime(2026, 4, 1, tzinfo=UTC)
MAILING = Mailing("m", "g", "ivo@example.org", "Ivo", AGREED, "token")
TO = Addressed(MAILING, frozenset(), stop_at="https://golf.example/g/stop/token")
TOWEL = Reminder(
    "r" * 32, "g", "l", "When I get home on Tuesday", "then I do ten swings.", AGREED, 1, "18:30"
)


def _on(day: int) -> Course:
    """The course on the day of a practice, counted from the first."""
    session = LESSON.sessions[day]
    return _course((session.starts.date() - MADE) // timedelta(days=1))


def _letters(course: Course, to: Addressed = TO) -> tuple[Letter, ...]:
    return run_letters(course, to, Words())


def test_on_a_day_of_practice_one_letter_is_due() -> None:
    (letter,) = _letters(_on(1))
    assert letter.to == "ivo@example.org"
    assert letter.subject == LESSON.sessions[1].title
    assert letter.lines[-1].endswith("https://golf.example/g/stop/token")


def test_not_when_it_was_sent_or_the_practice_is_done() -> None:
    course = _on(1)
    (letter,) = _letters(course)
    assert _letters(course, replace(TO, posted=frozenset([letter.key]))) == ()
    tick = Tick("t", "g", "l", LESSON.sessions[1].uid, course.now)
    case = replace(course.cases[0], ticks=(tick,))
    assert _letters(replace(course, cases=(case,))) == ()


def test_nothing_is_due_on_other_days() -> None:
    day = (LESSON.sessions[1].starts.date() - MADE) // timedelta(days=1) + 1
    assert _letters(_course(day)) == ()


def test_on_the_day_to_film_it_is_told_how() -> None:
    (letter,) = [one for one in _letters(_course(21)) if one.key.startswith("film:")]
    assert letter.subject == "Film again today"
    assert any("Face-on" in line for line in letter.lines)


def test_an_answer_is_sent_where_mail_was_agreed_to_before() -> None:
    course = _course(4)
    check_in = CheckIn("i", "g", course.now, felt="odd", answer="Good. Stay with it.",
                       answered_at=course.now)  # fmt: skip
    course = replace(course, check_ins=(check_in,))
    assert [one.key for one in _letters(course)] == ["answer:i"]
    later = replace(TO, mailing=replace(MAILING, agreed_at=course.now + timedelta(hours=1)))
    assert _letters(course, later) == ()


def test_without_an_address_of_the_workbench_an_answer_stops_it() -> None:
    (letter,) = _letters(_on(1), replace(TO, stop_at=""))
    assert letter.lines[-1].endswith("answer with the word “stop”.")


def test_a_junior_is_not_named_in_mail() -> None:
    course = _on(1)
    golfer = replace(LESSON.golfer, junior=True)
    case = replace(course.cases[0], lesson=replace(LESSON, golfer=golfer))
    (letter,) = _letters(replace(course, cases=(case,)))
    assert "Ivo" not in " ".join(letter.lines[:-1])


@pytest.mark.parametrize(
    ("cue", "act"),
    [
        ("I get home on Tuesday", "I do ten swings"),
        ("When I get home on Tuesday,", "then I do ten swings."),
        ("if  I get home on Tuesday", "THEN I do ten swings"),
    ],
)
def test_the_golfers_own_words_make_one_sentence(cue: str, act: str) -> None:
    ((_, said),) = run_told(LESSON, [replace(TOWEL, cue=cue, act=act)], Words())
    assert said == "When I get home on Tuesday, then I do ten swings."


def test_the_sentence_is_in_the_golfers_language() -> None:
    words = load_words("de")
    one = replace(TOWEL, cue="ich dienstags heimkomme", act="mache ich zehn Schwünge")
    ((_, said),) = run_told(LESSON, [one], words)
    assert said == "Wenn ich dienstags heimkomme, dann mache ich zehn Schwünge."


def test_it_stands_in_the_letter_of_its_day() -> None:
    weekday = LESSON.sessions[1].starts.weekday()
    mine, other = replace(TOWEL, weekday=weekday), replace(TOWEL, weekday=(weekday + 1) % 7)
    assert any(
        "ten swings" in one for one in _letters(_on(1), replace(TO, reminders=(mine,)))[0].lines
    )
    told = _letters(_on(1), replace(TO, reminders=(other,)))[0].lines
    assert not any("ten swings" in one for one in told)


def _events(*reminders: Reminder) -> dict[str, Any]:
    told = run_told(LESSON, reminders, Words())
    content = render_calendar(LESSON, AGREED, reminders=told)
    found = Calendar.from_ical(content).walk("VEVENT")
    return {str(one["uid"]): one for one in found if isinstance(one, Event)}


def test_it_rings_every_week_until_the_day_to_film() -> None:
    """RFC 5545, 3.8.5.3: UNTIL in UTC where DTSTART has a time zone."""
    event = _events(TOWEL)[f"{TOWEL.id}@causeline"]
    starts = event.decoded("dtstart")
    assert (starts.weekday(), f"{starts:%H:%M}") == (1, "18:30")
    assert LESSON.sessions[0].starts <= starts
    rule = event["rrule"]
    assert rule["freq"] == ["WEEKLY"]
    (until,) = rule["until"]
    assert until.tzinfo is UTC or until.utcoffset() == timedelta(0)
    assert until.date() == LESSON.film_again


def test_a_changed_one_keeps_its_uid_and_raises_its_sequence() -> None:
    """RFC 5545, 3.8.7.4: SEQUENCE counts the revisions; 3.8.1.11: STATUS of one taken back."""
    changed = _events(replace(TOWEL, at="19:00", version=3))[f"{TOWEL.id}@causeline"]
    assert changed["sequence"] == 2
    gone = _events(replace(TOWEL, withdrawn_at=AGREED, version=4))[f"{TOWEL.id}@causeline"]
    assert (str(gone["status"]), gone["sequence"]) == ("CANCELLED", 3)


def test_one_without_an_hour_stands_in_the_notes_of_the_practices() -> None:
    events = _events(replace(TOWEL, at="", weekday=None))
    assert f"{TOWEL.id}@causeline" not in events
    first = events[f"{LESSON.sessions[0].uid}@causeline"]
    assert str(first["description"]).startswith("When I get home on Tuesday, then")
