"""Deleting: rows, then every file that only those rows spoke of. What goes cannot come back."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    Text,
    cast,
    delete,
    exists,
    insert,
    or_,
    select,
)

from causeline.model.access import Make
from causeline.model.library import AuditLine
from causeline.store.attached import attached_files
from causeline.store.library import Library
from causeline.store.library_made import save_unmade, save_unshown
from causeline.store.rows import missing, values_of
from causeline.store.tables import (
    ATTACHMENTS,
    AUDIT,
    CLIPS,
    GOLFERS,
    LESSONS,
    MADE,
    READINGS,
    STAGES,
)


def save_golfer_removed(library: Library, name: str, by: str) -> None:
    """Delete a golfer: clips, readings, lessons, drawings, practice, links, caches, files.

    The audit keeps that it was done, and the id. Raises StoreError where there is no such golfer.
    """
    clips = CLIPS.c.golfer == name
    with library.database.alone() as connection:
        _let_go_attached(library, connection, ATTACHMENTS.c.golfer == name)
        save_unmade(
            library, connection, or_(MADE.c.golfer == name, MADE.c.lesson.in_(_lessons(name)))
        )
        hashes = list(connection.execute(select(CLIPS.c.sha256).where(clips)).scalars())
        if connection.execute(delete(GOLFERS).where(GOLFERS.c.id == name)).rowcount == 0:
            raise missing(GOLFERS, name)
        _let_go_clips(library, connection, hashes)
        _note(library, connection, by, "golfer deleted", name)
    library.tidy()


def save_clip_removed(library: Library, name: str, by: str) -> None:
    """Delete one clip, its readings, and what was drawn on it. Raises StoreError for none such."""
    with library.database.alone() as connection:
        _let_go_attached(library, connection, ATTACHMENTS.c.clip == name)
        sha256 = connection.execute(select(CLIPS.c.sha256).where(CLIPS.c.id == name)).scalar()
        if sha256 is None:
            raise missing(CLIPS, name)
        connection.execute(delete(CLIPS).where(CLIPS.c.id == name))
        _let_go_clips(library, connection, [sha256])
        _note(library, connection, by, "clip deleted", name)
    library.tidy()


def _lessons(golfer: str) -> Select[Any]:
    return select(LESSONS.c.id).where(LESSONS.c.golfer == golfer)


def _let_go_attached(library: Library, connection: Connection, which: ColumnElement[bool]) -> None:
    library.let_go(connection, attached_files(connection, which))


def _let_go_clips(library: Library, connection: Connection, hashes: list[str]) -> None:
    """Clips that no other golfer has, and everything that was read from them."""
    for sha256 in hashes:
        if connection.execute(select(exists().where(CLIPS.c.sha256 == sha256))).scalar():
            continue
        mine, stage = READINGS.c.sha256 == sha256, STAGES.c.sha256 == sha256
        files: list[Any] = [sha256]
        for column, which in (
            (READINGS.c.seen_key, mine),
            (READINGS.c.reading_key, mine),
            (STAGES.c.file_key, stage),
        ):
            files += connection.execute(select(column).where(which)).scalars()
        library.let_go(connection, files)
        from_both = (MADE.c.kind == Make.READING) & cast(MADE.c.content, Text).contains(sha256)
        save_unmade(library, connection, (MADE.c.sha256 == sha256) | from_both)
        save_unshown(library, connection, "", [sha256])
        connection.execute(delete(READINGS).where(mine))
        connection.execute(delete(STAGES).where(stage))


def _note(library: Library, connection: Connection, who: str, what: str, about: str) -> None:
    values = values_of(AuditLine(library.now(), who, what, about))
    del values["id"]
    connection.execute(insert(AUDIT).values(values))
