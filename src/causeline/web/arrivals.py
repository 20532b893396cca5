"""Taking a file in: looked at behind the fence, kept once, its reading asked for."""

from __future__ import annotations

import errno
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import NamedTemporaryFile, gettempdir
from typing import IO

from causeline.errors import CauselineError, OutputError
from causeline.model.clip import Clip
from causeline.model.library import ClipCard, ClipEntry, Coach, GolferEntry, State
from causeline.reading.first import run_first_advice
from causeline.render.chain import render_fault_title
from causeline.render.words import VIEW_WORDS
from causeline.store.library_clips import (
    ClipNotes,
    load_recent_cards,
    load_same_clip,
    save_clip,
)
from causeline.store.library_people import load_golfers
from causeline.web.asking import clip_settings
from causeline.web.contract.intake import ClipTold, SwingTold
from causeline.web.desk import Desk
from causeline.web.shelf import swing_name
from causeline.web.words import STATE_WORDS, state_of

SHOWN = 24
"""Clips among what came last."""
CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class Came:
    """One file that was taken."""

    clip: ClipEntry
    same: bool


def take_in(desk: Desk, golfer: GolferEntry, path: Path, notes: ClipNotes) -> Came:
    """Keep a file as a golfer's clip, and ask for its reading.

    Raises ClipError where it is no clip: then nothing was kept. OutputError where there is no room.
    """
    key = desk.library.vault.key_of(path)
    known = load_same_clip(desk.library, golfer.id, key)
    if known is None:
        notes = _dated(desk, golfer, notes, _look(desk, path, notes.name))
    clip = save_clip(desk.library, golfer.id, path, notes)
    desk.readings.ask(clip.sha256, clip_settings(golfer.golfer, clip))
    return Came(clip, known is not None)


def _dated(desk: Desk, golfer: GolferEntry, notes: ClipNotes, film: Clip) -> ClipNotes:
    """With the day that the film itself tells, where nobody said one."""
    own = film.recorded_on(golfer.golfer.time_zone, desk.library.now())
    return replace(notes, filmed_on=notes.filmed_on or own)


def _look(desk: Desk, path: Path, name: str) -> Clip:
    """What the film is.

    Raises ClipError under the file's own name: where it lies here is nobody's business.
    """
    try:
        return desk.probe(path)
    except CauselineError as error:
        for own in (str(path), path.name):
            error.came = error.came.replace(own, name)
        raise


@contextmanager
def room_for_file() -> Iterator[tuple[IO[bytes], Path]]:
    """A file that is gone afterwards. Raises OutputError where the disk is full."""
    try:
        with NamedTemporaryFile(prefix="causeline-in-", dir=gettempdir(), delete=False) as file:
            path = Path(file.name)
            try:
                yield file, path
            finally:
                with suppress(OSError):
                    path.unlink()
    except OSError as error:
        if error.errno not in (errno.ENOSPC, errno.EDQUOT):
            raise
        raise OutputError(
            "there is no room on the disk for this clip",
            "room for the clip was expected",
            "make room, and send it again; nothing that was here is lost",
        ) from error


async def fill(file: IO[bytes], chunks: AsyncIterator[bytes]) -> None:
    """Write what comes to the file, as it comes: nothing large is held in memory."""
    async for chunk in chunks:
        file.write(chunk)
    file.flush()


def arrivals(desk: Desk, coach: Coach) -> tuple[ClipTold, ...]:
    """The clips that came last, each with how far its reading is."""
    golfers = {one.id: one for one in load_golfers(desk.library, coach.id)}
    cards = load_recent_cards(desk.library, coach.id, SHOWN)
    return tuple(clip_told(desk, card, golfers[card.entry.golfer]) for card in cards)


def clip_told(desk: Desk, card: ClipCard, golfer: GolferEntry) -> ClipTold:
    """A clip as the list of arrivals has it."""
    reading, state = card.reading, state_of(card)
    return ClipTold(
        id=card.entry.id,
        name=card.entry.name,
        golfer=golfer.golfer.name,
        golfer_at=f"/golfers/{golfer.id}",
        picture=f"/clips/{card.entry.id}/first.jpg",
        state=(state or State.WAITING).value,
        state_words=STATE_WORDS[state],
        stage=reading.stage if reading and state is State.WORKING else "",
        done=reading.done if reading else 0,
        total=reading.total if reading else 0,
        why=reading.error if reading else "",
        swings=tuple(
            SwingTold(
                at=f"/sheet/{swing_name(card.entry.id, one.number)}",
                words="Open the sheet" if len(card.swings) == 1 else f"Swing {one.number}",
                cause=render_fault_title(one.cause) if one.cause else "",
            )
            for one in card.swings
            if not one.rehearsal or len(card.swings) == 1
        ),
        advice=_advice(desk, card) if state in (State.WAITING, State.WORKING) else (),
    )


_advised: dict[str, tuple[str, ...]] = {}


def _advice(desk: Desk, card: ClipCard) -> tuple[str, ...]:
    """How it was filmed: as a first look tells, before that as the file alone does."""
    look = card.reading.first_look if card.reading else None
    if look is None:
        return _of_file(desk, card.entry)
    views = (words for view, words in VIEW_WORDS.items() if view == look["view"])
    return (f"Seen {next(views, look['view'])}.", *look["advice"])


def _of_file(desk: Desk, clip: ClipEntry) -> tuple[str, ...]:
    """Looked at once while the program runs."""
    if clip.sha256 not in _advised:
        with desk.library.vault.on_disk(clip.sha256) as path:
            told = run_first_advice(desk.probe(path))
        _advised[clip.sha256] = tuple(one.advice for one in told)
    return _advised[clip.sha256]
