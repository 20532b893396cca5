"""Coaches and golfers: who they are, and what was done in their name."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy import RowMapping, Select, func, select

from causeline.model.lesson import Golfer
from causeline.model.library import (
    AuditLine,
    Coach,
    GolferCard,
    GolferEntry,
)
from causeline.store.library import Library
from causeline.store.rows import Values, many, missing, needed, save_version, values_of
from causeline.store.tables import AUDIT, CHECK_INS, CLIPS, COACHES, GOLFERS, LESSONS

PAGE = 50
_OF_GOLFER = (
    "name", "hand", "units", "language", "time_zone", "stature_cm", "junior", "back",
)  # fmt: skip
"""Columns that make the `Golfer` of an entry; what they said belongs to a clip."""


def save_coach(library: Library, coach: Coach) -> Coach:
    """Save a coach; raises Outdated where somebody saved a newer version meanwhile."""
    with library.database.writing() as connection:
        return save_version(connection, COACHES, coach, values_of(coach))


def load_coach(library: Library, name: str) -> Coach:
    """The coach of that id. Raises StoreError where there is none."""
    with library.database.reading() as connection:
        return needed(connection, Coach, COACHES, name)


def load_coaches(library: Library) -> tuple[Coach, ...]:
    """Every coach, by name."""
    with library.database.reading() as connection:
        return many(connection, Coach, select(COACHES).order_by(COACHES.c.name, COACHES.c.id))


def save_golfer(library: Library, entry: GolferEntry) -> GolferEntry:
    """Save a golfer; raises Outdated where somebody saved a newer version meanwhile."""
    values = values_of(entry)
    golfer = values.pop("golfer")
    values |= {name: getattr(golfer, name) for name in _OF_GOLFER}
    with library.database.writing() as connection:
        return save_version(connection, GOLFERS, entry, values)


def load_golfer(library: Library, name: str) -> GolferEntry:
    """The golfer of that id. Raises StoreError where there is none."""
    with library.database.reading() as connection:
        row = connection.execute(select(GOLFERS).where(GOLFERS.c.id == name)).mappings().first()
    if row is None:
        raise missing(GOLFERS, name)
    return _entry(row)


def load_golfers(library: Library, coach: str | None = None) -> tuple[GolferEntry, ...]:
    """Every golfer, or those of one coach, by name; archived ones last."""
    query = select(GOLFERS).order_by(GOLFERS.c.archived, GOLFERS.c.name, GOLFERS.c.id)
    if coach is not None:
        query = query.where(GOLFERS.c.coach == coach)
    with library.database.reading() as connection:
        return tuple(_entry(row) for row in connection.execute(query).mappings())


def load_golfer_cards(
    library: Library,
    coach: str,
    named: str = "",
    after: GolferEntry | None = None,
    limit: int = PAGE,
) -> tuple[GolferCard, ...]:
    """A page of a coach's golfers by name, with what there is of each; archived ones left out.

    `named` is a part of the name, `after` the last entry of the page before.
    """
    query = _cards().where(GOLFERS.c.coach == coach, ~GOLFERS.c.archived)
    if named:
        query = query.where(GOLFERS.c.name.icontains(named, autoescape=True))
    if after is not None:
        name, own = GOLFERS.c.name, GOLFERS.c.id
        query = query.where(
            (name > after.golfer.name) | ((name == after.golfer.name) & (own > after.id))
        )
    with library.database.reading() as connection:
        rows = connection.execute(query.limit(limit)).mappings()
        return tuple(
            GolferCard(
                _entry(row), row["clips"], row["lessons"], row["last_clip_at"], row["waiting"]
            )
            for row in rows
        )


def save_audit(library: Library, who: str, what: str, about: str, **detail: Any) -> AuditLine:
    """Note what somebody did. Ids only: names are not written here."""
    line = AuditLine(library.now(), who, what, about, detail)
    with library.database.writing() as connection:
        return _noted(connection, line)


def load_audit(library: Library, about: str | None = None, limit: int = 200) -> list[AuditLine]:
    """The newest lines, of everything or about one id; the newest first."""
    query = select(AUDIT).order_by(AUDIT.c.id.desc()).limit(limit)
    if about is not None:
        query = query.where(AUDIT.c.about == about)
    with library.database.reading() as connection:
        return list(many(connection, AuditLine, query))


def _noted(connection: Any, line: AuditLine) -> AuditLine:
    values = {name: value for name, value in values_of(line).items() if name != "id"}
    made = connection.execute(AUDIT.insert().values(values)).inserted_primary_key
    return replace(line, id=made[0])


def _entry(row: RowMapping) -> GolferEntry:
    golfer = Golfer(**{name: row[name] for name in _OF_GOLFER})
    names = (
        "id", "coach", "guardian", "guardian_mail", "note", "archived", "since", "version",
    )  # fmt: skip
    plain: Values = {name: row[name] for name in names}
    return GolferEntry(golfer=golfer, **plain)


def _cards() -> Select[Any]:
    """Golfers with counts, each by an index: what a page shows and no more."""
    own = GOLFERS.c.id
    clips = select(func.count()).where(CLIPS.c.golfer == own).scalar_subquery()
    lessons = select(func.count()).where(LESSONS.c.golfer == own).scalar_subquery()
    last = select(func.max(CLIPS.c.added_at)).where(CLIPS.c.golfer == own).scalar_subquery()
    open_ones = (CHECK_INS.c.golfer == own, CHECK_INS.c.answered_at.is_(None))
    waiting = select(func.count()).where(*open_ones).scalar_subquery()
    return select(
        GOLFERS,
        clips.label("clips"),
        lessons.label("lessons"),
        last.label("last_clip_at"),
        waiting.label("waiting"),
    ).order_by(GOLFERS.c.name, GOLFERS.c.id)
