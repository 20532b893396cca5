"""Files that were made of clips and lessons: proxies, stills, films, pages. Each can be made again.

They go with what they were made of, and those that are shared go when sharing is withdrawn.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sqlalchemy import ColumnElement, Connection, delete, insert, select

from causeline.model.access import Made
from causeline.store.library import Library
from causeline.store.rows import many, one, values_of
from causeline.store.tables import MADE


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


def save_unmade(library: Library, connection: Connection, which: ColumnElement[bool]) -> int:
    """Delete what was made, within a change that goes on; the next tidying deletes the files."""
    files = list(connection.execute(select(MADE.c.file_key).where(which)).scalars())
    connection.execute(delete(MADE).where(which))
    library.let_go(connection, files)
    return len(files)
