"""Kill -9 at random points, again and again: is anything lost, half-made, or done twice?

python -m bench.survive --kills 100
python -m bench.survive --kills 100 --database postgresql://… (an empty one)
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from pathlib import Path

from sqlalchemy import func, select

from bench.puppet_reader import puppet_doors, read_all, the_golfer
from causeline.model.library import State
from causeline.store.library import Library, load_library
from causeline.store.library_clips import load_clips
from causeline.store.library_readings import load_reading_content, load_reading_of, load_swings
from causeline.store.tables import LEAVING, READINGS, STAGES
from causeline.store.verify import load_findings

CLIPS_AT_ONCE = 2


@dataclass
class Survived:
    """What came of it."""

    kills: int = 0
    """Processes that were killed while they worked."""
    rounds: int = 0
    clips: int = 0
    ready_seen: int = 0
    """Ready readings looked at after kills: each was whole."""
    problems: list[str] = field(default_factory=list)


def survive(folder: Path, kills: int, seed: int, database: str = "") -> Survived:
    """Kill `kills` times; then finish, and compare with an undisturbed library."""
    told, rng = Survived(), random.Random(seed)  # noqa: S311
    place = database or folder / "disturbed"
    vault = folder / "disturbed" / "files"
    with_golfer = load_library(place, vault)
    the_golfer(with_golfer)
    with_golfer.close()
    takes_s = _quiet_time(folder / "quiet")
    while told.kills < kills:
        told.rounds += 1
        contents = [f"clip {told.rounds}.{n}".encode() for n in range(CLIPS_AT_ONCE)]
        while told.kills < kills and not _worked(place, vault, contents, rng.uniform(0, takes_s)):
            told.kills += 1
            _look(place, vault, told)
        for _ in range(2):
            # A reading that three kills hit is stopped, as one that brings its program down would
            # be, and read when it is asked for again: that is what the second time does.
            _worked(place, vault, contents, None)
        told.clips += len(contents)
    _compare(place, vault, folder / "quiet", told)
    return told


def _quiet_time(folder: Path) -> float:
    """Seconds that the same work takes undisturbed."""
    library = load_library(folder)
    start = time.monotonic()
    read_all(library, the_golfer(library), [f"quiet {n}".encode() for n in range(CLIPS_AT_ONCE)])
    library.close()
    return time.monotonic() - start


def _worked(place: Path | str, vault: Path, contents: list[bytes], kill_s: float | None) -> bool:
    """Do the work in a process; kill it after `kill_s`. Gives whether it came to its end."""

    def work() -> None:
        library = load_library(place, vault)
        library.tidy()
        read_all(library, the_golfer(library), contents)

    return survived(work, kill_s)


def survived(work: Callable[[], None], kill_s: float | None) -> bool:
    """Do something in a process, killed after `kill_s`. Gives whether it came to its end."""
    child = os.fork()
    if child == 0:
        ended = 1
        try:
            work()
            ended = 0
        finally:
            os._exit(ended)  # a fault here is not to go on as if it were the caller
    if kill_s is not None:
        time.sleep(kill_s)
        os.kill(child, signal.SIGKILL)
    status = os.waitpid(child, 0)[1]
    if status not in (0, signal.SIGKILL):
        raise RuntimeError(f"the process ended by itself with {status}")
    return status == 0


def _look(place: Path | str, vault: Path, told: Survived) -> None:
    """What somebody who opens the library now would see."""
    library = load_library(place, vault)
    for clip in load_clips(library, the_golfer(library).id, limit=1000):
        if not library.vault.is_sound(clip.sha256):
            told.problems.append(f"clip {clip.name} is not whole")
        entry = load_reading_of(library, clip.sha256)
        if entry is not None and entry.state is State.READY:
            content = load_reading_content(library, entry)
            told.ready_seen += 1
            if len(content["swings"]) != len(load_swings(library, entry.id)):
                told.problems.append(f"reading {entry.id} has other swings than its file")
        elif entry is not None and entry.reading_key is not None:
            told.problems.append(f"reading {entry.id} is {entry.state} and shows a file")
    library.close()


def _compare(place: Path | str, vault: Path, quiet: Path, told: Survived) -> None:
    """Everything there once, as in a library where nothing was killed; no file over or missing."""
    library, undisturbed = load_library(place, vault), load_library(quiet)
    library.tidy()
    right = set(_reading_files(undisturbed))
    files = _reading_files(library)
    if set(files) != right or len(files) != told.clips:
        told.problems.append(
            f"{len(files)} readings of {told.clips} clips; {len(set(files))} kinds; "
            f"others: {_others(library)}"
        )
    with library.database.reading() as connection:
        for table, expected in ((LEAVING, 0), (STAGES, told.clips), (READINGS, told.clips)):
            count = connection.execute(select(func.count()).select_from(table)).scalar()
            if count != expected:
                told.problems.append(f"{count} rows in {table.name}, expected {expected}")
    found = load_findings(library)
    told.problems += [str(each) for each in found.problems if "half-written" not in str(each)]
    for each in (library, undisturbed):
        each.close()


def _others(library: Library) -> list[str]:
    """State and reason of the readings that are not ready."""
    with library.database.reading() as connection:
        rows = connection.execute(select(READINGS).where(READINGS.c.state != State.READY))
        return [str({k: v for k, v in row._mapping.items() if v is not None}) for row in rows]


def _reading_files(library: Library) -> list[str]:
    with library.database.reading() as connection:
        ready = READINGS.c.state == State.READY
        return [
            str(key)
            for key in connection.execute(select(READINGS.c.reading_key).where(ready)).scalars()
        ]


def main() -> None:
    """Print what came of it, as JSON."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--kills", type=int, default=100)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--database", default="", help="URL of an empty database; else SQLite")
    told = words.parse_args()
    puppet_doors()
    with tempfile.TemporaryDirectory(prefix="survive-") as folder:
        result = survive(Path(folder), told.kills, told.seed, told.database)
    print(json.dumps(asdict(result)))
    raise SystemExit(1 if result.problems else 0)


if __name__ == "__main__":
    main()
