"""What tests put into a library: invented people and small files."""

from __future__ import annotations

from datetime import UTC, datetime

from causeline.model.clip import Hand, View
from causeline.model.lesson import Golfer, Units
from causeline.model.library import Coach, GolferEntry, LessonEntry, new_id
from causeline.store.library import Library
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_people import save_coach, save_golfer

THEN = datetime(2026, 4, 6, 9, 30, tzinfo=UTC)


def a_coach(library: Library, name: str = "Runa Veld") -> Coach:
    """A coach who is saved."""
    return save_coach(library, Coach(new_id(), name))


def a_golfer(library: Library, coach: Coach | None = None, name: str = "Ivo Brandt") -> GolferEntry:
    """A golfer who is saved, with a coach."""
    coach = coach or a_coach(library)
    golfer = Golfer(name, Hand.LEFT, Units.IMPERIAL, "de", "Europe/Berlin", stature_cm=181.5)
    return save_golfer(library, GolferEntry(new_id(), coach.id, golfer, note="plays on Tuesdays"))


def a_clip(library: Library, golfer: GolferEntry, content: bytes = b"a swing") -> str:
    """The id of a clip that is saved."""
    notes = ClipNotes("swing.mov", View.FACE_ON, said="I hit it thin")
    return save_clip(library, golfer.id, content, notes).id


def a_lesson(golfer: GolferEntry) -> LessonEntry:
    """A lesson that is not saved yet."""
    return LessonEntry(new_id(), golfer.id, golfer.coach, "Turn", {"lines": ["one"]}, THEN, THEN)
