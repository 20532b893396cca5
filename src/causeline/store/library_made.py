"""Files that were made of clips and lessons: proxies, stills, films, pages. Each can be made again.

They go with what they were made of, and those that are shared go when sharing is withdrawn.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sqlalchemy import (
    ColumnElement,
    Connection,
    Text,
    cast,
    delete,
    exists,
    insert,
    select,
    update,
)

from causeline.model.access import Made
from causeline.model.library import Kind
from causeline.store.library import Library
from causeline.store.rows import many, one, values_of
from causeline.store.tables import ATTACHMENTS, LESSONS, MADE, TAKES


def save_made(library: Library, made: Made, file: bytes | Path) -> Made:
    """Keep a file that was made; what was there under that recipe goes.

    Raises OutputError where there is no room, StoreError where golfer or lesson are gone.
    """
    with library.keeping(file) as (connection, key):
        made = replace(made, file_key=key)
        save_unmade(library, connection, MADE.c.key == made.key)
        connection.execute(insert(MADE).values(values_of(made)))
    return made


def load_made(library: Library, key: str) -> Made | None:
    """What was made by that recipe; None where it was not, or its file is gone."""
    with library.database.reading() as connection:
        found = one(connection, Made, select(MADE).where(MADE.c.key == key))
    return found if found is not None and library.vault.has(found.file_key) else None


def load_made_for(
    library: Library, golfer: str | None = None, lesson: str | None = None, sha256: str = ""
) -> tuple[Made, ...]:
    """Everything that was made for a golfer, a lesson or of a clip, the oldest first."""
    query = select(MADE).order_by(MADE.c.made_at, MADE.c.key)
    asked = ((MADE.c.golfer, golfer), (MADE.c.lesson, lesson), (MADE.c.sha256, sha256 or None))
    for column, value in asked:
        query = query if value is None else query.where(column == value)
    with library.database.reading() as connection:
        return many(connection, Made, query)


def save_unshown(library: Library, connection: Connection, golfer: str, hashes: list[str]) -> None:
    """Delete what was made to be shared by others and shows one of these clips of a golfer's.

    Lessons and takes name the content of the clips that they show; films of talk-throughs are
    made again from their data.
    """
    for sha256 in hashes:
        shown = cast(LESSONS.c.content, Text).contains(sha256)
        lessons = select(LESSONS.c.id).where(LESSONS.c.golfer != golfer, shown)
        save_unmade(library, connection, MADE.c.shared & MADE.c.lesson.in_(lessons))
        talks = select(TAKES.c.talk).where(TAKES.c.swings.contains(sha256))
        save_unfilmed(library, connection, ATTACHMENTS.c.id.in_(talks))


def save_unfilmed(library: Library, connection: Connection, which: ColumnElement[bool]) -> None:
    """Delete the films of talk-throughs; their takes and edits stay."""
    talks = (ATTACHMENTS.c.kind == Kind.TALK_THROUGH) & ATTACHMENTS.c.file_key.is_not(None) & which
    filmed = talks & exists().where(TAKES.c.talk == ATTACHMENTS.c.id)
    files = list(connection.execute(select(ATTACHMENTS.c.file_key).where(filmed)).scalars())
    connection.execute(update(ATTACHMENTS).where(filmed).values(file_key=None))
    library.let_go(connection, files)


def save_unmade(library: Library, connection: Connection, which: ColumnElement[bool]) -> int:
    """Delete what was made, within a change that goes on; the next tidying deletes the files."""
    files = list(connection.execute(select(MADE.c.file_key).where(which)).scalars())
    connection.execute(delete(MADE).where(which))
    library.let_go(connection, files)
    return len(files)
