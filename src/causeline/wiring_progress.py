"""Where golfers stand, from what a library holds: lessons, readings, ticks."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Hashable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Any, Generic, TypeVar
from zoneinfo import ZoneInfo

from causeline.errors import CauselineError, ReadingFileError, StoreError
from causeline.lesson.adapt import compose_further, compose_shortened, compose_voice
from causeline.model.access import Made, Make
from causeline.model.course import Case, Course
from causeline.model.findings import ClubSort
from causeline.model.lesson import Lesson
from causeline.model.library import (
    ClipCard,
    ClipEntry,
    GolferEntry,
    LessonEntry,
    ReadingEntry,
    State,
    Tick,
)
from causeline.model.progress import Stage, Swung
from causeline.reading.standing import run_further, run_next, run_standing
from causeline.store.languages import load_words
from causeline.store.lesson_file import load_lesson_dict, save_lesson_dict
from causeline.store.library import Library
from causeline.store.library_clips import load_clip_cards
from causeline.store.library_lessons import load_lesson, load_lessons, save_lesson
from causeline.store.library_made import load_made, save_made
from causeline.store.library_people import load_coach, load_golfer, load_golfers
from causeline.store.library_practice import load_check_ins, load_ticks
from causeline.store.library_readings import load_reading_content
from causeline.store.measured import load_swung, save_measured_dict

MOST_CLIPS = 200
"""Of one golfer, the newest: what a term brings and more."""
KEPT_READINGS = 512
"""Readings whose measures stay in memory: a reading's file never changes under its key."""
SMALL = "causeline.measured/1"
"""What the small files hold: changed with what is asked of a reading."""
KEPT_LESSONS = 256
"""Lessons that stay in memory, each as one of its versions."""
Kept = TypeVar("Kept")


def course_of(library: Library, golfer: str, now: datetime | None = None) -> Course:
    """Where a golfer stands, by their id. Raises StoreError where there is none."""
    entry = load_golfer(library, golfer)
    now = now or library.now()
    ticks = load_ticks(library, golfer)
    check_ins = load_check_ins(library, golfer)
    strange = {one.clip for one in check_ins if one.outcome and one.outcome.get("not_me")}
    cards = load_clip_cards(library, golfer, limit=MOST_CLIPS)
    cards = tuple(card for card in cards if card.entry.id not in strange)
    swings = swings_of(library, entry, cards, ticks)
    made = load_lessons(library, golfer)
    lessons = [each for each in made if each.sent_at is not None]
    lessons.sort(key=lambda each: (each.made_at, each.id), reverse=True)
    cases = _cases(lessons, swings, ticks, now)
    standings = tuple(run_standing(case) for case in cases)
    done = bool(standings) and standings[0].stage is Stage.NEXT
    return Course(
        entry=entry,
        now=now,
        cases=cases,
        standings=standings,
        check_ins=check_ins,
        ticks=ticks,
        clips=tuple(card.entry for card in cards),
        drafts=len(made) - len(lessons),
        next_cause=run_next(cases[0]) if done else None,
    )


def morning_of(library: Library, coach: str, now: datetime | None = None) -> tuple[Course, ...]:
    """Every golfer of a coach who is not archived, by name; the coach's own swings are none."""
    own = load_coach(library, coach).name
    golfers = [
        each
        for each in load_golfers(library, coach)
        if not each.archived and each.golfer.name != own
    ]
    return tuple(course_of(library, each.id, now) for each in golfers)


def swings_of(
    library: Library, entry: GolferEntry, cards: Sequence[ClipCard], ticks: Sequence[Tick]
) -> tuple[Swung, ...]:
    """Every swing that was read, with its day; a reading that is damaged is passed over."""
    found: list[Swung] = []
    for card in cards:
        if card.reading is None or card.reading.state is not State.READY:
            continue
        day = filmed_on(card.entry, entry)
        fresh = not _practised_before(card.entry, entry, ticks, day)
        try:
            found += _swung(library, card.reading, day, card.entry.club, not fresh)
        except (ReadingFileError, StoreError):
            continue
    return tuple(found)


def filmed_on(clip: ClipEntry, entry: GolferEntry) -> date:
    """The day of a clip: as its file says, else when it came, on the golfer's clock."""
    return clip.filmed_on or clip.added_at.astimezone(ZoneInfo(entry.golfer.time_zone)).date()


@dataclass(frozen=True, slots=True, eq=False)
class OpenProgress:
    """Standings and plans of an open library, for the workbench."""

    library: Library

    def course(self, golfer: str) -> Course:
        """One golfer's way, by their id."""
        return course_of(self.library, golfer)

    def morning(self, coach: str) -> tuple[Course, ...]:
        """Every golfer of a coach who is not archived, by name."""
        return morning_of(self.library, coach)

    def moved_on(self, golfer: str, lesson: str, by: str) -> LessonEntry:
        """The target of that golfer's lesson moves a step on, from tomorrow."""
        _is_of(self.library, lesson, golfer)
        return moved_on(self.library, lesson, by)

    def shortened(self, golfer: str, lesson: str) -> LessonEntry:
        """What is left of that golfer's plan, lighter where practice was missed."""
        _is_of(self.library, lesson, golfer)
        return shortened(self.library, lesson)


def _is_of(library: Library, lesson: str, golfer: str) -> None:
    if load_lesson(library, lesson).golfer != golfer:
        raise StoreError(
            "that lesson is another golfer's",
            "one of the golfer whose page it is was expected",
            "go to the golfer's own page",
        )


