"""Readings: asked for once, claimed by who works on them, shown when they are whole."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from causeline.errors import StoreError
from causeline.model.clip import Hand, View
from causeline.model.library import Content, ReadingEntry, State, SwingEntry, new_id
from causeline.model.reading import Reading
from causeline.model.seen import Seen
from causeline.store.library import Library
from causeline.store.library_claims import is_dead, new_claim
from causeline.store.reading_file import load_reading_bytes, save_as_bytes
from causeline.store.rows import add_absent, many, needed, one, record_of, values_of
from causeline.store.seen_file import load_seen, save_seen_as_bytes
from causeline.store.tables import CLIPS, READINGS, STAGES, SWINGS

MOST_TRIES = 3
"""A reading whose process died this often is not tried again by itself."""
_DIED = (
    f"The program that read this clip ended {MOST_TRIES} times without a word. "
    "The clip may need more memory than there is. Ask for the reading again to try once more."
)


class ReadingBook:
    """The book of readings that the hallway works from."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._database = library.database

    def ask(self, key: str, sha256: str, settings: Content, engine: Content) -> ReadingEntry:
        """The reading of that key, asked for now where it was not before, or had failed."""
        entry = ReadingEntry(
            id=new_id(),
            key=key,
            sha256=sha256,
            settings=settings,
            engine=engine,
            state=State.WAITING,
            asked_at=self._library.now(),
        )
        mine = READINGS.c.key == key
        again = {"state": State.WAITING, "tries": 0, "error": "", "claim": "", "done_at": None}
        with self._database.writing() as connection:
            add_absent(connection, READINGS, [values_of(entry)])
            failed = (mine, READINGS.c.state == State.FAILED)
            connection.execute(update(READINGS).where(*failed).values(again))
            # Asked for again, a ready one is the newest: what holds now, as after an undone ruling.
            ready = (mine, READINGS.c.state == State.READY)
            connection.execute(update(READINGS).where(*ready).values(asked_at=entry.asked_at))
            row = connection.execute(select(READINGS.c.id).where(mine)).scalar_one()
            return needed(connection, ReadingEntry, READINGS, row)

    def get(self, name: str) -> ReadingEntry:
        """The reading of that id. Raises StoreError where there is none."""
        return load_reading_entry(self._library, name)

    def waiting(self, limit: int) -> tuple[str, ...]:
        """Ids of readings that nobody works on, the longest asked for first."""
        query = (
            select(READINGS.c.id)
            .where(READINGS.c.state == State.WAITING)
            .order_by(READINGS.c.asked_at, READINGS.c.id)
            .limit(limit)
        )
        with self._database.reading() as connection:
            return tuple(connection.execute(query).scalars())

    def working(self) -> tuple[ReadingEntry, ...]:
        """Readings that somebody claimed and has not finished."""
        with self._database.reading() as connection:
            query = select(READINGS).where(READINGS.c.state == State.WORKING)
            return many(connection, ReadingEntry, query)

    def counts(self) -> dict[State, int]:
        """How many readings there are in each state."""
        query = select(READINGS.c.state, func.count()).group_by(READINGS.c.state)
        with self._database.reading() as connection:
            found = {row[0]: int(row[1]) for row in connection.execute(query)}
        return {state: found.get(state, 0) for state in State}

    def claim(self, name: str) -> ReadingEntry | None:
        """Take a waiting reading for this process; None where somebody else was quicker."""
        free = (READINGS.c.id == name, READINGS.c.state == State.WAITING)
        taken = {
            "state": State.WORKING,
            "claim": new_claim(),
            "tries": READINGS.c.tries + 1,
            "stage": "",
            "done": 0,
            "total": 0,
        }
        with self._database.writing() as connection:
            if connection.execute(update(READINGS).where(*free).values(taken)).rowcount == 0:
                return None
            return needed(connection, ReadingEntry, READINGS, name)

    def beat(self, entry: ReadingEntry, stage: str, done: int, total: int) -> bool:
        """Say that the work goes on, and how far it is; False where it is no longer this one's."""
        values = {"beat": READINGS.c.beat + 1, "stage": stage, "done": done, "total": total}
        with self._database.writing() as connection:
            change = update(READINGS).where(*_mine(entry)).values(values)
            return connection.execute(change).rowcount > 0

    def tell(self, entry: ReadingEntry, first_look: Content) -> None:
        """Show how the clip is filmed, while the work goes on."""
        with self._database.writing() as connection:
            change = update(READINGS).where(*_mine(entry)).values(first_look=dict(first_look))
            connection.execute(change)

    def is_dead(self, entry: ReadingEntry) -> bool:
        """Whether the process that works on it is surely gone."""
        return is_dead(entry.claim)

    def release(self, entry: ReadingEntry) -> bool:
        """Let others take a reading whose worker is gone; False where it gave a sign meanwhile."""
        silent = (*_mine(entry), READINGS.c.beat == entry.beat)
        over = entry.tries >= MOST_TRIES
        values = {"state": State.FAILED, "error": _DIED} if over else {"state": State.WAITING}
        with self._database.writing() as connection:
            change = update(READINGS).where(*silent).values({**values, "claim": ""})
            return connection.execute(change).rowcount > 0

    @contextmanager
    def clip(self, sha256: str) -> Iterator[Path]:
        """The clip as a file. Raises StoreError where it is not there."""
        with self._library.vault.on_disk(sha256) as path:
            yield path

    def seen(self, stage: str) -> tuple[Seen, str] | None:
        """What was seen under that key, and its file; None where it was not kept, or is damaged."""
        with self._database.reading() as connection:
            query = select(STAGES.c.file_key).where(STAGES.c.key == stage)
            key = connection.execute(query).scalar()
        if key is None or not self._library.vault.has(key) or not self._library.vault.is_sound(key):
            return None
        return _seen_kept(self._library, str(key)), str(key)

    def keep_seen(self, entry: ReadingEntry, stage: str, seen: Seen) -> str | None:
        """Keep what was seen under that key; gives the file's key in the vault.

        None where the work is no longer this one's: the clip may have been deleted.
        """
        with self._library.keeping(save_seen_as_bytes(seen)) as (connection, key):
            if connection.execute(select(READINGS.c.id).where(*_mine(entry))).first() is None:
                self._library.let_go(connection, [key])
                return None
            connection.execute(delete(STAGES).where(STAGES.c.key == stage))
            row = {"key": stage, "sha256": entry.sha256, "file_key": key}
            connection.execute(insert(STAGES).values(row))
            return key

    def finish(self, entry: ReadingEntry, reading: Reading, seen_key: str) -> bool:
        """Show the reading, whole; False where it is no longer this one's to finish."""
        values = {
            "state": State.READY,
            "seen_key": seen_key,
            "done_at": self._library.now(),
            "claim": "",
            "error": "",
        }
        with self._library.keeping(save_as_bytes(reading)) as (connection, key):
            change = update(READINGS).where(*_mine(entry)).values({**values, "reading_key": key})
            finished = connection.execute(change).rowcount > 0
            if finished:
                _write_swings(connection, entry, reading)
            else:
                self._library.let_go(connection, [key])
            return finished

    def refuse(self, entry: ReadingEntry, error: str, *, final: bool) -> bool:
        """Say why there is no reading; `final` where trying again would say the same."""
        state = State.REFUSED if final else State.FAILED
        values = {"state": state, "error": error, "done_at": self._library.now(), "claim": ""}
        with self._database.writing() as connection:
            change = update(READINGS).where(*_mine(entry)).values(values)
            return connection.execute(change).rowcount > 0


