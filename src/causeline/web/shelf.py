"""Swings of the library, ready to be shown: found by name, loaded once, scoped to who asks.

A swing's name is `{clip}.{number}`: the clip's id and its place among the clip's swings, from 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from causeline.errors import StoreError
from causeline.model.clip import View
from causeline.model.findings import Findings, Ruling
from causeline.model.library import ClipEntry, Coach, GolferEntry, ReadingEntry, State
from causeline.model.reading import Reading
from causeline.reading.teaching import Shown, run_findings
from causeline.store.library import Library
from causeline.store.library_clips import load_clip, load_judgements
from causeline.store.library_people import load_golfer
from causeline.store.library_readings import load_reading_of, load_seen_kept
from causeline.store.reading_back import load_reading
from causeline.web.asking import clip_settings
from causeline.web.desk import Desk

KEPT = 24
"""Readings kept open: a sheet shows three or four; each is a few megabytes."""


@dataclass(frozen=True, slots=True, eq=False)
class ShelfSwing:
    """One swing of the library with everything about it."""

    golfer: GolferEntry
    clip: ClipEntry
    entry: ReadingEntry
    shown: Shown

    @property
    def name(self) -> str:
        """As addresses have it."""
        return swing_name(self.clip.id, self.shown.number)

    @property
    def view(self) -> View:
        """Where the camera stood."""
        return self.shown.view


def swing_name(clip: str, number: int) -> str:
    """A swing's name."""
    return f"{clip}.{number}"


def golfer_seen(desk: Desk, coach: Coach, name: str) -> GolferEntry:
    """The golfer, if this coach may see them. Raises StoreError, as for one who is not there."""
    golfer = load_golfer(desk.library, name)
    if golfer.coach != coach.id:
        raise StoreError(
            "there is no golfer of yours with that id",
            "one of your own golfers was expected",
            "see the list of golfers",
        )
    return golfer


def clip_seen(desk: Desk, coach: Coach, name: str) -> tuple[ClipEntry, GolferEntry]:
    """The clip, if this coach may see its golfer. Raises StoreError."""
    clip = load_clip(desk.library, name)
    return clip, golfer_seen(desk, coach, clip.golfer)


def swing_seen(desk: Desk, coach: Coach, name: str) -> ShelfSwing:
    """The swing of that name. Raises StoreError where it is not there, or is not read yet."""
    clip_id, _, number = name.partition(".")
    clip, golfer = clip_seen(desk, coach, clip_id)
    # While a newer one is on its way, the last that is ready is shown.
    entry = load_reading_of(desk.library, clip.sha256, ready=True) or _ready(desk, clip, golfer)
    reading = open_reading(desk.library, entry)
    if not number.isdigit() or not 1 <= int(number) <= len(reading.swings):
        raise StoreError(
            f"there is no swing {number or '?'} in {clip.name}",
            f"its reading has {len(reading.swings)}",
            "go to the golfer's page and choose one there",
        )
    return ShelfSwing(golfer, clip, entry, Shown(reading, int(number)))


def _ready(desk: Desk, clip: ClipEntry, golfer: GolferEntry) -> ReadingEntry:
    settings = clip_settings(golfer.golfer, clip, load_judgements(desk.library, clip.id))
    entry = desk.readings.judge(clip.sha256, settings)
    if entry.state is not State.READY:
        raise StoreError(
            f"{clip.name} is not read yet ({entry.state.value})",
            "a clip that is read was expected",
            "wait until it is; Clips in shows how far it is",
        )
    return entry


def open_reading(library: Library, entry: ReadingEntry) -> Reading:
    """A ready reading, from memory where it was open lately. Raises StoreError."""
    if entry.reading_key is None or entry.seen_key is None:
        raise StoreError("that reading is not ready", "one that is was expected", "wait for it")
    return _reading(library, entry.reading_key, entry.seen_key)


@lru_cache(maxsize=KEPT)
def _reading(library: Library, key: str, seen_key: str) -> Reading:
    clip = load_seen_kept(library, seen_key).clip
    with library.vault.on_disk(key) as path:
        return load_reading(path, clip)


def rulings_of(desk: Desk, *swings: ShelfSwing) -> tuple[Ruling, ...]:
    """What people said of the faults of a swing, in whichever of its clips."""
    return tuple(
        ruling
        for swing in swings
        for ruling in clip_settings(
            swing.golfer.golfer, swing.clip, load_judgements(desk.library, swing.clip.id)
        ).rulings
    )


def findings_of(desk: Desk, *swings: ShelfSwing) -> Findings:
    """What all views of one swing support together, with what people said of it."""
    readings = tuple((swing.shown.reading, swing.shown.number) for swing in swings)
    return _findings(readings, swings[0], rulings_of(desk, *swings))


def _findings(
    readings: tuple[tuple[Reading, int], ...], first: ShelfSwing, rulings: tuple[Ruling, ...]
) -> Findings:
    """Worked out once for the same readings and rulings: it takes some tenths of a second."""
    key = (tuple((id(reading), number) for reading, number in readings), first.clip.club, rulings)
    known = _kept.get(key)
    if known is not None and all(a is b for (a, _), (b, _) in zip(known[0], readings, strict=True)):
        return known[1]
    shown = [Shown(reading, number) for reading, number in readings]
    found = run_findings(shown, first.clip.club, rulings)
    while len(_kept) >= KEPT:
        _kept.pop(next(iter(_kept)))
    _kept[key] = (readings, found)
    return found


_kept: dict[tuple[object, ...], tuple[tuple[tuple[Reading, int], ...], Findings]] = {}
"""With the readings themselves, so that an id is not taken for another's."""
