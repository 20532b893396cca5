"""Talk-throughs: what came of a take second by second, and the whole once it is closed.

A part is kept once, however often it is sent: who lost the connection sends it again. A take is
closed when every part is there; its sound is then one file of the vault.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, func, select, update

from causeline.errors import StoreError, TalkFileError
from causeline.model.lesson import SwingRef
from causeline.model.library import Attachment, Kind
from causeline.model.talk import Event, Screen, Take, Talk, Voice
from causeline.store.library import Library
from causeline.store.library_lessons import save_attachment
from causeline.store.rows import add_absent, missing, needed, save_version, values_of
from causeline.store.tables import ATTACHMENTS, TAKE_PARTS, TAKES
from causeline.store.talk_file import (
    Spoken,
    load_events_text,
    load_pieces_plain,
    load_screen_text,
    load_swings_text,
    save_events_text,
    save_pieces_plain,
    save_screen_text,
    save_swings_text,
)

Row = dict[str, Any]
MOST_PARTS = 4000
"""Of a take: an hour, a second each, and some over."""


@dataclass(frozen=True, slots=True)
class TalkEntry:
    """A talk-through as it is kept."""

    attachment: Attachment
    talk: Talk
    """Of the takes that are closed."""
    going: tuple[Going, ...]
    """Takes that are not: being recorded now, or cut off."""


@dataclass(frozen=True, slots=True)
class Going:
    """A take that is not closed yet."""

    take: str
    parts: int
    """That came, of whatever number."""
    ends_ms: int
    """Where the last of them ends."""
    made_at: datetime


@dataclass(frozen=True, slots=True)
class Begun:
    """How a take begins."""

    take: str
    talk: str
    swings: tuple[SwingRef, ...]
    start: Screen
    voice_kind: str = ""
    """Empty where nobody is to speak."""
    voice_starts_ms: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """About a second of a take."""

    number: int
    """From 0."""
    events: tuple[Event, ...]
    sound: bytes
    ends_ms: int
    """Of the take's clock."""


def save_talk(library: Library, attachment: Attachment) -> None:
    """Begin a talk-through; what is there already under that id stays as it is."""
    if attachment.kind is not Kind.TALK_THROUGH:
        raise ValueError(f"got an attachment of kind {attachment.kind}; expected a talk-through")
    with library.database.writing() as connection:
        add_absent(connection, ATTACHMENTS, [{**values_of(attachment), "version": 1}])


def save_take_begun(library: Library, begun: Begun) -> None:
    """Begin a take; one that has begun stays as it is, but for swings that came onto the screen.

    Raises StoreError where the talk-through is not there, or another has that take.
    """
    with library.database.writing() as connection:
        needed(connection, Attachment, ATTACHMENTS, begun.talk)
        count = select(func.count()).where(TAKES.c.talk == begun.talk)
        row = {
            "id": begun.take,
            "talk": begun.talk,
            "place": connection.execute(count).scalar() or 0,
            "swings": save_swings_text(begun.swings),
            "start": save_screen_text(begun.start),
            "events": "[]",
            "lasts_ms": 0,
            "voice_kind": begun.voice_kind,
            "voice_starts_ms": begun.voice_starts_ms,
            "voice_key": None,
            "made_at": library.now(),
            "closed": False,
        }
        add_absent(connection, TAKES, [row])
        known = _row(connection, begun.talk, begun.take)
        before = load_swings_text(known["swings"])
        if not known["closed"] and begun.swings[: len(before)] == before:
            mine = TAKES.c.id == begun.take
            connection.execute(update(TAKES).where(mine).values(swings=row["swings"]))


def save_take_part(library: Library, talk: str, take: str, part: Part) -> None:
    """Keep a part; one of that number that is there already stays as it is.

    Raises StoreError where the take is not there. What comes after the take was closed is let go.
    """
    if not 0 <= part.number < MOST_PARTS:
        raise TalkFileError(f"part {part.number} came", f"0 to {MOST_PARTS - 1} were expected")
    with library.database.writing() as connection:
        if _row(connection, talk, take)["closed"]:
            return
        row = {
            "take": take,
            "number": part.number,
            "events": save_events_text(part.events),
            "sound": base64.b64encode(part.sound).decode(),
            "ends_ms": part.ends_ms,
        }
        add_absent(connection, TAKE_PARTS, [row])


