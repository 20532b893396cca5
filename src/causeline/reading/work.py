"""Readings that survive: rows with a key, worked on by whoever claims them, shown when whole.

A process may be killed anywhere. Its row stays claimed, and from then on says nothing; who sees
that lets others take the row up, and they go on from the last stage that was kept. The time of day
is not asked: a row is silent when its beat has not moved for `SILENT_S` of the watcher's waiting.
"""

from __future__ import annotations

import hashlib
import json
import logging
import threading
import time
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from contextlib import AbstractContextManager, suppress
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from types import TracebackType
from typing import Any, Protocol, Self

from causeline.errors import CauselineError, ClipError, NothingToRead, SettingError
from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort, Ruling, Say
from causeline.model.library import Content, ReadingEntry, State
from causeline.model.moments import MomentName
from causeline.model.motion import Correction
from causeline.model.reading import Reading
from causeline.model.seen import Seen
from causeline.model.touched import ClubMark, MomentMark
from causeline.quantities.uncertain import Uncertain
from causeline.reading.doors import Doors, FirstLook, Settings
from causeline.reading.judging import run_judging
from causeline.reading.seeing import run_seeing

BEAT_S = 2.0
SILENT_S = 30.0
"""Silence after which a worker counts as gone: many beats, so that a busy machine is no death."""
PAUSE_S = 0.5
_LOOKED = ("view", "hand", "capture_hz")
"""Settings that change what is seen; the others only change how it is judged."""
_FINAL = (ClipError, NothingToRead, SettingError)
"""What the same clip with the same settings would raise again."""
_log = logging.getLogger(__name__)


class Book(Protocol):
    """Where readings are asked for, claimed and finished; see `store.library_readings`."""

    def ask(self, key: str, sha256: str, settings: Content, engine: Content) -> ReadingEntry:
        """The reading of that key, asked for now where it was not before, or had failed."""

    def waiting(self, limit: int) -> tuple[str, ...]:
        """Ids of readings that nobody works on, the longest asked for first."""

    def working(self) -> tuple[ReadingEntry, ...]:
        """Readings that somebody claimed and has not finished."""

    def counts(self) -> Mapping[State, int]:
        """How many readings there are in each state."""

    def claim(self, name: str) -> ReadingEntry | None:
        """Take a waiting reading for this process; None where somebody else was quicker."""

    def beat(self, entry: ReadingEntry, stage: str, done: int, total: int) -> bool:
        """Say that the work goes on; False where it is no longer this one's."""

    def tell(self, entry: ReadingEntry, first_look: Content) -> None:
        """Show how the clip is filmed, while the work goes on."""

    def is_dead(self, entry: ReadingEntry) -> bool:
        """Whether the process that works on it is surely gone."""

    def release(self, entry: ReadingEntry) -> bool:
        """Let others take it; False where its worker gave a sign meanwhile."""

    def clip(self, sha256: str) -> AbstractContextManager[Path]:
        """The clip as a file."""

    def seen(self, stage: str) -> tuple[Seen, str] | None:
        """What was seen under that key, and its file; None where it was not kept."""

    def keep_seen(self, entry: ReadingEntry, stage: str, seen: Seen) -> str | None:
        """Keep what was seen under that key; None where the work is no longer this one's."""

    def finish(self, entry: ReadingEntry, reading: Reading, seen_key: str) -> bool:
        """Show the reading, whole; False where it is no longer this one's to finish."""

    def refuse(self, entry: ReadingEntry, error: str, *, final: bool) -> bool:
        """Say why there is no reading; `final` where trying again would say the same."""


@dataclass(frozen=True, slots=True)
class Crew:
    """Who works: executors of the standard library's kind."""

    hands: int
    """How many readings are worked on at once."""
    start: Callable[[], Executor]
    """Gives an executor for one hand; asked again where one broke."""
    task: Callable[[str], State | None]
    """Works on the row of that id (`run_claimed`), in whatever process the executor has."""
    attend: Callable[[], object] = lambda: None
    """Asked at every turn who is there to work; raises where waiting is of no use."""


Watch = Callable[[Mapping[State, int], tuple[ReadingEntry, ...]], None]
"""Hears how many readings are in each state, and which are being worked on."""


def run_asking(
    book: Book, sha256: str, settings: Settings, versions: Mapping[str, str]
) -> ReadingEntry:
    """Ask for the reading of a kept clip: the same clip, engine and settings are read once."""
    plain = _plain(settings)
    return book.ask(_key("reading", sha256, plain, versions), sha256, plain, dict(versions))


