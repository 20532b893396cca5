"""Pose swings with one planted fault, and sound ones, on many cores: truths without pictures.

PYTHONPATH=.:src OMP_NUM_THREADS=1 .venv-studio/bin/python -m training.findings.pose PACK

Of four swings three are planted and one is sound, by seeds that no bench uses (6,500,000 and
6,600,000 up). PACK is what `training.findings.write --posed` reads: for each swing its moments,
every second instant of its joints and club, its turns, its faults. The pack that the shipped table
was fitted on held the 1,046 swings done when its time was up, not the first 1,046.
"""

from __future__ import annotations

import argparse
import lzma
import multiprocessing
import os
import pickle
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from studio.accuracy_set import Plan
from studio.perform import perform
from studio.planted_set import draw_planted

SEEDS = {"planted": 6_500_000, "sound": 6_600_000}
AROUND_S = 0.1
"""How much is kept before address and after the finish."""
STEP = 5000
"""Places are kept to 0.2 mm, as steps from instant to instant: that packs small."""

Job = tuple[str, int]


def main() -> int:
    """Pose, pack."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("pack", type=Path)
    parser.add_argument("--swings", type=int, default=1000)
    parser.add_argument("--workers", type=int, default=len(os.sched_getaffinity(0)))
    given = parser.parse_args()
    with multiprocessing.get_context("spawn").Pool(given.workers) as pool:
        posed = dict(pool.imap_unordered(_posed, _jobs(given.swings)))
    given.pack.write_bytes(lzma.compress(pickle.dumps(posed, protocol=4), preset=6))
    failed = [facts for facts in posed.values() if isinstance(facts, str)]
    print(f"{len(posed)} swings posed, {len(failed)} of them failed: {failed[:2]}")
    return 0


def _jobs(count: int) -> list[Job]:
    jobs: list[Job] = []
    for number in range(count):
        jobs.append(("planted", number))
        if number % 3 == 2:
            jobs.append(("sound", number // 3))
    return jobs[:count]


def _posed(job: Job) -> tuple[Job, dict[str, Any] | str]:
    """The truth of one swing; what went wrong, in words, where it cannot be posed."""
    try:
        return job, _truth(*job)
    except Exception as error:  # noqa: BLE001, one swing of a thousand may fail, and is told at the end
        return job, repr(error)


def _truth(kind: str, number: int) -> dict[str, Any]:
    seed = SEEDS[kind] + number
    plan = Plan(
        number=number,
        seed=seed,
        rate_hz=60.0,
        slow="",
        left_handed=False,
        place="",
        kind=kind,
        size="540p",
    )
    golfer = draw_planted(plan)
    done = perform(golfer.build, golfer.swing, golfer.club, seed)
    keep = _kept(np.asarray(done.time_s), done.moments)
    places = {**done.joints, "butt": done.butt, "hosel": done.hosel, "head": done.head}
    return {
        "moments": {name: float(at) for name, at in done.moments.items()},
        "time_s": np.asarray(done.time_s)[keep].astype(np.float32),
        "points": {name: _steps(np.asarray(place)[keep]) for name, place in places.items()},
        "turns": {
            name: np.asarray(turn)[keep].astype(np.float16) for name, turn in done.turns.items()
        },
        "stature": float(done.body.stature_m),
        "faults": list(done.faults),
        "club": golfer.club.kind,
        "skill": golfer.skill,
    }


def _kept(time_s: NDArray[np.float64], moments: dict[str, float]) -> NDArray[np.bool_]:
    first, last = moments.get("address", time_s[0]), moments.get("finish", time_s[-1])
    inside = (time_s > first - AROUND_S) & (time_s < last + AROUND_S)
    return np.asarray(inside & (np.arange(len(time_s)) % 2 == 0))


def _steps(place_m: NDArray[np.float64]) -> NDArray[np.int16]:
    return np.diff(np.round(place_m * STEP), axis=0, prepend=0).astype(np.int16).T.copy()


if __name__ == "__main__":
    raise SystemExit(main())
