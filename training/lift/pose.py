"""Pose golfers of training seeds for the lifter, and pack them: joints and club, no pictures.

    python -m training.lift.pose --root FOLDER --until EPOCH_S --core K --of N --count 2400
    python -m training.lift.pose --root FOLDER --pack FILE...

Runs in the studio's environment, one process a core, each taking every N-th swing. A file is one
swing as `pool.py` wants it. Packed, a thousand swings take about 10 MB: places in steps of a ten
thousandth of the stature, kept as second differences over the phases.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from contextlib import suppress
from pathlib import Path

import numpy as np
from studio.golfers import Golfer, draw_golfer
from studio.perform import perform
from studio.performance import Performance

sys.path.insert(0, str(Path(__file__).parent))
from pool import gather_swing

FIRST_SEED = 6_400_000
"""Training keeps below 7 000 000."""
SKILLS = ("odd", "ordinary", "wild", "skilled", "wild", "odd", "ordinary", "skilled", "wild")
STEP = 1e-4
NEEDED = ("address", "top", "impact", "finish")


def golfer_of(number: int) -> Golfer:
    """Who swings: all skills in turn, more odd and wild ones than live anywhere."""
    rng = np.random.default_rng([FIRST_SEED + number, 41])
    return draw_golfer(rng, skill=SKILLS[number % len(SKILLS)])


def keep_swing(path: Path, done: Performance) -> None:
    """Joints and club in metres, and the facts `pool.gather_swing` asks for."""
    if any(name not in done.moments for name in NEEDED):
        raise ValueError(f"{path.stem} has no {NEEDED}, only {sorted(done.moments)}")
    points = {f"j_{name}": row for name, row in done.joints.items()}
    points |= {name: getattr(done, name) for name in ("butt", "hosel", "head")}
    facts = {"moments": done.moments, "stature": done.body.stature_m}
    part = path.with_suffix(".part.npz")
    small = {name: row.astype(np.float32) for name, row in points.items()}
    np.savez(part, time_s=done.time_s, facts=json.dumps(facts), **small)
    part.rename(path)


def pack(root: Path, outs: list[Path]) -> None:
    """All swings there are, spread over the files."""
    swings = []
    for path in sorted(root.glob("lift_*.npz")):
        with suppress(KeyError, ValueError, OSError, EOFError):
            swings.append(gather_swing(path))
    for k, out in enumerate(outs):
        points, time_s, where = (np.stack(part) for part in zip(*swings[k :: len(outs)]))  # noqa: B905
        steps = np.round(points / STEP).astype(np.int32)
        for _ in range(2):
            steps = np.diff(steps, axis=1, prepend=0)
        np.savez_compressed(
            out, bends=steps.astype(np.int16), time_s=time_s.astype(np.float32), where=where
        )
        print(out.name, len(points), "swings", out.stat().st_size / 1e6, "MB", flush=True)


def main() -> None:
    """Pose until the time is up, or pack."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--root", type=Path, required=True)
    parser.add_argument("--until", type=float, default=0.0)
    parser.add_argument("--core", type=int, default=0)
    parser.add_argument("--of", type=int, default=1)
    parser.add_argument("--count", type=int, default=2400)
    parser.add_argument("--pack", type=Path, nargs="+")
    given = parser.parse_args()
    if given.pack:
        pack(given.root, given.pack)
        return
    given.root.mkdir(parents=True, exist_ok=True)
    with suppress(OSError):
        os.sched_setaffinity(0, {sorted(os.sched_getaffinity(0))[given.core]})
    for number in range(given.core, given.count, given.of):
        path = given.root / f"lift_{number:05d}.npz"
        if time.time() > given.until:
            break
        if not path.exists():
            _one(path, number)


def _one(path: Path, number: int) -> None:
    try:
        golfer = golfer_of(number)
        keep_swing(path, perform(golfer.build, golfer.swing, golfer.club, FIRST_SEED + number))
    except Exception as error:  # noqa: BLE001 one swing must not end the worker
        print(number, repr(error)[:120], flush=True)


if __name__ == "__main__":
    main()
