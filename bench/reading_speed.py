"""How long a reading takes, beside what it cannot do without and beside the plain loop."""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import av
import numpy as np

from bench.clips import swing_clip
from causeline import Settings
from causeline.model.clip import Frame, Picture
from causeline.model.seams import LandmarkEngine
from causeline.model.tracks import Landmarks, Person, Region
from causeline.quantities.angle import Floats
from causeline.reading.run import run_reading
from causeline.sources.club_net import OpenvinoClubNet
from causeline.sources.detect import LandmarkModel, OpenvinoEngine
from causeline.sources.fence import FencedClips
from causeline.wiring import open_doors

SOURCE = Path("demo/clips/reference_mid_iron_down_the_line.mp4")
FOLDER = Path(".cache/bench")
PAGE = Path("docs/performance.md")
BEGIN, END = "<!-- measured -->", "<!-- /measured -->"
CLIPS = {"four seconds": 4.0, "mostly waiting, 12 s": 12.0}
WARM, TIMED = 20, 150
TIMES = 3
"""Readings of each clip; the middle one is told."""
COUNTED = ("club_looks", "coarse_looks", "looks", "searches")
KINDS = ("wall", "used")


class Counting:
    """An engine that counts what it is asked."""

    def __init__(self, engine: LandmarkEngine) -> None:
        self._engine = engine
        self.looks = 0
        self.searches = 0

    def find_people(self, picture: Picture) -> tuple[Person, ...]:
        self.searches += 1
        return self._engine.find_people(picture)

    def find_landmarks(self, looks: Iterable[tuple[Picture, Region]]) -> Iterator[Landmarks]:
        def counted() -> Iterator[tuple[Picture, Region]]:
            for look in looks:
                self.looks += 1
                yield look

        return self._engine.find_landmarks(counted())


