"""Readings of a library's clips, done by this machine's cores or by a cluster's."""

from __future__ import annotations

import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cache, partial
from typing import Any

from causeline.errors import NotAgreed, SettingError
from causeline.model.library import ReadingEntry, State
from causeline.model.seen import Seen
from causeline.reading.doors import Doors, Settings
from causeline.reading.pair import run_both
from causeline.reading.work import (
    Crew,
    Watch,
    run_asking,
    run_claimed,
    run_keeping,
    run_known,
    run_waiting,
)
from causeline.sources.fence import FencedClips
from causeline.sources.motion_prior import decode_prior
from causeline.store.library import Address, Library, load_at
from causeline.store.library_consent import load_readable
from causeline.store.library_readings import ReadingBook, load_seen_kept
from causeline.store.reading_file import save_as_bytes
from causeline.wiring import open_doors

READINGS_OF_A_PROCESS = 200
"""After so many a worker is replaced, so that nothing it forgot to give back adds up."""
FOLLOW_S = 1.0
CLUSTER_S = 5.0
NOBODY_S = 60.0
"""How long a cluster may be without any worker: enough for one to be started again."""


def ask_reading(library: Library, sha256: str, settings: Settings | None = None) -> ReadingEntry:
    """Ask for the reading of a kept clip; the same clip, engine and settings are read once.

    Raises NotAgreed where the clip's golfer does not let it be analysed.
    """
    if not load_readable(library, sha256):
        raise NotAgreed(
            "there is no consent to analysis of this clip",
            "the golfer's word was expected, or for a junior the guardian's",
            "ask them, then note their answer on the golfer's page",
        )
    return run_asking(ReadingBook(library), sha256, settings or Settings(), _doors().versions)


def judge_waiting(library: Library, entry: ReadingEntry) -> None:
    """Judge a reading here and now where its clip was seen before; else leave it waiting."""
    book = ReadingBook(library)
    if run_known(book, entry):
        run_claimed(book, entry.id, _doors)


def judge_seen(library: Library, entry: ReadingEntry, seen: Seen) -> ReadingEntry:
    """Judge a reading from what was seen of its clip elsewhere, with the entry's own settings."""
    book = ReadingBook(library)
    if entry.state is State.WAITING and run_keeping(book, entry, seen):
        run_claimed(book, entry.id, _doors)
    return book.get(entry.id)


def read_waiting(
    library: Library, workers: int = 0, watch: Watch | None = None, cluster: str = ""
) -> None:
    """Read everything that waits; rows that a killed program left are taken up again.

    `workers` is how many clips are read at once; 0 takes one for two cores, or as many as a cluster
    has room for. They share the cores: a clip that waits alone gets all of them. `cluster` is the
    address of a Dask scheduler, whose workers then do it, and reach the library by its address.

    Raises SettingError where the cluster is not reached, or has had no worker for `NOBODY_S`.
    """
    library.tidy()
    book = ReadingBook(library)
    if cluster:
        with cluster_crew(cluster, partial(read_row_there, library.address)) as crew:
            run_waiting(book, replace(crew, hands=workers or crew.hands), watch)
        return
    cores = os.cpu_count() or 1
    workers = workers or max(1, cores // 2)
    counts = book.counts()
    at_once = min(workers, max(1, counts[State.WAITING] + counts[State.WORKING]))
    task = partial(read_row, library.address, max(1, cores // at_once))
    run_waiting(book, Crew(workers, start_worker, task), watch)


def read_row(address: Address, threads: int, name: str) -> State | None:
    """Work on one row in this process, which keeps library and networks open for the next.

    `threads` is how many cores it may keep busy.
    """
    with FencedClips(threads=threads) as clips:
        book = ReadingBook(_library(address))
        return run_claimed(book, name, lambda: replace(_doors(threads), source=clips))


def read_row_there(address: Address, name: str) -> State | None:
    """The same in a worker of a cluster, on as many cores as the cluster lets it have."""
    from distributed import get_worker

    there: Any = get_worker()
    return read_row(address, int(there.state.nthreads), name)


def solve_both(
    library: Library,
    seen_keys: tuple[str, str],
    settings: tuple[Settings, Settings],
    pairs: Mapping[int, int],
) -> tuple[bytes, bytes]:
    """Reading files of two clips, the body of each pair of swings solved as one.

    In a process of its own: it takes seconds, in which pages are served. Raises as `run_both`.
    """
    with start_worker() as hand:
        return hand.submit(_both, library.address, seen_keys, settings, dict(pairs)).result()


def _both(
    address: Address,
    seen_keys: tuple[str, str],
    settings: tuple[Settings, Settings],
    pairs: Mapping[int, int],
) -> tuple[bytes, bytes]:
    one, other = (load_seen_kept(_library(address), key) for key in seen_keys)
    mine, theirs = run_both(one, other, decode_prior(), settings, pairs)
    return save_as_bytes(mine), save_as_bytes(theirs)


def start_worker() -> Executor:
    """A process of its own for one reading at a time."""
    return ProcessPoolExecutor(
        max_workers=1,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=follow,
        initargs=(os.getpid(),),
        max_tasks_per_child=READINGS_OF_A_PROCESS,
    )


def follow(parent: int) -> None:
    """End this process soon after its parent has ended, however that was."""

    def look() -> None:
        while os.getppid() == parent:
            time.sleep(FOLLOW_S)
        os._exit(1)

    threading.Thread(target=look, daemon=True).start()


@contextmanager
def cluster_crew(address: str, task: Callable[[str], State | None]) -> Iterator[Crew]:
    """A Dask cluster as executors of the standard library's kind, as many as it runs at once.

    Raises SettingError where no scheduler answers or it has no worker; later the crew does.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise SettingError(
            "a cluster was named, and the library that reaches it is missing",
            "distributed was expected",
            "install it: pip install 'causeline[cluster]'",
        ) from error
    try:
        client: Any = Client(  # type: ignore[no-untyped-call]
            address, timeout=CLUSTER_S, set_as_default=False
        )
    except (OSError, ValueError) as error:
        raise SettingError(
            f"no cluster answered at {address} ({error})",
            "the address of a Dask scheduler was expected, such as tcp://host:8786",
            "see that the scheduler runs, and that this machine may reach it",
        ) from error
    with client:
        roll = _Roll(client, address)
        while not (room := roll.call()):
            time.sleep(FOLLOW_S)
        yield Crew(room, partial(client.get_executor, pure=False), task, roll.call)


@dataclass
class _Roll:
    """Who of a cluster is there: a scheduler keeps work for workers that may never come."""

    client: Any
    address: str
    seen: float = field(default_factory=time.monotonic)

    def call(self) -> int:
        """How many readings its workers do at once.

        Raises SettingError after `NOBODY_S` of none, and where the scheduler is gone.
        """
        try:
            room = sum(self.client.nthreads().values())
        except (OSError, RuntimeError):  # Dask itself tried for CLUSTER_S to reach it anew
            raise self._told("is gone", "its scheduler was expected to stay") from None
        if room:
            self.seen = time.monotonic()
        elif time.monotonic() - self.seen > NOBODY_S:
            raise self._told("has no worker", f"one was expected within {NOBODY_S:g} s")
        return room

    def _told(self, came: str, expected: str) -> SettingError:
        return SettingError(
            f"the cluster at {self.address} {came}",
            expected,
            "start it, then the same command again: it goes on where it was",
        )


@cache
def _library(address: Address) -> Library:
    return load_at(address)


@cache
def _doors(threads: int = 0) -> Doors:
    return open_doors(threads=threads)