def shortened(library: Library, lesson: str, now: datetime | None = None) -> LessonEntry:
    """The lesson with its plan as missed practice has made it; saved where that is new.

    Raises Outdated where somebody saved the lesson meanwhile.
    """
    entry = load_lesson(library, lesson)
    known = lesson_of(entry)
    done = {tick.session for tick in load_ticks(library, entry.golfer, entry.id)}
    voice = compose_voice(known, load_words(known.golfer.language))
    lighter = compose_shortened(voice, known, done, now or library.now())
    return entry if lighter is known else _saved(library, entry, lighter)


def moved_on(library: Library, lesson: str, by: str, starts: datetime | None = None) -> LessonEntry:
    """The lesson with its target moved a step on, because it was met twice; saved.

    `starts` is the first practice; tomorrow at the plan's own hour where it is left out.

    Raises StoreError where it was not met on two days, or where no step is left.
    """
    entry = load_lesson(library, lesson)
    course = course_of(library, entry.golfer)
    standing = next((one for one in course.standings if one.lesson == lesson), None)
    check = standing.checkpoint if standing else None
    step = run_further(check, standing.checked, standing.met_on) if standing and check else None
    if standing is None or step is None or standing.stage is not Stage.FURTHER:
        raise StoreError(
            "the target of that lesson does not move on",
            "one that was met on two separate days, with a step left, was expected",
            "film again, or make a lesson of the next cause",
        )
    known = lesson_of(entry)
    voice = compose_voice(known, load_words(known.golfer.language))
    starts = starts or _tomorrow(known, course)
    further = compose_further(voice, known, step, standing.met_on, starts)
    return _saved(library, entry, further, by)


def _tomorrow(lesson: Lesson, course: Course) -> datetime:
    """The day after today, at the hour at which the plan began."""
    hour = lesson.sessions[0].starts.timetz() if lesson.sessions else time(18, tzinfo=course.zone)
    return datetime.combine(course.today + timedelta(days=1), hour)


def lesson_of(entry: LessonEntry) -> Lesson:
    """The lesson that an entry holds. Raises LessonFileError where it holds none."""
    return _lesson(_Alike(entry, (entry.id, entry.version)))


def _saved(library: Library, entry: LessonEntry, lesson: Lesson, by: str = "plan") -> LessonEntry:
    content = {**entry.content, **save_lesson_dict(lesson)}
    return save_lesson(library, replace(entry, content=content), by)


def _cases(
    lessons: Sequence[LessonEntry], swings: tuple[Swung, ...], ticks: Sequence[Tick], now: datetime
) -> tuple[Case, ...]:
    """A lesson each, with the day of the one before it; one that cannot be read is left out."""
    known: list[tuple[LessonEntry, Lesson]] = []
    for entry in lessons:
        try:
            known.append((entry, lesson_of(entry)))
        except CauselineError:
            continue
    earlier = [lesson.made for _, lesson in known]
    return tuple(
        Case(
            lesson_id=entry.id,
            title=entry.title,
            lesson=lesson,
            swings=swings,
            ticks=tuple(tick for tick in ticks if tick.lesson == entry.id),
            now=now,
            since=since,
        )
        for (entry, lesson), since in zip(known, [*earlier[1:], None], strict=False)
    )


def _practised_before(
    clip: ClipEntry, entry: GolferEntry, ticks: Sequence[Tick], day: date
) -> bool:
    """Whether a practice was ticked on the clip's day before it came."""
    zone = ZoneInfo(entry.golfer.time_zone)
    return any(
        tick.ticked_at.astimezone(zone).date() == day and tick.ticked_at <= clip.added_at
        for tick in ticks
    )


def _swung(
    library: Library, reading: ReadingEntry, day: date, club: ClubSort | None, practised: bool
) -> tuple[Swung, ...]:
    file = _Alike((library, reading), reading.reading_key)
    return _measured(file, day, club, practised)


@dataclass(frozen=True, slots=True, eq=False)
class _Alike(Generic[Kept]):
    """Something to be worked out once for each key: what has one key is alike."""

    what: Kept
    key: Hashable

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Alike) and self.key == other.key


@lru_cache(maxsize=KEPT_LESSONS)
def _lesson(entry: _Alike[LessonEntry]) -> Lesson:
    return load_lesson_dict(entry.what.content, f"the lesson “{entry.what.title}”")


@lru_cache(maxsize=KEPT_READINGS)
def _measured(
    reading: _Alike[tuple[Library, ReadingEntry]],
    day: date,
    club: ClubSort | None,
    practised: bool,
) -> tuple[Swung, ...]:
    return load_swung(_content(*reading.what), day, club, practised)


def _content(library: Library, reading: ReadingEntry) -> dict[str, Any]:
    """What is asked of a reading, from a small file where that was made before.

    A reading file is a megabyte; forty golfers' would be read anew at every start.
    """
    key = hashlib.sha256(f"{SMALL}/{reading.reading_key}".encode()).hexdigest()
    with suppress(StoreError, ValueError):
        made = load_made(library, key)
        if made is not None:
            small: dict[str, Any] = json.loads(library.vault.read(made.file_key))
            return small
    whole = load_reading_content(library, reading)
    try:
        content = save_measured_dict(whole)
    except (KeyError, TypeError, ValueError, IndexError):
        return whole  # something is amiss in it: whoever takes it apart says so
    made = Made(key, Make.MEASURES, {}, "", library.now(), sha256=reading.sha256)
    with suppress(CauselineError):  # no room for it: it is read again the next time
        save_made(library, made, json.dumps(content).encode())
    return content