def main() -> int:
    """Make the clips, read each in a process of its own, write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--one", type=Path, help="measure one clip and print JSON")
    parser.add_argument("--what", choices=WHATS, default="reading", help="with --one")
    arguments = parser.parse_args()
    if arguments.one:
        print(json.dumps(WHATS[arguments.what](arguments.one)))
        return 0
    lines = [*_head()]
    for name, seconds in CLIPS.items():
        clip = swing_clip(SOURCE, FOLDER / f"{seconds:.0f}s.mp4", seconds)
        lines.append(_row(name, *_measured(clip), _alone(clip, "plain")))
    table = "\n".join(lines)
    print(table)
    _put_into(PAGE, table)
    return 0


def _measured(clip: Path) -> tuple[dict[str, float], dict[str, float]]:
    """The middle one of `TIMES` readings by its share over the least, and that least.

    A shared machine's pace changes by a quarter within minutes: the pace of networks and decoder is
    taken before and after each reading, in processes of their own.
    """
    paces, runs = [_alone(clip, "paces")], []
    for _ in range(TIMES):
        reading = _alone(clip, "reading")
        paces.append(_alone(clip, "paces"))
        runs.append((reading, _least(reading, paces[-2:])))
    return sorted(runs, key=lambda run: run[0]["wall_s"] / run[1]["wall_s"])[TIMES // 2]


def _least(reading: dict[str, float], paces: list[dict[str, float]]) -> dict[str, float]:
    """Seconds that one decode and the networks take for what was looked at."""
    mean = {key: float(np.mean([pace[key] for pace in paces])) for key in paces[0]}
    model = {kind: sum(reading[key] * mean[f"{key}_{kind}"] for key in COUNTED) for kind in KINDS}
    return {
        "decode_s": mean["decode_wall"],
        "model_s": model["wall"],
        "wall_s": mean["decode_wall"] + model["wall"],
        "used_s": mean["decode_used"] + model["used"],
    }


def _alone(clip: Path, what: str) -> dict[str, float]:
    command = [sys.executable, "-m", "bench.reading_speed", "--one", str(clip), "--what", what]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    result: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return result


def _reading(clip: Path) -> dict[str, float]:
    doors = open_doors()
    scout, engine = Counting(doors.scout), Counting(doors.engine)
    counted = replace(doors, scout=scout, engine=engine)
    stages: dict[str, float] = {}
    began, used = time.perf_counter(), _used_s()

    def found(*_: object) -> None:
        stages.setdefault("found", time.perf_counter() - began)

    run_reading(clip, counted, Settings(), lambda *_: None, found)
    wall = time.perf_counter() - began
    if isinstance(doors.source, FencedClips):
        doors.source.close()
    used = _used_s() - used
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return {
        "wall_s": wall,
        "used_s": used,
        "first_s": stages["found"],
        "memory_mb": memory,
        "club_looks": engine.looks,
        "coarse_looks": scout.looks,
        "looks": engine.looks,
        "searches": scout.searches + engine.searches,
    }


def _paces(clip: Path) -> dict[str, float]:
    """Seconds, by the clock and of processors: one decode, and one look of each kind."""
    costs = {
        "decode": _cost(lambda: _decode(clip)),
        "club_looks": _club_cost(),
        "coarse_looks": _look_cost(LandmarkModel.FULL),
        "looks": _look_cost(LandmarkModel.HEAVY),
        "searches": _search_cost(),
    }
    return {
        f"{name}_{kind}": float(cost[k])
        for name, cost in costs.items()
        for k, kind in enumerate(KINDS)
    }


def _used_s() -> float:
    """Processor seconds of this process and of those it started and saw end."""
    kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    used = [resource.getrusage(kind) for kind in kinds]
    return sum(each.ru_utime + each.ru_stime for each in used)


def _cost(work: Callable[[], object], times: int = 1) -> Floats:
    """(2,) seconds by the clock and of processors that one of `times` pieces of work takes."""
    began, used = time.perf_counter(), _used_s()
    work()
    return np.array([time.perf_counter() - began, _used_s() - used]) / times


def _plain(clip: Path) -> dict[str, float]:
    """Decode, and run the heavy network on every frame in turn."""
    engine = OpenvinoEngine(LandmarkModel.HEAVY)
    began, frames = time.perf_counter(), 0
    with av.open(str(clip)) as container:
        container.streams.video[0].thread_type = "AUTO"
        for frame in container.decode(video=0):
            picture: Picture = np.asarray(frame.to_ndarray(format="rgb24"), np.uint8)
            height, width = picture.shape[:2]
            next(iter(engine.find_landmarks([(picture, Region(width / 2, height / 2, height))])))
            frames += 1
    return {"wall_s": time.perf_counter() - began, "frames": frames}


def _decode(clip: Path) -> None:
    with av.open(str(clip)) as container:
        container.streams.video[0].thread_type = "AUTO"
        for _ in container.decode(video=0):
            pass


def _look_cost(model: LandmarkModel) -> Floats:
    engine = OpenvinoEngine(model)
    look = (np.full((640, 360, 3), 128, dtype=np.uint8), Region(180, 320, 600))
    list(engine.find_landmarks([look] * WARM))
    return _cost(lambda: list(engine.find_landmarks([look] * TIMED)), TIMED)


def _search_cost() -> Floats:
    engine, picture = OpenvinoEngine(), np.full((640, 360, 3), 128, dtype=np.uint8)
    engine.find_people(picture)
    return _cost(lambda: [engine.find_people(picture) for _ in range(WARM)], WARM)


def _club_cost() -> Floats:
    net, region = OpenvinoClubNet(), Region(180, 320, 250)
    frames = [Frame(number, np.full((640, 360, 3), 128, dtype=np.uint8)) for number in range(TIMED)]
    list(net.find_club(frames[:WARM], [region] * WARM))
    return _cost(lambda: list(net.find_club(frames, [region] * TIMED)), TIMED)


def _head() -> Iterator[str]:
    yield f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}. "
    yield "Every clip is 1080 × 1920 at 240 Hz, H.264, with one swing in it.\n"
    yield (
        "| clip | wall | decode + model | wall over that | processor time over theirs | plain loop "
        "| times faster | first moments | frames read closely | peak memory |"
    )
    yield "|---|---|---|---|---|---|---|---|---|---|"


def _row(
    name: str, ours: dict[str, float], least: dict[str, float], plain: dict[str, float]
) -> str:
    return (
        f"| {name} | {ours['wall_s']:.1f} s | {least['decode_s']:.1f} + {least['model_s']:.1f} s "
        f"| {ours['wall_s'] / least['wall_s']:.2f} | {ours['used_s'] / least['used_s']:.2f} "
        f"| {plain['wall_s']:.1f} s "
        f"| {plain['wall_s'] / ours['wall_s']:.1f} | after {ours['first_s']:.1f} s "
        f"({ours['first_s'] / ours['wall_s']:.0%}) | {ours['looks']:.0f} of {plain['frames']:.0f} "
        f"| {ours['memory_mb']:.0f} MB |"
    )


def _put_into(page: Path, table: str) -> None:
    head, _, rest = page.read_text(encoding="utf-8").partition(BEGIN)
    tail = rest.partition(END)[2]
    page.write_text(f"{head}{BEGIN}\n\n{table}\n\n{END}{tail}", encoding="utf-8")


WHATS: dict[str, Callable[[Path], dict[str, float]]] = {
    "reading": _reading,
    "paces": _paces,
    "plain": _plain,
}


if __name__ == "__main__":
    sys.exit(main())
