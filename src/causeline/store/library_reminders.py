"""Reminders in the golfer's words, addresses that may be written to, and what was sent."""

from __future__ import annotations

import secrets
from dataclasses import replace

from sqlalchemy import select, update

from causeline.errors import StoreError
from causeline.model.library import new_id
from causeline.model.reminders import Mailing, Reminder
from causeline.store.library import Library
from causeline.store.rows import add, add_absent, many, one, save_version, values_of
from causeline.store.tables import GOLFERS, MAILINGS, POSTED, REMINDERS

TOKEN_BYTES = 24
MOST_REMINDERS = 20
"""Of one lesson: more than that reminds of nothing."""


def save_reminder(library: Library, reminder: Reminder) -> Reminder:
    """Save a reminder; raises Outdated where a newer version was saved meanwhile.

    Raises StoreError where the lesson has too many already.
    """
    known = load_reminders(library, reminder.golfer, reminder.lesson)
    if reminder.version == 0 and len(known) >= MOST_REMINDERS:
        raise StoreError(
            f"a reminder too many came for one lesson ({MOST_REMINDERS} are there)",
            "a few were expected",
            "take one back first",
        )
    with library.database.writing() as connection:
        return save_version(connection, REMINDERS, reminder, values_of(reminder))


def save_reminder_withdrawn(library: Library, reminder: Reminder) -> Reminder:
    """Take a reminder back; a calendar still has to be told, so the row stays."""
    return save_reminder(library, replace(reminder, withdrawn_at=library.now()))


def load_reminders(
    library: Library, golfer: str, lesson: str, *, withdrawn: bool = False
) -> tuple[Reminder, ...]:
    """A golfer's reminders for a lesson, the oldest first; those taken back only where wanted."""
    query = select(REMINDERS).where(REMINDERS.c.golfer == golfer, REMINDERS.c.lesson == lesson)
    if not withdrawn:
        query = query.where(REMINDERS.c.withdrawn_at.is_(None))
    with library.database.reading() as connection:
        return many(connection, Reminder, query.order_by(REMINDERS.c.made_at, REMINDERS.c.id))


def save_mailing(library: Library, golfer: str, address: str, agreed_by: str) -> Mailing:
    """Note that somebody agreed, now, that this address is written to; others of theirs stop.

    Raises ValueError for what is no address.
    """
    if not _is_address(address):
        raise ValueError(f"got {address!r}; expected an address such as ivo@example.org")
    now = library.now()
    token = secrets.token_urlsafe(TOKEN_BYTES)
    mailing = Mailing(new_id(), golfer, address, agreed_by, now, token)
    with library.database.writing() as connection:
        open_ones = (MAILINGS.c.golfer == golfer, MAILINGS.c.stopped_at.is_(None))
        connection.execute(update(MAILINGS).where(*open_ones).values(stopped_at=now))
        add(connection, MAILINGS, mailing)
    return mailing


def load_mailing(library: Library, golfer: str) -> Mailing | None:
    """The address that may be written to about a golfer; None where nobody agreed, or said stop."""
    query = select(MAILINGS).where(MAILINGS.c.golfer == golfer, MAILINGS.c.stopped_at.is_(None))
    with library.database.reading() as connection:
        return one(connection, Mailing, query.order_by(MAILINGS.c.agreed_at.desc()))


def load_mailings(library: Library, coach: str) -> tuple[Mailing, ...]:
    """Every address that may be written to about a coach's golfers."""
    query = (
        select(MAILINGS)
        .join(GOLFERS, GOLFERS.c.id == MAILINGS.c.golfer)
        .where(GOLFERS.c.coach == coach, MAILINGS.c.stopped_at.is_(None), ~GOLFERS.c.archived)
    )
    with library.database.reading() as connection:
        return many(connection, Mailing, query.order_by(MAILINGS.c.agreed_at, MAILINGS.c.id))


def load_mailing_by(library: Library, token: str) -> Mailing | None:
    """The mailing of an unsubscribe link, stopped or not; None where no link has that token."""
    with library.database.reading() as connection:
        return one(connection, Mailing, select(MAILINGS).where(MAILINGS.c.token == token))


def save_mailing_stopped(library: Library, token: str) -> bool:
    """Stop the mail of that unsubscribe link; False where there is none. Twice is once."""
    mine = MAILINGS.c.token == token
    still = (mine, MAILINGS.c.stopped_at.is_(None))
    with library.database.writing() as connection:
        connection.execute(update(MAILINGS).where(*still).values(stopped_at=library.now()))
        return connection.execute(select(MAILINGS.c.id).where(mine)).first() is not None


def save_posted(library: Library, key: str, golfer: str) -> None:
    """Note that a letter was sent."""
    with library.database.writing() as connection:
        add_absent(connection, POSTED, [{"key": key, "golfer": golfer, "at": library.now()}])


def load_posted(library: Library, golfer: str) -> frozenset[str]:
    """Keys of the letters that were sent to a golfer."""
    query = select(POSTED.c.key).where(POSTED.c.golfer == golfer)
    with library.database.reading() as connection:
        return frozenset(connection.execute(query).scalars())


def _is_address(text: str) -> bool:
    """One address and nothing that a header could be made of."""
    name, _, host = text.rpartition("@")
    plain = text.isprintable() and not any(letter in ' ,;:<>()[]"\\' for letter in text)
    return plain and bool(name) and "." in host.strip(".") and len(text) <= 254