def run_known(book: Book, entry: ReadingEntry) -> bool:
    """Whether what the clip shows is kept, so that the reading takes no look at it."""
    return book.seen(_stage(entry)) is not None


def run_keeping(book: Book, entry: ReadingEntry, seen: Seen) -> bool:
    """Keep what was seen of the clip elsewhere, so that the reading need only be judged.

    False where somebody else works on it. It must have been seen with the entry's own settings.
    """
    claimed = book.claim(entry.id)
    if claimed is None:
        return False
    named = replace(seen, clip=replace(seen.clip, name="clip"))
    kept = book.keep_seen(claimed, _stage(claimed), named) is not None
    return book.release(claimed) and kept


def run_claimed(book: Book, name: str, open_doors: Callable[[], Doors]) -> State | None:
    """Work on one row; gives how it ended, None where it is, or became, somebody else's.

    Never raises for what is wrong with a clip, an engine or a disk: that is written in the row. A
    database that does not answer is raised, and the row found silent by others.
    """
    entry = book.claim(name)
    if entry is None:
        return None
    with _Pulse(book, entry) as pulse:
        try:
            return _read(book, entry, open_doors(), pulse)
        except _NotMine:
            return None
        except CauselineError as error:
            return _refused(book, entry, str(error), final=isinstance(error, _FINAL))
        except Exception as error:  # noqa: BLE001 - a fault of ours stops one clip, not a night's work
            _log.exception("a reading failed")
            return _refused(book, entry, _fault(error), final=False)


def run_waiting(
    book: Book, crew: Crew, watch: Watch | None = None, silent_s: float = SILENT_S
) -> None:
    """Work until nothing waits and nobody works; rows whose workers died are taken up again.

    Raises what `crew.attend` raises; what was not read then waits on.
    """
    watchman, hands = _Watchman(silent_s), [_Hand(crew) for _ in range(crew.hands)]
    try:
        while True:
            crew.attend()
            working = watchman.look(book)
            if watch is not None:
                watch(book.counts(), working)
            busy = {hand.name for hand in hands if not hand.idle}
            queue = [name for name in book.waiting(2 * crew.hands) if name not in busy]
            for hand, name in zip((hand for hand in hands if hand.idle), queue, strict=False):
                hand.take(name)
            running = [hand.future for hand in hands if hand.future is not None]
            if not running and not working and not queue:
                return
            if running:
                wait(running, timeout=PAUSE_S, return_when=FIRST_COMPLETED)
            else:
                time.sleep(PAUSE_S)
    finally:
        for hand in hands:
            hand.stop()


@dataclass
class _Hand:
    """One executor with one reading at a time: where its process dies, no other is harmed."""

    crew: Crew
    executor: Executor | None = None
    future: Future[State | None] | None = None
    name: str = ""

    @property
    def idle(self) -> bool:
        """Nothing is running; what ended badly is told, and a broken executor let go."""
        if self.future is None or not self.future.done():
            return self.future is None
        error = None if self.future.cancelled() else self.future.exception()
        self.future = None
        if error is not None:
            _log.warning("a worker ended: %s", type(error).__name__)
        if isinstance(error, BrokenExecutor):
            self.stop()
        elif isinstance(error, CauselineError):
            raise error  # the library does not answer: going on would only hide it
        return True

    def take(self, name: str) -> None:
        """Begin with a row."""
        if self.executor is None:
            self.executor = self.crew.start()
        self.name = name
        self.future = self.executor.submit(self.crew.task, name)

    def stop(self) -> None:
        """End the executor; it is started again where there is more to do."""
        if self.future is not None:
            self.future.cancel()
        if self.executor is not None:
            self.executor.shutdown(wait=False)
        self.executor = None


@dataclass
class _Watchman:
    """Sees which workers have gone silent, by its own patience and not by the time of day."""

    silent_s: float
    known: dict[str, tuple[str, int, float]] = field(default_factory=dict)

    def look(self, book: Book) -> tuple[ReadingEntry, ...]:
        """Rows that are worked on; those of the dead and the silent are let go first."""
        now, alive = time.monotonic(), []
        for entry in book.working():
            claim, beat, since = self.known.get(entry.id, ("", -1, now))
            if (claim, beat) != (entry.claim, entry.beat):
                since = now
            self.known[entry.id] = (entry.claim, entry.beat, since)
            if not (book.is_dead(entry) or now - since > self.silent_s) or not book.release(entry):
                alive.append(entry)
        return tuple(alive)


class _NotMine(Exception):
    """The row is somebody else's by now, or was deleted."""


