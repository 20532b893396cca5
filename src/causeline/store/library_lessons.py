"""Lessons with every version of them, what is attached to them, and the links that lead to them."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from sqlalchemy import delete, select, update

from causeline.errors import StoreError
from causeline.model.library import (
    Attachment,
    LessonEntry,
    LessonVersion,
    Link,
    Purpose,
    new_id,
)
from causeline.store.attached import attached_files
from causeline.store.library import Library
from causeline.store.library_consent import check_allowed
from causeline.store.rows import add, many, needed, one, save_version, values_of
from causeline.store.tables import ATTACHMENTS, LESSON_VERSIONS, LESSONS, LINKS

SECRET_BYTES = 24
"""192 random bits in a link."""
PAGE = 50


def save_lesson(library: Library, lesson: LessonEntry, by: str) -> LessonEntry:
    """Save a lesson, and keep this version of it for good.

    Raises Outdated where somebody saved a newer version meanwhile: nothing is overwritten, and
    both texts are there to be put together.
    """
    now = library.now()
    lesson = replace(lesson, changed_at=now)
    with library.database.writing() as connection:
        saved = save_version(connection, LESSONS, lesson, values_of(lesson))
        kept = LessonVersion(saved.id, saved.version, saved.title, saved.content, by, now)
        add(connection, LESSON_VERSIONS, kept)
    return saved


def load_lesson(library: Library, name: str) -> LessonEntry:
    """The lesson of that id. Raises StoreError where there is none."""
    with library.database.reading() as connection:
        return needed(connection, LessonEntry, LESSONS, name)


def load_lessons(
    library: Library, golfer: str, before: datetime | None = None, limit: int = PAGE
) -> tuple[LessonEntry, ...]:
    """A page of a golfer's lessons, the newest first."""
    query = select(LESSONS).where(LESSONS.c.golfer == golfer)
    if before is not None:
        query = query.where(LESSONS.c.changed_at < before)
    with library.database.reading() as connection:
        query = query.order_by(LESSONS.c.changed_at.desc(), LESSONS.c.id).limit(limit)
        return many(connection, LessonEntry, query)


def load_lesson_versions(library: Library, name: str) -> tuple[LessonVersion, ...]:
    """Every version of a lesson, the oldest first."""
    query = select(LESSON_VERSIONS).where(LESSON_VERSIONS.c.lesson == name)
    with library.database.reading() as connection:
        return many(connection, LessonVersion, query.order_by(LESSON_VERSIONS.c.version))


def save_attachment(
    library: Library, attachment: Attachment, file: bytes | Path | None = None
) -> Attachment:
    """Save drawings, a talk-through or a picture, with a new file where one comes.

    Raises Outdated where somebody saved a newer version meanwhile.
    """
    if file is None:
        with library.database.writing() as connection:
            return save_version(connection, ATTACHMENTS, attachment, values_of(attachment))
    with library.keeping(file) as (connection, key):
        if key != attachment.file_key:
            library.let_go(connection, [attachment.file_key])
        attachment = replace(attachment, file_key=key)
        return save_version(connection, ATTACHMENTS, attachment, values_of(attachment))


def load_attachments(
    library: Library, golfer: str, lesson: str | None = None, clip: str | None = None
) -> tuple[Attachment, ...]:
    """A golfer's attachments, or those of one lesson or clip, the oldest first."""
    query = select(ATTACHMENTS).where(ATTACHMENTS.c.golfer == golfer)
    if lesson is not None:
        query = query.where(ATTACHMENTS.c.lesson == lesson)
    if clip is not None:
        query = query.where(ATTACHMENTS.c.clip == clip)
    with library.database.reading() as connection:
        query = query.order_by(ATTACHMENTS.c.made_at, ATTACHMENTS.c.id)
        return many(connection, Attachment, query)


def save_attachments_removed(library: Library, names: Iterable[str]) -> None:
    """Delete attachments, and the files that only they spoke of."""
    chosen = ATTACHMENTS.c.id.in_(list(names))
    with library.database.alone() as connection:
        library.let_go(connection, attached_files(connection, chosen))
        connection.execute(delete(ATTACHMENTS).where(chosen))
    library.tidy()


def save_link(library: Library, golfer: str, lesson: str | None = None) -> tuple[Link, str]:
    """Make a link; gives it with its secret, which is shown this once and kept nowhere.

    Raises NotAgreed where the golfer does not let things be shared.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    link = Link(new_id(), golfer, library.now(), lesson)
    with library.database.writing() as connection:
        check_allowed(connection, golfer, Purpose.SHARING)
        connection.execute(LINKS.insert().values({**values_of(link), "secret_hash": _hash(secret)}))
    return link, secret


def load_link(library: Library, secret: str) -> Link:
    """The link with that secret. Raises StoreError where there is none, or it was withdrawn."""
    query = select(LINKS).where(
        LINKS.c.secret_hash == _hash(secret), LINKS.c.withdrawn_at.is_(None)
    )
    with library.database.reading() as connection:
        found = one(connection, Link, query)
    if found is None:
        raise StoreError(
            "that link leads nowhere",
            "one that was made here and not withdrawn was expected",
            "ask the coach for a new one",
        )
    return found


def load_links(library: Library, golfer: str) -> tuple[Link, ...]:
    """A golfer's links, withdrawn ones too, the oldest first."""
    query = select(LINKS).where(LINKS.c.golfer == golfer).order_by(LINKS.c.made_at)
    with library.database.reading() as connection:
        return many(connection, Link, query)


def save_link_withdrawn(library: Library, name: str) -> None:
    """From now on the link leads nowhere."""
    held = (LINKS.c.id == name, LINKS.c.withdrawn_at.is_(None))
    with library.database.writing() as connection:
        connection.execute(update(LINKS).where(*held).values(withdrawn_at=library.now()))


def _hash(secret: str) -> str:
    """A secret of this many random bits needs no salt and no slow hash."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
