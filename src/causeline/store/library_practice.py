"""What golfers do after a lesson: practice that was ticked, and check-ins."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select

from causeline.model.library import CheckIn, Tick
from causeline.store.library import Library
from causeline.store.rows import add_absent, many, needed, save_version, values_of
from causeline.store.tables import CHECK_INS, GOLFERS, TICKS

PAGE = 50


def save_tick(library: Library, tick: Tick) -> None:
    """Keep a tick; one that comes twice, as from a phone without a network, is kept once."""
    with library.database.writing() as connection:
        add_absent(connection, TICKS, [values_of(tick)])


def load_ticks(library: Library, golfer: str, lesson: str | None = None) -> tuple[Tick, ...]:
    """A golfer's ticks, or those for one lesson, the oldest first."""
    query = select(TICKS).where(TICKS.c.golfer == golfer)
    if lesson is not None:
        query = query.where(TICKS.c.lesson == lesson)
    with library.database.reading() as connection:
        return many(connection, Tick, query.order_by(TICKS.c.ticked_at, TICKS.c.id))


def save_check_in(library: Library, check_in: CheckIn) -> CheckIn:
    """Save a check-in, or its answer; raises Outdated where another answer was saved meanwhile."""
    with library.database.writing() as connection:
        return save_version(connection, CHECK_INS, check_in, values_of(check_in))


def save_check_in_once(library: Library, check_in: CheckIn) -> CheckIn:
    """Keep a check-in under the id that a phone gave it; what came before under that id stays.

    Gives the one that is kept, which may be another golfer's: who asks must look.
    """
    with library.database.writing() as connection:
        add_absent(connection, CHECK_INS, [{**values_of(check_in), "version": 1}])
        return needed(connection, CheckIn, CHECK_INS, check_in.id)


def load_check_in(library: Library, name: str) -> CheckIn:
    """The check-in of that id. Raises StoreError where there is none."""
    with library.database.reading() as connection:
        return needed(connection, CheckIn, CHECK_INS, name)


def load_check_ins(library: Library, golfer: str, limit: int = PAGE) -> tuple[CheckIn, ...]:
    """A golfer's newest check-ins, the newest first."""
    query = select(CHECK_INS).where(CHECK_INS.c.golfer == golfer)
    with library.database.reading() as connection:
        return many(connection, CheckIn, query.order_by(CHECK_INS.c.sent_at.desc()).limit(limit))


def load_unanswered(
    library: Library, coach: str, after: datetime | None = None, limit: int = PAGE
) -> tuple[CheckIn, ...]:
    """A page of the check-ins that wait for a coach, the longest waiting first."""
    query = (
        select(CHECK_INS)
        .join(GOLFERS, GOLFERS.c.id == CHECK_INS.c.golfer)
        .where(GOLFERS.c.coach == coach, CHECK_INS.c.answered_at.is_(None))
    )
    if after is not None:
        query = query.where(CHECK_INS.c.sent_at > after)
    with library.database.reading() as connection:
        query = query.order_by(CHECK_INS.c.sent_at, CHECK_INS.c.id).limit(limit)
        return many(connection, CheckIn, query)