class _Pulse:
    """Says every `BEAT_S` that the work goes on, and hears when it is somebody else's."""

    def __init__(self, book: Book, entry: ReadingEntry) -> None:
        self._book, self._entry = book, entry
        self._last = ("", 0, 0)
        self._lost = False
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._beat, daemon=True)

    def report(self, stage: str, done: int, total: int) -> None:
        """How far the work is. Raises `_NotMine` where it is of no more use."""
        self._last = (stage, done, total)
        if self._lost:
            raise _NotMine

    def _beat(self) -> None:
        while not self._ended.wait(BEAT_S):
            with suppress(CauselineError):  # a full disk or a short pause of the server: try again
                self._lost = not self._book.beat(self._entry, *self._last)
            if self._lost:
                return

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._ended.set()
        self._thread.join()


def _read(book: Book, entry: ReadingEntry, doors: Doors, pulse: _Pulse) -> State | None:
    if dict(doors.versions) != dict(entry.engine):
        return _refused(book, entry, _OTHER_VERSION, final=False)
    settings = _settings(entry.settings)
    seen, key = _seen(book, entry, doors, settings, pulse)
    reading = run_judging(seen, settings, prior=doors.prior)
    return State.READY if book.finish(entry, reading, key) else None


def _seen(
    book: Book, entry: ReadingEntry, doors: Doors, settings: Settings, pulse: _Pulse
) -> tuple[Seen, str]:
    """What was seen of the clip: from the vault where it was kept, else from the clip itself."""
    stage = _stage(entry)
    kept = book.seen(stage)
    if kept is not None:
        return kept
    with book.clip(entry.sha256) as path:
        seen = run_seeing(
            path,
            doors,
            settings,
            pulse.report,
            glimpse=lambda look: book.tell(entry, _glimpsed(look)),
        )
    # The file's name in the vault is its checksum; what people call it stands in the library.
    seen = replace(seen, clip=replace(seen.clip, name="clip"))
    key = book.keep_seen(entry, stage, seen)
    if key is None:
        raise _NotMine
    return seen, key


def _glimpsed(look: FirstLook) -> dict[str, Any]:
    return {"view": look.view.name, "advice": [one.advice for one in look.advice]}


def _stage(entry: ReadingEntry) -> str:
    looked = {name: entry.settings[name] for name in _LOOKED}
    return _key("seen", entry.sha256, looked, entry.engine)


def _refused(book: Book, entry: ReadingEntry, error: str, *, final: bool) -> State | None:
    told = error.replace(entry.sha256, "The clip")
    if not book.refuse(entry, told, final=final):
        return None
    return State.REFUSED if final else State.FAILED


_OTHER_VERSION = (
    "This reading was asked of another version of Causeline. Ask for it again, and this version "
    "reads the clip."
)


def _fault(error: Exception) -> str:
    return (
        f"Causeline itself failed on this clip ({type(error).__name__}). The other clips are not "
        "touched by it. Ask for the reading again after the next update."
    )


def _key(stage: str, sha256: str, settings: Content, versions: Mapping[str, str]) -> str:
    parts = {"stage": stage, "clip": sha256, "settings": settings, "engine": dict(versions)}
    return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()


def _plain(settings: Settings) -> dict[str, Any]:
    stature = settings.stature_m
    return {
        "view": settings.view.value if settings.view else None,
        "hand": settings.hand.value if settings.hand else None,
        "capture_hz": settings.capture_hz,
        "stature_m": [stature.value, stature.sd] if stature else None,
        "club": settings.club.value if settings.club else None,
        "rulings": [asdict(ruling) for ruling in settings.rulings],
        "corrections": [asdict(correction) for correction in settings.corrections],
        # Named only where there are any: what was read before keeps its key.
        **({"club_marks": list(map(asdict, settings.club_marks))} if settings.club_marks else {}),
        **(
            {"moment_marks": list(map(asdict, settings.moment_marks))}
            if settings.moment_marks
            else {}
        ),
    }


def _settings(plain: Content) -> Settings:
    stature = plain["stature_m"]
    return Settings(
        view=View(plain["view"]) if plain["view"] else None,
        hand=Hand(plain["hand"]) if plain["hand"] else None,
        capture_hz=plain["capture_hz"],
        stature_m=Uncertain(*stature) if stature else None,
        club=ClubSort(plain["club"]) if plain["club"] else None,
        rulings=tuple(Ruling(**{**each, "say": Say(each["say"])}) for each in plain["rulings"]),
        corrections=tuple(Correction(**each) for each in plain["corrections"]),
        club_marks=tuple(ClubMark(**each) for each in plain.get("club_marks", ())),
        moment_marks=tuple(
            MomentMark(**{**each, "name": MomentName(each["name"])})
            for each in plain.get("moment_marks", ())
        ),
    )
