"""Whose rows ids name: so that one place can tell whether a coach may ask for them.

Every table that leads to a coach is asked, by its own columns; one that is added later is too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from functools import cache

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    and_,
    bindparam,
    exists,
    or_,
    select,
)

from causeline.store.leading import leads_to_coach
from causeline.store.library import Library
from causeline.store.tables import CLIPS, GOLFERS, LESSONS, MADE, METADATA, READINGS

AT_ONCE = 400
"""Ids in one question: databases allow only so many values."""
IDS, ME = "ids", "me"


def load_is_strangers(library: Library, coach: str, ids: Collection[str]) -> bool:
    """Whether any of these ids names something of another coach.

    An id is 32 hexadecimal digits, or 64 for a clip's content and for what was made. What nothing
    bears is nobody's; a clip that golfers of both coaches have is this one's too.
    """
    wanted = sorted(set(ids))
    if not wanted:
        return False
    with library.database.reading() as connection:
        return any(
            _asked(connection, coach, wanted[start : start + AT_ONCE])
            for start in range(0, len(wanted), AT_ONCE)
        )


def _asked(connection: Connection, coach: str, ids: list[str]) -> bool:
    short = [each for each in ids if len(each) == 32]
    long = [each for each in ids if len(each) == 64]
    for questions, some in ((_by_id(), short), (_by_content(), long)):
        for question in questions if some else ():
            if connection.execute(question, {IDS: some, ME: coach}).first() is not None:
                return True
    return False


@cache
def _by_id() -> tuple[Select[tuple[str]], ...]:
    """One question for each table: a row with such an id that is another coach's."""
    return tuple(_questions())


def _questions() -> Iterator[Select[tuple[str]]]:
    yield select(READINGS.c.id).where(_among(READINGS.c.id), _others_content(READINGS.c.sha256))
    for table in METADATA.sorted_tables:
        leads = leads_to_coach(table, _not_me)
        if "id" in table.c and leads is not None:
            yield select(table.c.id).where(_among(table.c.id), leads)


@cache
def _by_content() -> tuple[Select[tuple[str]], ...]:
    made = or_(
        _others_golfer(MADE.c.golfer), _others_lesson(MADE.c.lesson), _others_content(MADE.c.sha256)
    )
    return (
        select(CLIPS.c.sha256).where(_among(CLIPS.c.sha256), _others_content(CLIPS.c.sha256)),
        select(MADE.c.key).where(_among(MADE.c.key), made),
        select(MADE.c.key).where(_among(MADE.c.file_key), made),
    )


def _among(column: ColumnElement[str]) -> ColumnElement[bool]:
    return column.in_(bindparam(IDS, expanding=True))


def _not_me(coach: ColumnElement[str]) -> ColumnElement[bool]:
    return coach != bindparam(ME)


def _others_golfer(column: ColumnElement[str]) -> ColumnElement[bool]:
    return exists().where(GOLFERS.c.id == column, GOLFERS.c.coach != bindparam(ME))


def _others_lesson(column: ColumnElement[str]) -> ColumnElement[bool]:
    lesson = LESSONS.alias()
    return exists().where(lesson.c.id == column, _others_golfer(lesson.c.golfer))


def _others_content(column: ColumnElement[str]) -> ColumnElement[bool]:
    """Somebody has a clip of that content, and no golfer of this coach does."""
    some, mine, owner = CLIPS.alias(), CLIPS.alias(), GOLFERS.alias()
    held = exists().where(
        mine.c.sha256 == column, owner.c.id == mine.c.golfer, owner.c.coach == bindparam(ME)
    )
    return and_(exists().where(some.c.sha256 == column), ~held)
