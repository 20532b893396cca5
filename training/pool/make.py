"""Keeps a worker on each core until the time is up, then packs what came into few files.

`python3 -m training.pool.make --root FOLDER --out FOLDER --minutes 9 --sizes 24 200 100 150 150`

Sizes: swings of the accuracy set, with a planted cause, sound, for training, for fitting. Run again
with the same root, it goes on where it stopped, and packs only what was not packed before.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tarfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from bench.tapes import REFUSED_END, SEEN_END, TRUTH_END

LIMIT_BYTES = 15_500_000
PACKING_S = 25.0
"""Kept free at the end."""
LONG_S = 45.0
"""Nobody begins a clip when less than this is left."""


@dataclass(frozen=True, slots=True)
class Crew:
    """The workers, one a core."""

    root: Path
    cores: Sequence[int]
    sizes: Sequence[int]
    ends: float
    pose_only: bool = False

    def work(self) -> None:
        """Until the time is up or all is done; who dies is replaced once a second."""
        workers = {core: self._start(core) for core in self.cores}
        while workers and time.time() < self.ends:
            time.sleep(1.0)
            for core, worker in list(workers.items()):
                if worker.poll() == 0:
                    del workers[core]
                elif worker.poll() is not None:
                    workers[core] = self._start(core)
        for worker in workers.values():
            worker.kill()
            worker.wait()

    def _start(self, core: int) -> subprocess.Popen[bytes]:
        until = max(self.ends - LONG_S, time.time() + 1.0)
        command = [
            sys.executable, "-m", "training.pool.work", "--root", str(self.root),
            "--core", str(core), "--until", str(until), "--sizes", *map(str, self.sizes),
            *(["--pose-only"] if self.pose_only else []),
        ]  # fmt: skip
        log = (self.root / f"worker_{core}.log").open("ab")
        gpus = max(1, len(list(Path("/dev").glob("nvidia[0-9]*"))))
        environment = os.environ | {"GLCONTEXT_DEVICE_INDEX": str(core % gpus)}
        return subprocess.Popen(command, stdout=log, stderr=log, env=environment)  # noqa: S603


def main() -> int:
    """Work, pack, tell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--root", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--minutes", type=float, required=True)
    parser.add_argument("--sizes", type=int, nargs=5, default=(24, 200, 100, 150, 150))
    parser.add_argument("--workers", type=int, default=len(os.sched_getaffinity(0)))
    parser.add_argument("--files", type=int, default=4, help="how many files may come back")
    parser.add_argument("--pose-only", action="store_true", help="make the performances and stop")
    parser.add_argument("--clips", action="store_true", help="pack the accuracy set's clips too")
    given = parser.parse_args()
    ends = time.time() + 60.0 * given.minutes
    for stale in ("claims", "passing"):
        shutil.rmtree(given.root / stale, ignore_errors=True)
    given.root.mkdir(parents=True, exist_ok=True)
    given.out.mkdir(parents=True, exist_ok=True)
    cores = sorted(os.sched_getaffinity(0))[: given.workers]
    if given.minutes > 0:
        Crew(given.root, cores, given.sizes, ends - PACKING_S, given.pose_only).work()
    if given.pose_only:
        return 0
    print(_told(given.root))
    _pack(given.root, given.out, given.files, given.clips)
    return 0


def _told(root: Path) -> str:
    tapes = sorted((root / "tapes").glob(f"*{TRUTH_END}"))
    kinds = [tape.name.split("_")[0] for tape in tapes]
    counts = ", ".join(f"{kind} {kinds.count(kind)}" for kind in sorted(set(kinds)))
    refused = [path.name for path in (root / "tapes").glob(f"*{REFUSED_END}")]
    logs = [line for log in root.glob("worker_*.log") for line in log.read_text().splitlines()]
    failed = [line for line in logs if "Error" in line]
    return "\n".join([f"clips with tapes: {counts}", f"refused: {refused}", *failed[-20:]])


def _pack(root: Path, out: Path, files: int, clips: bool) -> None:
    """Whole tapes first, then clips, into tar files; a list remembers what has been packed."""
    list_file = root / "packed.txt"
    packed = set(list_file.read_text().splitlines()) if list_file.exists() else set()
    bundles = _bundles([group for group in _groups(root, clips) if group[0].name not in packed])
    for bundle in bundles[:files]:
        path = out / f"{bundle[0][0].name.split('.')[0]}.tar"
        with tarfile.open(path, "w") as tar:
            for file in (file for group in bundle for file in group):
                tar.add(file, f"{file.parent.name}/{file.name}")
        packed |= {group[0].name for group in bundle}
        print(f"{path.name}: {len(bundle)} clips, {path.stat().st_size / 1e6:.1f} MB")
    list_file.write_text("\n".join(sorted(packed)))
    print(f"{max(0, len(bundles) - files)} files more are waiting")


def _groups(root: Path, clips: bool) -> list[list[Path]]:
    """Files that belong together; the first names them."""
    groups = []
    for truth in sorted((root / "tapes").glob(f"*{TRUTH_END}"), key=lambda p: p.stat().st_mtime):
        name = truth.name.removesuffix(TRUTH_END)
        other = [truth.with_name(name + end) for end in (SEEN_END, REFUSED_END)]
        groups.append([truth, *(path for path in other if path.exists())])
    films = sorted((root / "clips").glob("*.mp4")) if clips else []
    return groups + [[film, *film.parent.glob(f"{film.stem}.truth.json*")] for film in films]


def _bundles(groups: list[list[Path]]) -> list[list[list[Path]]]:
    bundles: list[list[list[Path]]] = []
    size = LIMIT_BYTES
    for group in groups:
        more = sum(file.stat().st_size + 1536 for file in group)
        if size + more > LIMIT_BYTES:
            bundles.append([])
            size = 0
        bundles[-1].append(group)
        size += more
    return bundles


if __name__ == "__main__":
    raise SystemExit(main())
