"""A lesson that was sent, on the scenario's library, and the link that leads to its page."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from causeline.model.clip import View
from causeline.model.lesson import Lesson
from causeline.model.library import GolferEntry, LessonEntry, Link, new_id
from causeline.reading.teaching import Order, Shown, run_lesson
from causeline.store.drill_files import load_drills
from causeline.store.languages import load_words
from causeline.store.lesson_file import save_lesson_dict
from causeline.store.library_clips import load_clips
from causeline.store.library_lessons import save_lesson, save_link
from causeline.store.library_people import load_golfer, save_golfer
from causeline.store.library_readings import load_reading_of
from causeline.store.library_whole import load_whole
from causeline.web.desk import Desk
from tests.workbench import coach_of, golfer_of

LESSON_DAY = date(2026, 4, 6)


def composed(desk: Desk, golfer: GolferEntry, day: date = LESSON_DAY, said: str = "") -> Lesson:
    """The lesson of a golfer's first clip of a day, in both views where there are two."""
    shown: dict[View, Shown] = {}
    for clip in sorted(load_clips(desk.library, golfer.id), key=lambda one: one.name):
        if clip.filmed_on == day:
            entry = load_reading_of(desk.library, clip.sha256)
            assert entry is not None
            one = Shown(load_whole(desk.library, entry), 1)
            shown.setdefault(one.view, one)
    zone = ZoneInfo(golfer.golfer.time_zone)
    starts = datetime.combine(day + timedelta(days=1), datetime.min.time(), zone)
    order = Order(
        golfer=replace(golfer.golfer, said=said, name=golfer.golfer.name.split()[0]),
        made=day,
        starts=starts.replace(hour=18),
        coach=coach_of(desk).name,
    )
    words = load_words(golfer.golfer.language)
    return run_lesson(tuple(shown.values()), order, load_drills(), words)


def sent(desk: Desk, golfer: GolferEntry, lesson: Lesson) -> LessonEntry:
    """The lesson, saved as sent on its own day at noon."""
    noon = datetime.combine(lesson.made, datetime.min.time(), UTC).replace(hour=12)
    headline = lesson.line("cause.headline")
    entry = LessonEntry(
        id=new_id(),
        golfer=golfer.id,
        coach=golfer.coach,
        title=headline.text if headline else "Lesson",
        content=save_lesson_dict(lesson),
        made_at=noon,
        changed_at=noon,
        sent_at=noon,
    )
    return save_lesson(desk.library, entry, "coach")


def a_link(
    desk: Desk, name: str = "Ivo Lindgard", language: str = "en", day: date = LESSON_DAY
) -> tuple[str, Link, LessonEntry]:
    """The page's address with its slash, the link, and the lesson that it leads to."""
    golfer = golfer_of(desk, name)
    if golfer.golfer.language != language:
        spoken = replace(golfer.golfer, language=language)
        golfer = save_golfer(desk.library, replace(golfer, golfer=spoken))
    golfer = load_golfer(desk.library, golfer.id)
    entry = sent(desk, golfer, composed(desk, golfer, day))
    link, secret = save_link(desk.library, golfer.id, entry.id)
    return f"/g/{secret}/", link, entry
