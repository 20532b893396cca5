"""A golfer's clips, what people changed of their readings, and swings kept to compare with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Connection, delete, select, update

from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.library import (
    ClipCard,
    ClipEntry,
    Judgement,
    Purpose,
    ReadingEntry,
    Reference,
    SwingEntry,
    Touch,
    new_id,
)
from causeline.store.library import Library
from causeline.store.library_consent import check_allowed
from causeline.store.rows import add, many, needed, one, save_version, values_of
from causeline.store.tables import CLIPS, GOLFERS, JUDGEMENTS, READINGS, REFERENCES, SWINGS

PAGE = 50


@dataclass(frozen=True, slots=True)
class ClipNotes:
    """What is known of a clip when it comes in."""

    name: str
    """The file's own name, to show; what comes before the last slash is left out."""
    view: View | None = None
    club: ClubSort | None = None
    capture_hz: float | None = None
    filmed_on: date | None = None
    said: str = ""


def save_clip(library: Library, golfer: str, content: Path | bytes, notes: ClipNotes) -> ClipEntry:
    """Keep a golfer's clip. The same file sent twice is the same clip: the first entry comes back.

    Raises OutputError where there is no room, StoreError where the golfer is not there.
    """
    size = len(content) if isinstance(content, bytes) else content.stat().st_size
    with library.keeping(content) as (connection, key):
        known = _same(connection, golfer, key)
        if known is not None:
            return known
        entry = ClipEntry(
            id=new_id(),
            golfer=golfer,
            sha256=key,
            name=_shown(notes.name),
            size=size,
            added_at=library.now(),
            view=notes.view,
            club=notes.club,
            capture_hz=notes.capture_hz,
            filmed_on=notes.filmed_on,
            said=notes.said,
        )
        return save_version(connection, CLIPS, entry, values_of(entry))


def load_same_clip(library: Library, golfer: str, key: str) -> ClipEntry | None:
    """The golfer's clip with that content; None where it is not there."""
    with library.database.reading() as connection:
        return _same(connection, golfer, key)


def load_clip_of(library: Library, key: str) -> ClipEntry | None:
    """The clip with that content that came first, whoever's it is; None where nobody has it."""
    query = select(CLIPS).where(CLIPS.c.sha256 == key).order_by(CLIPS.c.added_at, CLIPS.c.id)
    with library.database.reading() as connection:
        return one(connection, ClipEntry, query.limit(1))


def _same(connection: Connection, golfer: str, key: str) -> ClipEntry | None:
    same = (CLIPS.c.golfer == golfer, CLIPS.c.sha256 == key)
    return one(connection, ClipEntry, select(CLIPS).where(*same))


def save_clip_notes(library: Library, entry: ClipEntry) -> ClipEntry:
    """Save what is known of a clip; raises Outdated where somebody saved a newer version."""
    with library.database.writing() as connection:
        return save_version(connection, CLIPS, entry, values_of(entry))


def load_clip(library: Library, name: str) -> ClipEntry:
    """The clip of that id. Raises StoreError where there is none."""
    with library.database.reading() as connection:
        return needed(connection, ClipEntry, CLIPS, name)


def load_clips(
    library: Library, golfer: str, before: datetime | None = None, limit: int = PAGE
) -> tuple[ClipEntry, ...]:
    """A page of a golfer's clips, the newest first; `before` is when the last page ended."""
    with library.database.reading() as connection:
        return _clips(connection, golfer, before, limit)


def load_clip_cards(
    library: Library, golfer: str, before: datetime | None = None, limit: int = PAGE
) -> tuple[ClipCard, ...]:
    """As `load_clips`, each with its newest reading and that one's swings; three queries in all."""
    with library.database.reading() as connection:
        return _cards(connection, _clips(connection, golfer, before, limit))


def load_recent_cards(library: Library, coach: str, limit: int = PAGE) -> tuple[ClipCard, ...]:
    """The clips that came last to a coach's golfers, the newest first, as `load_clip_cards`."""
    query = (
        select(CLIPS)
        .join(GOLFERS, GOLFERS.c.id == CLIPS.c.golfer)
        .where(GOLFERS.c.coach == coach)
        .order_by(CLIPS.c.added_at.desc(), CLIPS.c.id)
        .limit(limit)
    )
    with library.database.reading() as connection:
        return _cards(connection, many(connection, ClipEntry, query))


