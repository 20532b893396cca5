"""How well more workers do: the same clips read by 1, 2 and 4 at once, and the load meanwhile.

python -m bench.workers --clips demo/clips --count 4 --workers 1x1 1 2 4

`2` is two workers that share the cores, as `causeline batch --workers 2` has them; `1x1` is one
worker that keeps one core busy, to hold the others against. On a machine that others use as well,
the wall clock says as much of them as of us: processor seconds for each clip are the safer figure,
and the load stands beside it.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import shutil
import tempfile
import time
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from bench.puppet_reader import ask, read_puppet
from causeline.model.lesson import Golfer
from causeline.model.library import Coach, GolferEntry, State, new_id
from causeline.reading.work import Crew, run_waiting
from causeline.store.library import load_library
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_people import save_coach, save_golfer
from causeline.store.library_readings import ReadingBook
from causeline.wiring_work import ask_reading, read_row, start_worker

JOIN_S = 10.0


@dataclass(frozen=True, slots=True)
class Row:
    """One number of workers."""

    workers: int
    threads: int
    """Cores that each may keep busy."""
    clips: int
    wall_s: float
    processor_s: float
    load: tuple[float, float]
    """Before, and at the end: programs that want a core, ours among them."""

    def line(self, first: Row) -> str:
        """As a row of the table; efficiency is what each core more has brought, by the clock."""
        faster = first.wall_s / self.wall_s
        efficiency = faster * first._cores / self._cores
        return (
            f"| {self.workers} | {self.threads} | {self.clips} | {self.wall_s:.0f} | "
            f"{self.processor_s / self.clips:.1f} | {faster:.2f} | "
            f"{100 * efficiency:.0f} % | {self.load[0]:.0f}, {self.load[1]:.0f} |"
        )

    @property
    def _cores(self) -> int:
        return min(self.workers * self.threads, os.cpu_count() or 1)


def measured(clips: list[Path], workers: int, threads: int, puppet: bool) -> Row:
    """Read them all in a library of their own; a puppet's readings take no video and no network."""
    folder = Path(tempfile.mkdtemp(prefix="workers-"))
    library = load_library(folder)
    coach = save_coach(library, Coach(new_id(), "Runa Veld"))
    golfer = save_golfer(library, GolferEntry(new_id(), coach.id, Golfer("Ivo Brandt")))
    for number, path in enumerate(clips):
        # Bytes behind its end make a clip another one: nothing is read once for two.
        content = path.read_bytes() + bytes(number + 1)
        kept = save_clip(library, golfer.id, content, ClipNotes(path.name))
        (ask if puppet else ask_reading)(library, kept.sha256)
    before, used, began = os.getloadavg()[0], _used(), time.monotonic()
    task = (
        partial(read_puppet, library.address)
        if puppet
        else partial(read_row, library.address, threads)
    )
    run_waiting(ReadingBook(library), Crew(workers, start_worker, task))
    wall_s = time.monotonic() - began
    for child in multiprocessing.active_children():
        child.join(JOIN_S)  # only of those that have ended is it known what they used
    row = Row(workers, threads, len(clips), wall_s, _used() - used, (before, os.getloadavg()[0]))
    counts = ReadingBook(library).counts()
    library.close()
    shutil.rmtree(folder)
    if counts[State.READY] != len(clips):
        raise SystemExit(f"only {counts[State.READY]} of {len(clips)} were read")
    return row


def _used() -> float:
    """Processor seconds of this process and of those that it has ended."""
    both = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(each.ru_utime + each.ru_stime for each in both)


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--clips", type=Path, default=Path("demo/clips"))
    words.add_argument("--count", type=int, default=4)
    words.add_argument(
        "--puppet", action="store_true", help="all of the work but video and networks"
    )
    words.add_argument("--workers", nargs="+", default=["1x1", "1", "2", "4"])
    told = words.parse_args()
    found = sorted(told.clips.glob("*.mp4"))
    clips = [found[place % len(found)] for place in range(told.count)]
    print(
        "| workers | threads | clips | wall, s | processor s a clip | faster | efficiency | load |"
    )
    print("|---|---|---|---|---|---|---|---|")
    first: Row | None = None
    for one in told.workers:
        workers, _, threads = one.partition("x")
        share = int(threads or max(1, (os.cpu_count() or 1) // int(workers)))
        row = measured(clips, int(workers), 1 if told.puppet else share, told.puppet)
        first = first or row
        print(row.line(first), flush=True)


if __name__ == "__main__":
    main()
