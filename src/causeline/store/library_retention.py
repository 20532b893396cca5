"""How long things are kept: rules, what they let go of today, and letting go of it.

Without a rule nothing goes by itself. A clip that is kept to compare with stays as long as it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Select, delete, func, insert, select

from causeline.errors import SettingError
from causeline.model.access import Kept, Retention
from causeline.model.library import AuditLine, State
from causeline.store.attached import attached_files
from causeline.store.library import Library
from causeline.store.library_made import save_unmade
from causeline.store.library_removal import save_clip_removed, save_golfer_removed
from causeline.store.rows import many, values_of
from causeline.store.tables import (
    ATTACHMENTS,
    AUDIT,
    CHECK_INS,
    CLIPS,
    GOLFERS,
    INVITES,
    LESSONS,
    MADE,
    READINGS,
    REFERENCES,
    RETENTION,
    SESSIONS,
    STAGES,
    TICKS,
)

SHORTEST_DAYS = 7
"""A rule that is shorter is more likely a slip."""


@dataclass(frozen=True, slots=True)
class Due:
    """What one rule lets go of."""

    kind: Kept
    days: int
    ids: tuple[str, ...]
    """Of what goes; of practice and audit, how many stand in `count`."""
    count: int
    oldest: datetime | None


def save_retention(library: Library, kind: Kept, days: int | None, by: str) -> None:
    """Set how many days something is kept; None lets it stay for ever.

    Raises SettingError for less than a week.
    """
    if days is not None and days < SHORTEST_DAYS:
        raise SettingError(
            f"{kind.value} were to be kept for {days} days",
            f"at least {SHORTEST_DAYS} were expected",
            "give days (30d), months (18m) or years (3y), or `ever`",
        )
    with library.database.writing() as connection:
        connection.execute(delete(RETENTION).where(RETENTION.c.kind == kind))
        if days is not None:
            rule = Retention(kind, days, library.now(), by)
            connection.execute(insert(RETENTION).values(values_of(rule)))
        line = values_of(AuditLine(library.now(), by, f"kept: {kind.value}", "", {"days": days}))
        del line["id"]
        connection.execute(insert(AUDIT).values(line))


def load_retention(library: Library) -> tuple[Retention, ...]:
    """The rules that hold."""
    with library.database.reading() as connection:
        return many(connection, Retention, select(RETENTION).order_by(RETENTION.c.kind))


def load_due(library: Library) -> tuple[Due, ...]:
    """What the rules let go of today; nothing is changed."""
    found = []
    for rule in load_retention(library):
        before = library.now() - timedelta(days=rule.days)
        with library.database.reading() as connection:
            rows = [tuple(row) for row in connection.execute(_old(rule.kind, before))]
        if rows:
            oldest = min(row[1] for row in rows if row[1] is not None)
            ids = tuple(str(row[0]) for row in rows)
            found.append(Due(rule.kind, rule.days, ids, len(ids), oldest))
    return tuple(found)


def save_let_go(library: Library, by: str) -> tuple[Due, ...]:
    """Let go of what is due, now, and of what nobody can use any more; gives what went.

    Golfers go first, so that what is theirs is not gone through again.
    """
    order = (Kept.GOLFER, *(kind for kind in Kept if kind is not Kept.GOLFER))
    gone = []
    for kind in order:
        for due in load_due(library):
            if due.kind is kind:
                _let_go(library, due, by)
                gone.append(due)
    _end_sessions(library)
    library.tidy()
    return tuple(gone)


def _let_go(library: Library, due: Due, by: str) -> None:
    if due.kind is Kept.GOLFER:
        for name in due.ids:
            save_golfer_removed(library, name, by)
        return
    if due.kind is Kept.CLIP:
        for name in due.ids:
            save_clip_removed(library, name, by)
        return
    tables = {Kept.PRACTICE: (TICKS, CHECK_INS), Kept.LESSON: (LESSONS,), Kept.READING: (READINGS,),
              Kept.AUDIT: (AUDIT,)}  # fmt: skip
    with library.database.alone() as connection:
        for start in range(0, len(due.ids), 400):
            ids = due.ids[start : start + 400]
            if due.kind is Kept.READING:
                _let_readings_go(library, connection, ids)
            if due.kind is Kept.LESSON:
                of_lessons = ATTACHMENTS.c.lesson.in_(ids)
                library.let_go(connection, attached_files(connection, of_lessons))
                save_unmade(library, connection, MADE.c.lesson.in_(ids))
            chosen: tuple[Any, ...] = tuple(map(int, ids)) if due.kind is Kept.AUDIT else ids
            for table in tables[due.kind]:
                connection.execute(delete(table).where(table.c.id.in_(chosen)))
        line = values_of(
            AuditLine(library.now(), by, f"{due.kind.value} let go", "", {"n": due.count})
        )
        del line["id"]
        connection.execute(insert(AUDIT).values(line))


def _let_readings_go(library: Library, connection: Any, ids: tuple[str, ...]) -> None:
    """Their files, and what was made of those clips, which can be read again."""
    chosen = READINGS.c.id.in_(ids)
    hashes = select(READINGS.c.sha256).where(chosen)
    files: list[str | None] = []
    for column in (READINGS.c.seen_key, READINGS.c.reading_key):
        files += connection.execute(select(column).where(chosen)).scalars()
    stages = STAGES.c.sha256.in_(hashes)
    files += connection.execute(select(STAGES.c.file_key).where(stages)).scalars()
    save_unmade(library, connection, MADE.c.sha256.in_(hashes))
    connection.execute(delete(STAGES).where(stages))
    library.let_go(connection, files)


def _end_sessions(library: Library) -> None:
    """Sessions and invitations that are over open nothing any more."""
    with library.database.writing() as connection:
        connection.execute(delete(SESSIONS).where(SESSIONS.c.ends_at < library.now()))
        connection.execute(delete(INVITES).where(INVITES.c.ends_at < library.now()))


def _old(kind: Kept, before: datetime) -> Select[Any]:
    """Ids, and since when, of what a rule lets go of."""
    if kind is Kept.CLIP:
        compared = CLIPS.c.id.in_(select(REFERENCES.c.clip))
        return select(CLIPS.c.id, CLIPS.c.added_at).where(CLIPS.c.added_at < before, ~compared)
    if kind is Kept.READING:
        at_rest = READINGS.c.state.in_([State.READY, State.REFUSED, State.FAILED])
        return select(READINGS.c.id, READINGS.c.done_at).where(READINGS.c.done_at < before, at_rest)
    if kind is Kept.LESSON:
        return select(LESSONS.c.id, LESSONS.c.changed_at).where(LESSONS.c.changed_at < before)
    if kind is Kept.AUDIT:
        return select(AUDIT.c.id, AUDIT.c.at).where(AUDIT.c.at < before)
    if kind is Kept.PRACTICE:
        ticks = select(TICKS.c.id, TICKS.c.ticked_at).where(TICKS.c.ticked_at < before)
        sent = select(CHECK_INS.c.id, CHECK_INS.c.sent_at).where(CHECK_INS.c.sent_at < before)
        return select(ticks.union_all(sent).subquery())
    return _old_golfers(before)


def _old_golfers(before: datetime) -> Select[Any]:
    """Golfers for whom nothing happened since; those with nothing at all stay."""
    happened = [
        select(CLIPS.c.golfer.label("golfer"), CLIPS.c.added_at.label("at")),
        select(LESSONS.c.golfer, LESSONS.c.changed_at),
        select(TICKS.c.golfer, TICKS.c.ticked_at),
        select(CHECK_INS.c.golfer, CHECK_INS.c.sent_at),
    ]
    every = happened[0].union_all(*happened[1:]).subquery()
    last = select(every.c.golfer, func.max(every.c.at).label("at")).group_by(every.c.golfer)
    newest = last.subquery()
    past: ColumnElement[bool] = newest.c.at < before
    return (
        select(GOLFERS.c.id, newest.c.at).join(newest, newest.c.golfer == GOLFERS.c.id).where(past)
    )
