"""Films a list of shots from performances on disk, several at once: here, or where a GPU is.

Posing needs the parametric body (`anny`, `torch`); filming does not. So performances are made first
and kept as files, and what films them may run where those two are not installed.
"""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from itertools import groupby
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studio.archive import load_body, load_performance, save_body, save_performance
from studio.figures import true_club, true_measures
from studio.film import Take, film
from studio.performance import Floats, Performance
from studio.scene import Filming, make_take

BODY_END = ".body.npz"


@dataclass(frozen=True, slots=True)
class Shot:
    """One clip to film."""

    name: str
    performance: str
    """Name of its file, without the ending."""
    seed: int
    """Of the golfer's looks and of the place."""
    filming: Filming


@dataclass(frozen=True, slots=True)
class Report:
    """What filming one shot took."""

    name: str
    frames: int
    seconds: float
    """Of drawing and encoding, by the clock."""
    cpu_seconds: float
    bytes_written: int

    def line(self) -> str:
        """For a person."""
        rate = self.frames / max(self.seconds, 1e-9)
        size = self.bytes_written / 1e6
        return (
            f"{self.name}: {self.frames} pictures in {self.seconds:.1f} s ({rate:.1f}/s), "
            f"{self.cpu_seconds:.1f} s of CPU, {size:.2f} MB"
        )


def keep_performance(folder: Path, name: str, performance: Performance, body: str) -> None:
    """Write NAME.npz, and BODY.body.npz beside it when it is not there yet."""
    folder.mkdir(parents=True, exist_ok=True)
    if not (folder / f"{body}{BODY_END}").exists():
        save_body(folder / f"{body}{BODY_END}", performance.body)
    save_performance(folder / f"{name}.npz", performance, with_body=False)
    (folder / f"{name}.who").write_text(body)


@lru_cache(maxsize=1)
def kept_performance(folder: Path, name: str) -> Performance:
    """Read it back, with its measures."""
    body = load_body(folder / f"{(folder / f'{name}.who').read_text()}{BODY_END}")
    performance = load_performance(folder / f"{name}.npz", body)
    if performance.measures:
        return performance
    joints, times = performance.joints, performance.time_s
    address = int(np.searchsorted(times, performance.moments.get("address", 0.0)))
    measures = true_measures(joints, address, body.stature_m)
    shaft = true_club(performance.butt, performance.hosel, joints)
    return replace(performance, measures=measures | shaft)


def cropped(performance: Performance, first_s: float, last_s: float) -> Performance:
    """The performance between two instants, its own clock kept."""
    times = performance.time_s
    kept = (times >= first_s) & (times <= last_s)

    def cut(value: Any) -> Any:
        if isinstance(value, dict):
            return {name: cut(row) for name, row in value.items()}
        if isinstance(value, np.ndarray) and len(value) == len(times):
            return value[kept]
        return value

    names = {"joints", "turns", "measures"} | {
        field.name for field in fields(performance) if field.name not in ("body", "ball")
    }
    return replace(performance, **{name: cut(getattr(performance, name)) for name in names})


def shoot(shots: Sequence[Shot], performances: Path, out: Path, workers: int = 1) -> list[Report]:
    """Film the shots into `out`: NAME.mp4 and its truth. Each worker draws by itself.

    Views of one performance that stand side by side are filmed by one worker, which dresses the
    golfer once.
    """
    out.mkdir(parents=True, exist_ok=True)
    if workers == 1:
        return [_told(_shoot_one(shot, performances, out)) for shot in shots]
    jobs = [
        (tuple(views), performances, out)
        for _, views in groupby(shots, key=lambda shot: shot.performance)
    ]
    with ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=_draw_in_one_thread
    ) as pool:
        return [report for reports in pool.map(_shoot_views, jobs) for report in reports]


def _draw_in_one_thread() -> None:
    """Keep the software renderer from threads of its own: beside another worker they cost a fifth.

    The pictures stay the same to the bit.
    """
    os.environ.setdefault("LP_NUM_THREADS", "0")


def _told(report: Report) -> Report:
    print(report.line(), flush=True)
    return report


def _shoot_views(job: tuple[tuple[Shot, ...], Path, Path]) -> list[Report]:
    shots, performances, out = job
    return [_told(_shoot_one(shot, performances, out)) for shot in shots]


def _shoot_one(shot: Shot, performances: Path, out: Path) -> Report:
    began, cpu = time.perf_counter(), time.process_time()
    performance = kept_performance(performances, shot.performance)
    take = _slowed(make_take(performance, shot.seed, shot.filming, shot.name))
    written = film(take, out)
    return Report(
        shot.name,
        len(take.times_s),
        time.perf_counter() - began,
        time.process_time() - cpu,
        sum(path.stat().st_size for path in written),
    )


def _slowed(take: Take) -> Take:
    """Slow motion plays its sound slowly too, and lower."""
    factor = take.recording.slow_factor
    if take.sound is None or factor == 1:
        return take
    samples, rate = take.sound
    return replace(take, sound=(_stretched(samples, factor), rate))


def _stretched(samples: NDArray[np.float32], factor: int) -> NDArray[np.float32]:
    grid: Floats = np.arange(len(samples) * factor) / factor
    return np.interp(grid, np.arange(len(samples)), samples).astype(np.float32)
