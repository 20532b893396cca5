"""The calendar file, read back by `icalendar` and held to RFC 5545."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar, Event, Timezone

from causeline.lesson.compose import compose_lesson
from causeline.model.lesson import Golfer, Lesson
from causeline.model.words import Words
from causeline.render.calendar import render_calendar
from tests.unit.lesson.swings import NOTHING, brief

STAMP = datetime(2026, 4, 7, 9, tzinfo=UTC)


def _lesson(zone: str = "Europe/Berlin", starts: datetime | None = None) -> Lesson:
    told = brief(Golfer("Ivo", time_zone=zone))
    return compose_lesson(replace(told, starts=starts or told.starts), Words())


def _events(content: bytes) -> list[Event]:
    return [one for one in Calendar.from_ical(content).walk("VEVENT") if isinstance(one, Event)]


def test_it_holds_every_practice_and_the_day_to_film() -> None:
    lesson = _lesson()
    events = _events(render_calendar(lesson, STAMP))
    assert len(events) == len(lesson.sessions) + 1
    assert events[-1].decoded("dtstart") == lesson.film_again
    assert [event.decoded("dtstart") for event in events[:-1]] == [
        session.starts for session in lesson.sessions
    ]


def test_every_event_has_what_the_standard_asks_for() -> None:
    """RFC 5545, 3.6.1: DTSTAMP and UID are required; DTSTART too where METHOD does not say more."""
    content = render_calendar(_lesson(), STAMP)
    calendar = Calendar.from_ical(content)
    assert calendar["version"] == "2.0"
    assert calendar["prodid"]
    uids = [str(event["uid"]) for event in _events(content)]
    assert len(set(uids)) == len(uids)
    for event in _events(content):
        assert event.decoded("dtstamp") == STAMP
        assert event["sequence"] == 0
        assert "dtstart" in event
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))  # 3.1: folded by octets
    assert content.endswith(b"END:VCALENDAR\r\n")


def test_the_time_zone_is_named_and_its_rules_come_with_it() -> None:
    content = render_calendar(_lesson(), STAMP)
    assert b"DTSTART;TZID=Europe/Berlin:20260409T183000" in content
    zones = Calendar.from_ical(content).walk("VTIMEZONE")
    assert [str(zone["tzid"]) for zone in zones] == ["Europe/Berlin"]


@pytest.mark.parametrize(
    ("zone", "starts", "change"),
    [
        ("Europe/Berlin", datetime(2026, 10, 19, 18, 30), date(2026, 10, 25)),  # back by an hour
        ("America/New_York", datetime(2026, 3, 2, 7, 0), date(2026, 3, 8)),  # on by an hour
        ("Australia/Lord_Howe", datetime(2026, 9, 28, 17, 0), date(2026, 10, 4)),  # half an hour
    ],
)
def test_the_wall_clock_stays_when_the_clocks_change(
    zone: str, starts: datetime, change: date
) -> None:
    """The days are those on which these zones change in 2026 (IANA time zone database)."""
    place = ZoneInfo(zone)
    lesson = _lesson(zone, starts.replace(tzinfo=place))
    content = render_calendar(lesson, STAMP)
    times = [event.decoded("dtstart") for event in _events(content)[:-1]]
    assert times[0].date() < change < times[-1].date()
    assert {time.time() for time in times} == {starts.time()}
    offsets = [time.astimezone(place).utcoffset() for time in times]
    assert offsets[0] != offsets[-1]
    written = Calendar.from_ical(content).walk("VTIMEZONE")[0]
    assert isinstance(written, Timezone)
    rules = written.to_tz()
    for time in times:
        assert time.replace(tzinfo=rules).utcoffset() == time.replace(tzinfo=place).utcoffset()


def test_a_plan_that_changed_keeps_its_names_and_counts_up() -> None:
    lesson = _lesson()
    moved = replace(lesson.sessions[0], starts=lesson.sessions[0].starts + timedelta(days=1))
    later = replace(lesson, sequence=1, sessions=(moved, *lesson.sessions[1:]))
    before, after = (_events(render_calendar(one, STAMP)) for one in (lesson, later))
    assert [event["uid"] for event in before] == [event["uid"] for event in after]
    assert {event["sequence"] for event in after} == {1}


def test_an_alarm_only_where_it_is_asked_for() -> None:
    quiet, loud = (render_calendar(_lesson(), STAMP, minutes) for minutes in (None, 30))
    assert b"VALARM" not in quiet
    alarms = Calendar.from_ical(loud).walk("VALARM")
    assert len(alarms) == len(_lesson().sessions)
    assert alarms[0].decoded("trigger") == timedelta(minutes=-30)


def test_without_practice_only_the_day_to_film() -> None:
    lesson = compose_lesson(brief(findings=NOTHING), Words())
    events = _events(render_calendar(lesson, STAMP))
    assert [event.decoded("dtstart") for event in events] == [lesson.film_again]


def test_a_stamp_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="without a time zone"):
        render_calendar(_lesson(), datetime(2026, 4, 7))


def test_a_practice_that_is_dropped_is_cancelled_under_its_own_uid_and_a_later_sequence() -> None:
    """RFC 5545, 3.8.1.11 and 3.8.7.4: STATUS:CANCELLED, SEQUENCE greater than what was sent."""
    sent = _lesson()
    gone = sent.sessions[-1]
    later = replace(sent, sessions=sent.sessions[:-1], dropped=(gone,), sequence=1)
    events = {str(one["uid"]): one for one in _events(render_calendar(later, STAMP))}
    event = events[f"{gone.uid}@causeline"]
    assert str(event["status"]) == "CANCELLED"
    assert event["sequence"] == 1
    assert len(events) == len(sent.sessions) + 1
