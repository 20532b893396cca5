"""Work of this process behind the pages, with how far it is for who waits.

Two lanes, each in the order it came: what somebody looks at next, and films, which take minutes.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Any

from causeline.errors import CauselineError, StoreError
from causeline.model.library import State, new_id

Report = Callable[[str, int, int], None]
"""Hears the stage, how much of it is done, and of how much."""
Work = Callable[[Report], Any]
KEPT = 200
"""Of what has ended, so many are remembered."""
_log = logging.getLogger(__name__)


class Stopped(Exception):
    """The program is about to end."""


@dataclass(frozen=True, slots=True)
class Job:
    """One piece of work, as far as it is."""

    id: str
    what: str
    """In words: `the film of Ivo's lesson`."""
    state: State = State.WAITING
    stage: str = ""
    done: int = 0
    total: int = 0
    error: str = ""
    result: Any = field(default=None, compare=False)


class Jobs:
    """Two lanes: a film that is drawn keeps nobody from opening a swing."""

    def __init__(self) -> None:
        self._soon = ThreadPoolExecutor(max_workers=1, thread_name_prefix="soon")
        self._films = ThreadPoolExecutor(max_workers=1, thread_name_prefix="films")
        self._jobs: dict[str, Job] = {}
        self._by_key: dict[str, str] = {}
        self._lock = threading.Lock()
        self._ended = threading.Event()

    def start(self, what: str, work: Work, key: str | None = None, *, film: bool = False) -> Job:
        """Begin; a piece with the same key that is still going is given back instead.

        `film` is for what takes minutes.
        """
        with self._lock:
            known = self._jobs.get(self._by_key.get(key or "", ""))
            if known is not None and known.state in (State.WAITING, State.WORKING):
                return known
            job = Job(new_id(), what)
            self._jobs[job.id] = job
            if key is not None:
                self._by_key[key] = job.id
            self._forget()
        (self._films if film else self._soon).submit(self._run, job.id, work)
        return job

    def once(self, what: str, work: Work, key: str) -> Job:
        """As `start`, but what was refused under that key is given back as it ended."""
        known = self._jobs.get(self._by_key.get(key, ""))
        if known is not None and known.state is State.REFUSED:
            return known
        return self.start(what, work, key)

    def get(self, name: str) -> Job:
        """How far that piece is. Raises StoreError where it is not known (any more)."""
        job = self._jobs.get(name)
        if job is None:
            raise StoreError(
                "that work is not known here",
                "work that was begun since the program was started was expected",
                "begin it again",
            )
        return job

    def going(self, key: str) -> str:
        """Id of the piece with that key, while it is going; else empty."""
        job = self._jobs.get(self._by_key.get(key, ""))
        return job.id if job is not None and job.state in (State.WAITING, State.WORKING) else ""

    def stop(self) -> None:
        """End as soon as the work that goes on reports next."""
        self._ended.set()
        for lane in (self._soon, self._films):
            lane.shutdown(wait=False, cancel_futures=True)

    def _run(self, name: str, work: Work) -> None:
        def report(stage: str, done: int, total: int) -> None:
            if self._ended.is_set():
                raise Stopped
            self._set(name, stage=stage, done=done, total=total)

        self._set(name, state=State.WORKING)
        try:
            result = work(report)
        except Stopped:
            self._set(name, state=State.FAILED, error="The program was stopped.")
        except CauselineError as error:
            self._set(name, state=State.REFUSED, error=str(error))
        except Exception as error:  # noqa: BLE001 - told to who waits; the app goes on
            _log.exception("a job failed")
            told = (
                f"Causeline itself failed at this ({type(error).__name__}). Nothing else is lost."
            )
            self._set(name, state=State.FAILED, error=told)
        else:
            self._set(name, state=State.READY, result=result)

    def _set(self, name: str, **values: Any) -> None:
        with self._lock:
            self._jobs[name] = replace(self._jobs[name], **values)

    def _forget(self) -> None:
        ended = [
            job.id for job in self._jobs.values() if job.state not in (State.WAITING, State.WORKING)
        ]
        for name in ended[:-KEPT]:
            del self._jobs[name]
