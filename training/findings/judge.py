"""Read the measures of many tapes, view by view and from both, and keep them beside their truth.

PYTHONPATH=.:src OMP_NUM_THREADS=1 .venv/bin/python -m training.findings.judge TAPES FILE

FILE is what `training.findings.write --sides` reads. A run that was stopped goes on where it was;
a new lifter, prior or network needs a new FILE.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import pickle
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path
from typing import Any

from bench.findings import sides_of
from bench.readings import files_of

EVERY = 5
"""How many swings may be lost to a pulled plug."""


def main() -> int:
    """Judge, keep."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("tapes", type=Path)
    parser.add_argument("file", type=Path)
    parser.add_argument("--only", nargs="+", default=["fit_"])
    parser.add_argument("--workers", type=int, default=len(os.sched_getaffinity(0)))
    given = parser.parse_args()
    sides = pickle.loads(given.file.read_bytes()) if given.file.exists() else {}  # noqa: S301, our own file
    left = {
        name: files for name, files in _swings(given.tapes, given.only).items() if name not in sides
    }
    with ProcessPoolExecutor(given.workers, multiprocessing.get_context("spawn")) as pool:
        for told in as_completed([pool.submit(_judged, *job) for job in left.items()]):
            name, found = told.result()
            sides[name] = found
            if len(sides) % EVERY == 0:
                given.file.write_bytes(pickle.dumps(sides))
    given.file.write_bytes(pickle.dumps(sides))
    print(
        f"{len(sides)} swings, {sum(isinstance(one, str) for one in sides.values())} of them failed"
    )
    return 0


def _swings(tapes: Path, prefixes: list[str]) -> dict[str, list[Path]]:
    """The tapes of each swing, by its name: `fit_007` of `fit_007_face_on.tape.npz`."""
    swings: dict[str, list[Path]] = {}
    for prefix in prefixes:
        for file in files_of(tapes, prefix):
            swings.setdefault("_".join(file.name.split("_")[:2]), []).append(file)
    return swings


def _judged(name: str, files: list[Path]) -> tuple[str, Any]:
    try:
        return name, sides_of(files)
    except Exception as error:  # noqa: BLE001, one swing must not end the others
        return name, repr(error)


if __name__ == "__main__":
    raise SystemExit(main())
