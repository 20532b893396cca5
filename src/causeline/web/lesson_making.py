"""The files of a lesson: page, print, calendar, film; made in the background, kept beside it."""

from __future__ import annotations

from contextlib import ExitStack

from causeline.errors import StoreError
from causeline.model.access import Make
from causeline.model.library import Coach, GolferEntry, LessonEntry, Purpose
from causeline.store.library_consent import load_allowed
from causeline.web.contract.lessons import LessonFile
from causeline.web.desk import Desk, OnFile
from causeline.web.jobs import Report
from causeline.web.made import Recipe
from causeline.web.shelf import ShelfSwing
from causeline.web.teaching import lesson_of, may_be_shown, taught_again

MADE = 1
"""Grows when files come out otherwise than before."""
KINDS = {
    "lesson.html": (Make.PAGE, "text/html; charset=utf-8", "The page in one file"),
    "lesson.pdf": (Make.PRINT, "application/pdf", "For paper"),
    "practice.ics": (Make.PAGE, "text/calendar", "The practices for a calendar"),
    "swing.mp4": (Make.FILM, "video/mp4", "The film"),
}
MEGA = 2**20


def begin_files(desk: Desk, coach: Coach, entry: LessonEntry, golfer: GolferEntry) -> str:
    """Begin to make what is not there yet; gives the work's id, empty where all is there."""
    if all(desk.made.find(_recipe(desk, entry, golfer, name)) for name in _expected(entry)):
        return ""

    def work(report: Report) -> None:
        _make(desk, coach, entry, golfer, report)

    key = f"files {entry.id} {entry.version}"
    return desk.jobs.start(f"the files of {entry.title}", work, key, film=True).id


def going_on(desk: Desk, entry: LessonEntry) -> str:
    """Id of the work that makes the files of this version now; empty where none does."""
    return desk.jobs.going(f"files {entry.id} {entry.version}")


def files_of(desk: Desk, entry: LessonEntry, golfer: GolferEntry) -> tuple[LessonFile, ...]:
    """The files of this version that are there."""
    found = []
    for name, (_, _, words) in KINDS.items():
        made = desk.made.find(_recipe(desk, entry, golfer, name))
        if made is not None:
            size = desk.library.vault.size(made.file_key)
            told = f"{size / MEGA:.1f} MB" if size > MEGA else f"{max(size // 1024, 1)} kB"
            found.append(LessonFile(f"/lessons/{entry.id}/files/{name}", words, told))
    return tuple(found)


def read_made(desk: Desk, entry: LessonEntry, golfer: GolferEntry, name: str) -> tuple[bytes, str]:
    """A file and its kind. Raises StoreError where it is not made."""
    made = desk.made.find(_recipe(desk, entry, golfer, name)) if name in KINDS else None
    if made is None:
        raise StoreError(
            f"{name[:40]} of this lesson is not made",
            "a file that was made was expected",
            "make the files first",
        )
    return desk.library.vault.read(made.file_key), KINDS[name][1]


def _expected(entry: LessonEntry) -> list[str]:
    return [name for name in KINDS if name != "practice.ics" or entry.content.get("sessions")]


def _make(
    desk: Desk, coach: Coach, entry: LessonEntry, golfer: GolferEntry, report: Report
) -> None:
    """What is quick first, so that it can be taken while the film is drawn."""
    lesson = lesson_of(entry)
    taught = taught_again(desk, coach, golfer, lesson)
    with ExitStack() as stack:
        views = [_on_disk(desk, stack, one) for one in taught.views]
        references = [_on_disk(desk, stack, one) for one in taught.references]
        for film in (False, True):
            report("Drawing the film" if film else "Drawing the page", 0, 0)
            files = desk.lesson_files(lesson, views, references, report, film=film)
            for name in KINDS:
                content = files.get(name)
                if content is not None:
                    recipe = _recipe(desk, entry, golfer, name)
                    desk.made.get(recipe, lambda content=content: (content, {}))  # type: ignore[misc]


def _on_disk(desk: Desk, stack: ExitStack, swing: ShelfSwing) -> OnFile:
    path = stack.enter_context(desk.library.vault.on_disk(swing.clip.sha256))
    return OnFile(swing.shown, path, hide_face=not may_be_shown(desk, swing, Purpose.FACE))


def _face(desk: Desk, golfer: GolferEntry) -> bool:
    return Purpose.FACE in load_allowed(desk.library, golfer.id)


def _recipe(desk: Desk, entry: LessonEntry, golfer: GolferEntry, name: str) -> Recipe:
    face = _face(desk, golfer)
    return Recipe(
        KINDS[name][0],
        ["lesson", MADE, name, entry.id, entry.version, face],
        golfer=golfer.id,
        lesson=entry.id,
        shared=True,
        face=face,
    )
