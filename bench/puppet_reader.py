"""Readings of a puppet: the whole of the work but for the video and the networks.

Runs a library's readings at full speed, so that what is measured, or broken on purpose, is the
library and the way of working.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor, Future
from functools import cache, partial
from typing import Any

from tests.end_to_end.scripted import doors_on, small
from tests.motions.puppet import Puppet

from causeline.errors import CauselineError
from causeline.model.lesson import Golfer
from causeline.model.library import Coach, GolferEntry, ReadingEntry, State, new_id
from causeline.reading.doors import Doors, Settings
from causeline.reading.work import Crew, run_asking, run_claimed, run_waiting
from causeline.store.library import Address, Library, load_at
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_people import load_golfers, save_coach, save_golfer
from causeline.store.library_readings import ReadingBook


@cache
def puppet_doors() -> Doors:
    """Doors onto one puppet, whatever clip is asked for."""
    return doors_on(Puppet(camera=small(), rate_hz=30.0))


def read_puppet(address: Address, name: str) -> State | None:
    """Work on one row in this process."""
    library = load_at(address)
    try:
        return run_claimed(ReadingBook(library), name, puppet_doors)
    finally:
        library.close()


class Here(Executor):
    """An executor that works at once, in this very process."""

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Do it now."""
        future: Future[Any] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except CauselineError as error:
            future.set_exception(error)
        return future


def the_golfer(library: Library) -> GolferEntry:
    """The only golfer of the library, made where there is none."""
    known = load_golfers(library)
    if known:
        return known[0]
    coach = save_coach(library, Coach(new_id(), "Runa Veld"))
    return save_golfer(library, GolferEntry(new_id(), coach.id, Golfer("Ivo Brandt")))


def read_all(library: Library, golfer: GolferEntry, contents: Sequence[bytes]) -> None:
    """What `causeline batch` does: keep, ask, work; what was done before is not done again."""
    for content in contents:
        ask(library, save_clip(library, golfer.id, content, ClipNotes("swing.mov")).sha256)
    task = partial(read_puppet, library.address)
    run_waiting(ReadingBook(library), Crew(1, Here, task))


def ask(library: Library, sha256: str, settings: Settings | None = None) -> ReadingEntry:
    """Ask for a puppet's reading."""
    versions = puppet_doors().versions
    return run_asking(ReadingBook(library), sha256, settings or Settings(), versions)