def load_reading_entry(library: Library, name: str) -> ReadingEntry:
    """The reading of that id. Raises StoreError where there is none."""
    with library.database.reading() as connection:
        return needed(connection, ReadingEntry, READINGS, name)


def load_reading_of(library: Library, sha256: str, *, ready: bool = False) -> ReadingEntry | None:
    """The newest reading of a clip, in whatever state or only a ready one; None where none is."""
    query = select(READINGS).where(READINGS.c.sha256 == sha256)
    if ready:
        query = query.where(READINGS.c.state == State.READY)
    with library.database.reading() as connection:
        query = query.order_by(READINGS.c.asked_at.desc(), READINGS.c.id).limit(1)
        return one(connection, ReadingEntry, query)


def load_unread(library: Library) -> tuple[tuple[ReadingEntry, str], ...]:
    """Readings that were refused or failed, each with a name of its clip."""
    name = select(CLIPS.c.name).where(CLIPS.c.sha256 == READINGS.c.sha256).limit(1)
    query = (
        select(READINGS, name.scalar_subquery().label("clip_name"))
        .where(READINGS.c.state.in_([State.REFUSED, State.FAILED]))
        .order_by(READINGS.c.asked_at, READINGS.c.id)
    )
    with library.database.reading() as connection:
        rows = connection.execute(query).mappings()
        return tuple((record_of(ReadingEntry, row), row["clip_name"] or "") for row in rows)


def load_reading_content(library: Library, entry: ReadingEntry) -> dict[str, Any]:
    """The reading file of a ready reading, as plain data.

    Raises StoreError where it is not there or damaged, ReadingFileError where it is of another
    version.
    """
    if entry.reading_key is None:
        raise StoreError(
            f"the reading {entry.id} is {entry.state}",
            "one that is ready was expected",
            "wait until it is done, or see why it is not",
        )
    return load_reading_bytes(library.vault.read(entry.reading_key), f"the reading {entry.id}")


def load_seen_kept(library: Library, key: str) -> Seen:
    """What was seen of a clip, from its file in the vault. Raises StoreError."""
    with library.vault.on_disk(key) as path:
        return load_seen(path)


@lru_cache(maxsize=4)
def _seen_kept(library: Library, key: str) -> Seen:
    """The same record for the same file: who judges it again need not clean its tracks again."""
    return load_seen_kept(library, key)


def load_swings(library: Library, reading: str) -> tuple[SwingEntry, ...]:
    """The swings of a reading, in order."""
    query = select(SWINGS).where(SWINGS.c.reading == reading).order_by(SWINGS.c.number)
    with library.database.reading() as connection:
        return many(connection, SwingEntry, query)


def _mine(entry: ReadingEntry) -> tuple[Any, ...]:
    """Still in the hands of who claimed it."""
    return (
        READINGS.c.id == entry.id,
        READINGS.c.state == State.WORKING,
        READINGS.c.claim == entry.claim,
    )


def _write_swings(connection: Connection, entry: ReadingEntry, reading: Reading) -> None:
    connection.execute(delete(SWINGS).where(SWINGS.c.reading == entry.id))
    for number, swing in enumerate(reading.swings, 1):
        cause = swing.findings.cause if swing.findings else None
        row = SwingEntry(
            reading=entry.id,
            number=number,
            first_frame=int(swing.first_frame),
            last_frame=int(swing.last_frame),
            rehearsal=bool(swing.rehearsal),
            view=View(reading.view.name),
            hand=Hand(reading.hand.name),
            cause=cause.name if cause else None,
        )
        connection.execute(insert(SWINGS).values(values_of(row)))
