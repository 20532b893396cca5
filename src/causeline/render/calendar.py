"""The plan as a calendar file (RFC 5545), which a phone takes over and takes over again.

Each practice keeps its UID when it moves, and SEQUENCE counts the changes, so that a calendar
updates what it has instead of adding it once more. Times stand in the golfer's own time zone with
its rules (VTIMEZONE): half past six stays half past six when the clocks change.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from icalendar import Alarm, Calendar, Event, vText

from causeline.model.lesson import Lesson, Part, PracticeSession
from causeline.model.reminders import Reminder

MAKER = "-//Causeline//Causeline//EN"
DOMAIN = "causeline"
WEEK = 7
REMINDER_MINUTES = 5
TIMES_OUT = 120
"""Days after the last practice for which the time zone's rules are written out."""


def render_calendar(
    lesson: Lesson,
    stamp: datetime,
    remind_minutes: int | None = None,
    reminders: Sequence[tuple[Reminder, str]] = (),
) -> bytes:
    """The practices, the day to film again, and the golfer's own reminders.

    `stamp`: when the file is made, with its time zone. `remind_minutes`: an alarm that long before
    each practice; None for none. `reminders`, each with its sentence: one with a weekday and an
    hour rings every week until the day to film, others stand in the practices' notes; those taken
    back are cancelled. Raises ValueError for a stamp without a time zone.
    """
    if stamp.tzinfo is None:
        raise ValueError(f"got a stamp at {stamp} without a time zone; expected one: give UTC")
    calendar = Calendar()
    calendar.add("prodid", MAKER)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", _named(lesson))
    calendar.add("x-wr-calname", _named(lesson))
    said = [text for one, text in reminders if not one.at and one.withdrawn_at is None]
    for session in lesson.sessions:
        event = _practice(lesson, session, stamp, remind_minutes)
        if said:
            event["description"] = vText("\n".join([*said, session.note]))
        calendar.add_component(event)
    for one, text in reminders:
        if one.at and one.weekday is not None and lesson.sessions:
            calendar.add_component(_reminder(lesson, one, text, stamp))
    for session in lesson.dropped:
        event = _practice(lesson, session, stamp, None)
        event["status"] = vText("CANCELLED")
        calendar.add_component(event)
    calendar.add_component(_film(lesson, stamp))
    if lesson.sessions:
        first, last = lesson.sessions[0].starts.date(), lesson.sessions[-1].starts.date()
        calendar.add_missing_timezones(first, last + timedelta(days=TIMES_OUT))
    return calendar.to_ical()


def _practice(
    lesson: Lesson, session: PracticeSession, stamp: datetime, remind_minutes: int | None
) -> Event:
    event = _event(lesson, f"{session.uid}@{DOMAIN}", stamp)
    event.add("summary", session.title)
    event.add("description", session.note)
    event.add("dtstart", session.starts)
    event.add("dtend", session.starts + timedelta(minutes=session.minutes))
    if remind_minutes is not None:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", session.title)
        alarm.add("trigger", timedelta(minutes=-remind_minutes))
        event.add_component(alarm)
    return event


def _reminder(lesson: Lesson, reminder: Reminder, text: str, stamp: datetime) -> Event:
    """Every week at the golfer's hour, from the plan's first day until the day to film."""
    first = lesson.sessions[0].starts
    day = first.date() + timedelta(days=((reminder.weekday or 0) - first.weekday()) % WEEK)
    hour = datetime.strptime(reminder.at, "%H:%M").time()
    starts = datetime.combine(day, hour, first.tzinfo)
    event = _event(lesson, f"{reminder.id}@{DOMAIN}", stamp)
    event["sequence"] = max(reminder.version - 1, 0)
    event.add("summary", text)
    event.add("dtstart", starts)
    event.add("dtend", starts + timedelta(minutes=REMINDER_MINUTES))
    last = datetime.combine(lesson.film_again, hour, first.tzinfo)
    event.add("rrule", {"freq": "weekly", "until": max(last, starts).astimezone(UTC)})
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", text)
    alarm.add("trigger", timedelta(0))
    event.add_component(alarm)
    if reminder.withdrawn_at is not None:
        event["status"] = vText("CANCELLED")
    return event


def _film(lesson: Lesson, stamp: datetime) -> Event:
    """All day, for the light decides when."""
    event = _event(lesson, f"{lesson.id}-film@{DOMAIN}", stamp)
    event.add("summary", lesson.label("film.day"))
    event.add("description", "\n".join(line.text for line in lesson.part(Part.FILM)))
    event.add("dtstart", lesson.film_again)
    event.add("dtend", lesson.film_again + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    return event


def _event(lesson: Lesson, uid: str, stamp: datetime) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", stamp)
    event.add("sequence", lesson.sequence)
    event.add("status", "CONFIRMED")
    event.add("class", "PRIVATE")
    return event


def _named(lesson: Lesson) -> str:
    return " · ".join(part for part in (lesson.label("lesson"), lesson.coach) if part)
