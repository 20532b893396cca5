"""The workbench's desk with its real doors, and readings that go on while pages are served."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path

from fastapi import FastAPI

from causeline.errors import CauselineError
from causeline.model.clip import Clip, Frame, Sound
from causeline.model.lesson import Lesson
from causeline.model.library import ReadingEntry, State
from causeline.reading.doors import Settings
from causeline.reading.proxies import ProxyDoors
from causeline.sources.encode import encode_spoken
from causeline.sources.encode_proxy import PLACES_HZ, encode_proxy
from causeline.sources.fence import FencedClips
from causeline.sources.motion_prior import decode_prior
from causeline.store.library import Library
from causeline.store.library_readings import ReadingBook
from causeline.web.app import serve_app
from causeline.web.both import serve_together
from causeline.web.desk import Desk, OnFile
from causeline.web.gate import Policy
from causeline.web.guard import LOOPBACK
from causeline.web.jobs import Jobs, Report
from causeline.web.made import Workshop
from causeline.web.progress_doors import ProgressDoors
from causeline.web.proxying import serve_proxies
from causeline.web.stills import serve_stills
from causeline.web.talk_doors import TalkDoors
from causeline.wiring import Filmed, TakeAway, lesson_files, measure_texts
from causeline.wiring_phone import NetworkPhone
from causeline.wiring_progress import OpenProgress
from causeline.wiring_work import ask_reading, judge_waiting, read_waiting, solve_both

LOOK_S = 5.0
"""How often readings are looked for that somebody else asked for."""
STOP_S = 5.0
_log = logging.getLogger(__name__)


def open_desk(library: Library, readings: Reader | None = None) -> Desk:
    """The desk on an open library."""
    return Desk(
        library=library,
        made=Workshop(library),
        jobs=Jobs(),
        readings=readings or Reader(library),
        probe=_probe,
        footage=_footage,
        lesson_files=_lesson_files,
        solve_both=partial(solve_both, library),
        phone=NetworkPhone(),
        texts={one.name: one for one in measure_texts()},
        proxies=ProxyDoors(FencedClips, encode_proxy, PLACES_HZ),
        talks=TalkDoors(_voice, encode_spoken),
        progress=ProgressDoors(standings=(course := OpenProgress(library)), plans=course),
        prior=decode_prior(),
    )


def open_workbench(
    library: Library,
    workers: int = 0,
    hosts: Sequence[str] = LOOPBACK,
    policy: Policy | None = None,
) -> FastAPI:
    """The app on a library, reading what waits; everything ends with the server."""
    reader = Reader(library, workers)
    desk = open_desk(library, reader)

    def ready(entry: ReadingEntry) -> None:
        serve_stills(desk, entry)
        serve_proxies(desk, entry)
        serve_together(desk, entry)

    reader.ready = ready

    def stop() -> None:
        desk.phone.close()
        desk.jobs.stop()
        reader.stop()

    app = serve_app(desk, hosts, stop, policy)
    reader.start()
    return app


class Reader:
    """Reads what waits, in processes of its own, for as long as it runs."""

    def __init__(self, library: Library, workers: int = 0) -> None:
        self._library, self._workers = library, workers
        self.ready: Callable[[ReadingEntry], None] = _nobody
        """Hears of each reading that was worked on here and is ready."""
        self._working: dict[str, ReadingEntry] = {}
        self._wake, self._ended = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._run, name="readings", daemon=True)

    def ask(self, sha256: str, settings: Settings) -> ReadingEntry:
        """Ask for the reading of a kept clip."""
        entry = ask_reading(self._library, sha256, settings)
        self.wake()
        return entry

    def judge(self, sha256: str, settings: Settings) -> ReadingEntry:
        """As `ask`, and judged here and now where the clip was seen before."""
        entry = ask_reading(self._library, sha256, settings)
        if entry.state is State.WAITING:
            judge_waiting(self._library, entry)
        self.wake()
        return ReadingBook(self._library).get(entry.id)

    def wake(self) -> None:
        """Look for readings that wait, now."""
        self._wake.set()

    def start(self) -> None:
        """Begin, with what an earlier run left unfinished."""
        self._thread.start()

    def stop(self) -> None:
        """End; a reading that goes on is taken up again the next time."""
        self._ended.set()
        self._wake.set()
        if self._thread.is_alive():
            self._thread.join(STOP_S)

    def _run(self) -> None:
        while not self._ended.is_set():
            self._wake.clear()
            try:
                with suppress(_Ended):
                    read_waiting(self._library, self._workers, self._watch)
            except CauselineError as error:  # a full disk, a server that is away: try again later
                _log.warning("readings stand still: %s", error)
            self._wake.wait(LOOK_S)

    def _watch(self, _: Mapping[State, int], working: tuple[ReadingEntry, ...]) -> None:
        if self._ended.is_set():
            raise _Ended
        now = {entry.id: entry for entry in working}
        done = [name for name in self._working if name not in now]
        self._working = now
        for name in done:
            entry = ReadingBook(self._library).get(name)
            if entry.state is State.READY:
                self.ready(entry)


def _nobody(_: ReadingEntry) -> None:
    """Hears nothing."""


class _Ended(Exception):
    """The server ends."""


def _probe(path: Path) -> Clip:
    with FencedClips() as clips:
        return clips.probe(path)


def _voice(path: Path) -> Sound:
    with FencedClips() as clips:
        return clips.voice(path)


def _footage(
    path: Path, clip: Clip, wanted: Sequence[int], longest: int | None = None
) -> Iterator[Frame]:
    with FencedClips() as clips:
        yield from clips.frames(path, clip, wanted, longest)


def _lesson_files(
    lesson: Lesson,
    views: Sequence[OnFile],
    references: Sequence[OnFile],
    report: Report,
    *,
    film: bool,
) -> Mapping[str, bytes]:
    filmed, beside = (
        [Filmed(one.shown, one.path, one.hide_face) for one in swings]
        for swings in (views, references)
    )
    return lesson_files(lesson, filmed, beside, TakeAway(film=film), report)
