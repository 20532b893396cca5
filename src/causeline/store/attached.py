"""Which files hang on attachments: their own, and the sound of a talk-through's takes."""

from __future__ import annotations

from sqlalchemy import ColumnElement, Connection, select

from causeline.store.tables import ATTACHMENTS, TAKES


def attached_files(connection: Connection, which: ColumnElement[bool]) -> list[str | None]:
    """Keys of every file that the attachments chosen speak of."""
    own = connection.execute(select(ATTACHMENTS.c.file_key).where(which)).scalars()
    talks = TAKES.c.talk.in_(select(ATTACHMENTS.c.id).where(which))
    spoken = connection.execute(select(TAKES.c.voice_key).where(talks)).scalars()
    return [*own, *spoken]
