"""A golfer's course in a library, its readings made up of measures: no clip is read."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from causeline.lesson.compose import compose_lesson
from causeline.model.clip import View
from causeline.model.lesson import Checkpoint, Golfer, Lesson
from causeline.model.library import (
    ClipEntry,
    GolferEntry,
    LessonEntry,
    ReadingEntry,
    State,
    Tick,
    new_id,
)
from causeline.model.moments import MomentName
from causeline.model.words import Words
from causeline.quantities.uncertain import Uncertain
from causeline.store.drill_files import load_drills
from causeline.store.lesson_file import save_lesson_dict
from causeline.store.library import Library
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_lessons import save_lesson
from causeline.store.library_people import save_golfer
from causeline.store.library_practice import save_tick
from causeline.store.rows import values_of
from causeline.store.tables import READINGS
from tests.unit.lesson.swings import brief

KNEE = "lead_knee_toward_target_percent"
CHECK = Checkpoint(
    KNEE, MomentName.TOP, View.FACE_ON, "% of stature", Uncertain(-9.0, 0.9), -7.0, -6.6, None,
    True, 2.0, "Lead knee", "cm", 1.81,
)  # fmt: skip
MADE = date(2026, 4, 6)


def a_golfer_named(library: Library, coach: str, name: str) -> GolferEntry:
    """A golfer of that name, who plays right-handed and lives in Dublin."""
    golfer = Golfer(name, time_zone="Europe/Dublin", stature_cm=181)
    return save_golfer(library, GolferEntry(new_id(), coach, golfer))


def a_sent_lesson(
    library: Library, golfer: GolferEntry, check: Checkpoint | None = CHECK
) -> LessonEntry:
    """A lesson with that checkpoint, sent on its day."""
    return save_lesson(library, lesson_entry(golfer, check), "test")


def lesson_entry(golfer: GolferEntry, check: Checkpoint | None = CHECK) -> LessonEntry:
    """The same, not saved."""
    told = brief(golfer.golfer, drills=load_drills())
    starts = datetime.combine(MADE + timedelta(days=1), told.starts.time(), told.starts.tzinfo)
    lesson = compose_lesson(replace(told, made=MADE, starts=starts), Words())
    lesson = replace(lesson, checkpoint=check)
    at = datetime(MADE.year, MADE.month, MADE.day, 18, tzinfo=UTC)
    content = save_lesson_dict(lesson)
    return LessonEntry(
        new_id(), golfer.id, golfer.coach, "The lead knee", content, at, at, sent_at=at
    )


def ticked(library: Library, entry: LessonEntry, lesson: Lesson, places: Sequence[int]) -> None:
    """Practices of a lesson, done at their hour."""
    for place in places:
        session = lesson.sessions[place]
        save_tick(library, Tick(new_id(), entry.golfer, entry.id, session.uid, session.starts))


def a_read_clip(
    library: Library, golfer: GolferEntry, day: date, values: Sequence[float], **other: Any
) -> ClipEntry:
    """A clip of that day with a swing for each value of the knee, read."""
    content = f"{golfer.id} {day} {values} {other}".encode()
    notes = ClipNotes(f"{day}.mov", View.FACE_ON, filmed_on=day)
    clip = save_clip(library, golfer.id, content, notes)
    reading = reading_content(clip, values, **other)
    entry = ReadingEntry(
        new_id(), new_id() * 2, clip.sha256, {}, {}, State.READY, library.now(), library.now()
    )
    with library.keeping(json.dumps(reading).encode()) as (connection, key):
        row = values_of(replace(entry, reading_key=key))
        connection.execute(READINGS.insert().values(row))
    return clip


def reading_content(
    clip: ClipEntry, values: Sequence[float], hand: str = "right", view: str = "face-on",
    rehearsal: bool = False,
) -> dict[str, Any]:  # fmt: skip
    """As much of a reading file as is asked when swings are compared."""
    return {
        "schema": "causeline.reading/1",
        "clip": {
            "name": clip.name, "sha256": clip.sha256, "width": 720, "height": 1280,
            "view": {"name": view, "confidence": 1.0}, "hand": {"name": hand, "confidence": 1.0},
        },
        "swings": [_swing(value, rehearsal) for value in values],
    }  # fmt: skip


def _swing(value: float, rehearsal: bool) -> dict[str, Any]:
    def one(name: str, moment: str | None, value: float, sd: float, unit: str) -> dict[str, Any]:
        return {
            "name": name, "moment": moment, "value": value, "sd": sd, "unit": unit, "method": "",
        }  # fmt: skip

    place = {f"{side}_{part}": [[360.0, y, 0.9]] for side in ("lead", "trail")
             for part, y in (("ankle", 1000.0), ("ear", 480.0))}  # fmt: skip
    return {
        "rehearsal": rehearsal,
        "moments": [{"name": "address", "frame": 30}],
        "measures": [
            one(KNEE, "top", value, 0.9, "% of stature"),
            one("pelvis_turn", "top", 40.0, 4.0, "°"),
            one("downswing_time", None, 0.25, 0.01, "s"),
        ],
        "tracks": {"frame": [30], "body": place},
    }
