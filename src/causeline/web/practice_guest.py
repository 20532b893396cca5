"""Who a secret link lets in: one golfer, with one lesson, and nothing else."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import Depends, Request

from causeline.errors import StoreError
from causeline.model.lesson import Lesson
from causeline.model.library import GolferEntry, LessonEntry, Link, Purpose
from causeline.store.lesson_file import load_lesson_dict
from causeline.store.library import Library
from causeline.store.library_consent import load_allowed
from causeline.store.library_lessons import load_lesson, load_lessons, load_link
from causeline.store.library_people import load_golfer
from causeline.web.desk import Desk, OfDesk
from causeline.web.mistakes import Mistake, Refusal
from causeline.web.practice_limits import limits_of


@dataclass(frozen=True, slots=True)
class Guest:
    """Who opened the link, and what it leads to."""

    link: Link
    golfer: GolferEntry
    entry: LessonEntry
    lesson: Lesson
    """Without the name, where the name is not to be shown."""
    face: bool
    """Whether the face may be shown."""
    root: str
    """Address of the page, with its last slash."""


def the_guest(request: Request, secret: str, desk: OfDesk) -> Guest:
    """Who that secret lets in. Raises Refusal: 410 where it leads nowhere, 429 where too often."""
    limits = limits_of(request)
    try:
        link = load_link(desk.library, secret)
        guest = guest_of(desk, link, f"/g/{secret}/")
    except StoreError as error:
        limits.strangers.take(request.client.host if request.client else "")
        raise gone() from error
    limits.asks.take(hashlib.sha256(secret.encode()).hexdigest())
    return guest


OfGuest = Annotated[Guest, Depends(the_guest)]


def guest_of(desk: Desk, link: Link, root: str) -> Guest:
    """What a link leads to. Raises StoreError where its lesson was not sent, or is gone."""
    golfer = load_golfer(desk.library, link.golfer)
    entry = _lesson(desk.library, link)
    face = Purpose.FACE in load_allowed(desk.library, golfer.id)
    lesson = load_lesson_dict(entry.content, "the lesson")
    if golfer.golfer.junior and not face:
        lesson = nameless(lesson)
    return Guest(link, golfer, entry, lesson, face, root)


def gone() -> Refusal:
    """Unknown and withdrawn are told alike: nobody learns which secrets there were."""
    return Refusal(
        Mistake(
            410,
            "this page has been withdrawn",
            "a link that the coach made and did not withdraw was expected",
            "ask the coach for a new one",
        )
    )


def nameless(lesson: Lesson) -> Lesson:
    """The lesson without the golfer's name, wherever it was put in."""
    names = [lesson.golfer.name, *lesson.golfer.name.split()]
    known = "|".join(re.escape(name) for name in names if name)
    if not known:
        return lesson

    def without(text: str) -> str:
        left = re.sub(rf"\s*\b(?:{known})\b(?:'s|’s)?,?\s*", " ", text).strip()
        return left[:1].upper() + left[1:]

    return replace(
        lesson,
        golfer=replace(lesson.golfer, name=""),
        lines=tuple(replace(line, text=without(line.text), written=None) for line in lesson.lines),
        sessions=tuple(
            replace(one, title=without(one.title), note=without(one.note))
            for one in lesson.sessions
        ),
        labels={key: without(text) for key, text in lesson.labels.items()},
    )


def _lesson(library: Library, link: Link) -> LessonEntry:
    """The link's own lesson, or the newest that was sent."""
    if link.lesson is not None:
        return load_lesson(library, link.lesson)
    sent = [one for one in load_lessons(library, link.golfer) if one.sent_at is not None]
    if not sent:
        raise StoreError("no lesson was sent", "one was expected", "send one")
    return max(sent, key=lambda one: (one.made_at, one.id))