def save_take_closed(
    library: Library, talk: str, take: str, parts: int | None = None, starts_ms: int | None = None
) -> Take:
    """Close a take of so many parts: its sound becomes a file. A closed one is given as it is.

    None takes the parts up to the first that is missing: what is left of a take that was cut off.
    `starts_ms` is where the sound begins, if that is known better now. Raises StoreError, which
    names the parts that have not come.
    """
    with library.database.reading() as connection:
        row = _row(connection, talk, take)
        if row["closed"]:
            return _take_of(row)
        came = _parts(connection, take)
    numbers = [one["number"] for one in came]
    count = _unbroken(numbers) if parts is None else parts
    lacking = sorted(set(range(count)) - set(numbers))
    if lacking:
        raise StoreError(
            f"parts {', '.join(map(str, lacking[:20]))} of the take have not come",
            f"all of {count} were expected",
            "send them, then close the take",
        )
    if starts_ms is not None:
        row["voice_starts_ms"] = starts_ms
    return _save_whole(library, row, came[:count])


def save_take_removed(library: Library, talk: str, take: str) -> None:
    """Delete a take with its sound. Raises StoreError where it is not there, or is played."""
    with library.database.alone() as connection:
        row = _row(connection, talk, take)
        content = needed(connection, Attachment, ATTACHMENTS, talk).content
        if any(piece.take == take for piece in load_pieces_plain(content.get("pieces", []))):
            raise StoreError(
                "a take that the talk-through plays was to be deleted",
                "one that is cut away whole was expected",
                "cut it away first",
            )
        library.let_go(connection, [row["voice_key"]])
        connection.execute(delete(TAKES).where(TAKES.c.id == take))
    library.tidy()


def load_talk_head(library: Library, name: str) -> Attachment:
    """Whose a talk-through is, and what is played. Raises StoreError where there is none."""
    with library.database.reading() as connection:
        attachment = needed(connection, Attachment, ATTACHMENTS, name)
    if attachment.kind is not Kind.TALK_THROUGH:
        raise missing(ATTACHMENTS, name)
    return attachment


def load_talk(library: Library, name: str) -> TalkEntry:
    """A talk-through. Raises StoreError where there is none, TalkFileError for a damaged one."""
    with library.database.reading() as connection:
        attachment = needed(connection, Attachment, ATTACHMENTS, name)
        if attachment.kind is not Kind.TALK_THROUGH:
            raise missing(ATTACHMENTS, name)
        query = select(TAKES).where(TAKES.c.talk == name).order_by(TAKES.c.place, TAKES.c.made_at)
        rows = [dict(row) for row in connection.execute(query).mappings()]
        going = tuple(_going(connection, row) for row in rows if not row["closed"])
    takes = tuple(_take_of(row) for row in rows if row["closed"])
    pieces = load_pieces_plain(attachment.content.get("pieces", []))
    title = str(attachment.content.get("title", ""))
    try:
        return TalkEntry(attachment, Talk(takes, pieces, title), going)
    except ValueError as error:
        raise TalkFileError(f"a talk-through does not hold together: {error}") from error


def load_talks(library: Library, golfer: str, lesson: str | None = None) -> tuple[Attachment, ...]:
    """A golfer's talk-throughs, or those of one lesson, the oldest first."""
    query = select(ATTACHMENTS).where(
        ATTACHMENTS.c.golfer == golfer, ATTACHMENTS.c.kind == Kind.TALK_THROUGH
    )
    if lesson is not None:
        query = query.where(ATTACHMENTS.c.lesson == lesson)
    with library.database.reading() as connection:
        rows = connection.execute(query.order_by(ATTACHMENTS.c.made_at)).mappings()
        return tuple(Attachment(**row) for row in rows)


