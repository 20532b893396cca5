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
    parser.add_argument("--plain", action="store_true", help="with --one: the plain loop instead")
    arguments = parser.parse_args()
    if arguments.one:
        measured = _plain(arguments.one) if arguments.plain else _reading(arguments.one)
        print(json.dumps(measured))
        return 0
    lines = [*_head()]
    for name, seconds in CLIPS.items():
        clip = swing_clip(SOURCE, FOLDER / f"{seconds:.0f}s.mp4", seconds)
        lines.append(_row(name, _alone(clip), _alone(clip, "--plain")))
    table = "\n".join(lines)
    print(table)
    _put_into(PAGE, table)
    return 0


def _alone(clip: Path, *more: str) -> dict[str, float]:
    command = [sys.executable, "-m", "bench.reading_speed", "--one", str(clip), *more]
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
    decode = _cost(lambda: _decode(clip))
    model = (
        engine.looks * _club_cost()
        + scout.looks * _look_cost(LandmarkModel.FULL)
        + engine.looks * _look_cost(LandmarkModel.HEAVY)
        + (scout.searches + engine.searches) * _search_cost()
    )
    return {
        "wall_s": wall,
        "used_s": used,
        "first_s": stages["found"],
        "decode_s": float(decode[0]),
        "model_s": float(model[0]),
        "least_used_s": float(decode[1] + model[1]),
        "looks": engine.looks,
        "coarse_looks": scout.looks,
        "memory_mb": memory,
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


def _row(name: str, ours: dict[str, float], plain: dict[str, float]) -> str:
    least = ours["decode_s"] + ours["model_s"]
    return (
        f"| {name} | {ours['wall_s']:.1f} s | {ours['decode_s']:.1f} + {ours['model_s']:.1f} s "
        f"| {ours['wall_s'] / least:.2f} | {ours['used_s'] / ours['least_used_s']:.2f} "
        f"| {plain['wall_s']:.1f} s "
        f"| {plain['wall_s'] / ours['wall_s']:.1f} | after {ours['first_s']:.1f} s "
        f"({ours['first_s'] / ours['wall_s']:.0%}) | {ours['looks']:.0f} of {plain['frames']:.0f} "
        f"| {ours['memory_mb']:.0f} MB |"
    )


def _put_into(page: Path, table: str) -> None:
    head, _, rest = page.read_text(encoding="utf-8").partition(BEGIN)
    tail = rest.partition(END)[2]
    page.write_text(f"{head}{BEGIN}\n\n{table}\n\n{END}{tail}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