def _cards(connection: Connection, clips: tuple[ClipEntry, ...]) -> tuple[ClipCard, ...]:
    hashes = [clip.sha256 for clip in clips]
    asked = select(READINGS).where(READINGS.c.sha256.in_(hashes)).order_by(READINGS.c.asked_at)
    readings = {each.sha256: each for each in many(connection, ReadingEntry, asked)}
    ids = [reading.id for reading in readings.values()]
    found = select(SWINGS).where(SWINGS.c.reading.in_(ids)).order_by(SWINGS.c.number)
    swings = many(connection, SwingEntry, found)
    return tuple(_card(clip, readings.get(clip.sha256), swings) for clip in clips)


def _clips(
    connection: Connection, golfer: str, before: datetime | None, limit: int
) -> tuple[ClipEntry, ...]:
    query = select(CLIPS).where(CLIPS.c.golfer == golfer)
    if before is not None:
        query = query.where(CLIPS.c.added_at < before)
    query = query.order_by(CLIPS.c.added_at.desc(), CLIPS.c.id).limit(limit)
    return many(connection, ClipEntry, query)


def _card(
    clip: ClipEntry, reading: ReadingEntry | None, swings: tuple[SwingEntry, ...]
) -> ClipCard:
    own = tuple(each for each in swings if reading is not None and each.reading == reading.id)
    return ClipCard(clip, reading, own)


def save_judgement(library: Library, judgement: Judgement) -> Judgement:
    """Keep a ruling or a correction."""
    with library.database.writing() as connection:
        add(connection, JUDGEMENTS, judgement)
    return judgement


def save_judgement_withdrawn(library: Library, name: str) -> None:
    """Take a ruling or a correction back; it stays on record."""
    held = (JUDGEMENTS.c.id == name, JUDGEMENTS.c.withdrawn_at.is_(None))
    with library.database.writing() as connection:
        connection.execute(update(JUDGEMENTS).where(*held).values(withdrawn_at=library.now()))


def load_judgements(library: Library, clip: str) -> tuple[Judgement, ...]:
    """What people changed of a clip's readings and still holds, in order."""
    query = (
        select(JUDGEMENTS)
        .where(JUDGEMENTS.c.clip == clip, JUDGEMENTS.c.withdrawn_at.is_(None))
        .order_by(JUDGEMENTS.c.made_at, JUDGEMENTS.c.id)
    )
    with library.database.reading() as connection:
        return many(connection, Judgement, query)


def load_pairings(library: Library, golfer: str) -> tuple[Judgement, ...]:
    """What people said of which of a golfer's swings go together and still holds, in order."""
    query = (
        select(JUDGEMENTS)
        .join(CLIPS, CLIPS.c.id == JUDGEMENTS.c.clip)
        .where(CLIPS.c.golfer == golfer)
        .where(JUDGEMENTS.c.touch == Touch.PAIR, JUDGEMENTS.c.withdrawn_at.is_(None))
        .order_by(JUDGEMENTS.c.made_at, JUDGEMENTS.c.id)
    )
    with library.database.reading() as connection:
        return many(connection, Judgement, query)


def save_reference(library: Library, reference: Reference) -> Reference:
    """Keep a swing to compare with. Raises NotAgreed where its golfer does not let it be shown."""
    with library.database.writing() as connection:
        owner = needed(connection, ClipEntry, CLIPS, reference.clip).golfer
        check_allowed(connection, owner, Purpose.REFERENCE)
        add(connection, REFERENCES, reference)
    return reference


def save_reference_removed(library: Library, name: str) -> None:
    """No longer compare with that swing; its clip stays."""
    with library.database.writing() as connection:
        connection.execute(delete(REFERENCES).where(REFERENCES.c.id == name))


def load_references(library: Library, coach: str) -> tuple[Reference, ...]:
    """A coach's swings to compare with, the newest first."""
    query = select(REFERENCES).where(REFERENCES.c.coach == coach)
    with library.database.reading() as connection:
        return many(connection, Reference, query.order_by(REFERENCES.c.added_at.desc()))


def _shown(name: str) -> str:
    """A name for the eye only: its last part, with nothing that does not print."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(letter if letter.isprintable() else "�" for letter in last)[:255]