def load_spoken(library: Library, talk: Talk) -> Spoken:
    """A talk-through with the sound of its takes."""
    sounds = {
        take.id: library.vault.read(take.voice.key)
        for take in talk.takes
        if take.voice is not None and take.voice.key
    }
    return Spoken(talk, sounds)


def save_pieces(library: Library, entry: TalkEntry, talk: Talk) -> Attachment:
    """Save what is played, and the title; gives the attachment with its new version.

    A film of what was played before goes. Raises Outdated where another tab saved meanwhile:
    nothing is overwritten.
    """
    content = {
        "pieces": save_pieces_plain(talk.pieces),
        "title": talk.title,
    }
    before = entry.attachment
    changed = replace(before, content={**before.content, **content, "film": ""}, file_key=None)
    with library.database.writing() as connection:
        library.let_go(connection, [before.file_key])
        return save_version(connection, ATTACHMENTS, changed, values_of(changed))


def save_talk_film(library: Library, entry: TalkEntry, film: bytes, mark: str) -> Attachment:
    """Keep a film with the talk-through that it shows; `mark` says of what exactly it is.

    Raises Outdated where the talk-through was changed meanwhile.
    """
    content = {**entry.attachment.content, "film": mark, "type": "video/mp4"}
    return save_attachment(library, replace(entry.attachment, content=content), film)


def _row(connection: Connection, talk: str, take: str) -> Row:
    query = select(TAKES).where(TAKES.c.id == take, TAKES.c.talk == talk)
    row = connection.execute(query).mappings().first()
    if row is None:
        raise missing(TAKES, take)
    return dict(row)


def _parts(connection: Connection, take: str) -> list[Row]:
    query = select(TAKE_PARTS).where(TAKE_PARTS.c.take == take).order_by(TAKE_PARTS.c.number)
    return [dict(row) for row in connection.execute(query).mappings()]


def _unbroken(numbers: Sequence[int]) -> int:
    """How many parts there are before the first that is missing."""
    count = 0
    while count < len(numbers) and numbers[count] == count:
        count += 1
    return count


def _save_whole(library: Library, row: Row, parts: Sequence[Row]) -> Take:
    """Put the parts together, keep the sound as a file, and the parts no more."""
    events = tuple(event for part in parts for event in load_events_text(part["events"], "a part"))
    sound = b"".join(base64.b64decode(part["sound"]) for part in parts)
    ends_ms = max((part["ends_ms"] for part in parts), default=0)
    values = {
        "events": save_events_text(events),
        "lasts_ms": max([ends_ms, *(event.at_ms for event in events)]),
        "voice_starts_ms": row["voice_starts_ms"],
        "voice_key": None,
        "closed": True,
    }
    take = _take_of({**row, **values})  # so that nothing is kept that could not be read
    if not sound:
        with library.database.writing() as connection:
            _close(connection, row["id"], values)
        return take
    with library.keeping(sound) as (connection, key):
        values["voice_key"] = key
        _close(connection, row["id"], values)
    return _take_of({**row, **values})


def _close(connection: Connection, take: str, values: Row) -> None:
    open_one = (TAKES.c.id == take, TAKES.c.closed.is_(False))
    connection.execute(update(TAKES).where(*open_one).values(values))
    connection.execute(delete(TAKE_PARTS).where(TAKE_PARTS.c.take == take))


def _going(connection: Connection, row: Row) -> Going:
    parts = _parts(connection, row["id"])
    ends_ms = max((part["ends_ms"] for part in parts), default=0)
    return Going(row["id"], len(parts), ends_ms, row["made_at"])


def _take_of(row: Row) -> Take:
    voice = None
    if row["voice_key"]:
        voice = Voice(row["voice_kind"], row["voice_starts_ms"], row["voice_key"])
    named = f"take {row['id'][:8]}"
    events = load_events_text(row["events"], named)
    swings = load_swings_text(row["swings"], named)
    start = load_screen_text(row["start"], named)
    try:
        return Take(row["id"], swings, start, events, row["lasts_ms"], voice)
    except ValueError as error:
        raise TalkFileError(f"{named} does not hold together: {error}") from error
