"""One worker on one core: takes the next clip that nobody has, films it, sees it, keeps the tape.

A clip is claimed by making a file, so workers need not know of each other, and one that dies takes
only its own clip with it.
"""

from __future__ import annotations

import argparse
import os
import time
import traceback
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from bench import truths
from bench.tapes import REFUSED_END, SEEN_END, TRUTH_END, save_truth_tape
from studio.accuracy_cast import AFTER_S, BEFORE_S
from studio.accuracy_set import Plan, performance_name
from studio.perform import perform
from studio.shoot import Shot, cropped, keep_performance, shoot
from training.pool.sets import golfer_of, ordered

from causeline import CauselineError
from causeline.reading.doors import Doors, Settings
from causeline.reading.run import run_seeing
from causeline.store.seen_file import save_seen
from causeline.wiring import open_doors

RATES_HZ = (30, 60, 120, 240)
PATIENCE_S = 60.0
"""For somebody else's posing."""
KEPT_CLIPS = "swing"
"""Kind of the clips that are kept as clips too."""


@dataclass(frozen=True, slots=True)
class Folders:
    """Where things are on this machine."""

    root: Path

    def of(self, name: str) -> Path:
        """A folder, made if need be."""
        folder = self.root / name
        folder.mkdir(parents=True, exist_ok=True)
        return folder

    def claim(self, name: str) -> bool:
        """Whether it is ours now."""
        try:
            os.close(os.open(self.of("claims") / name, os.O_CREAT | os.O_EXCL))
        except FileExistsError:
            return False
        return True


def main() -> int:
    """Work until the list is done or the time is up."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--root", type=Path, required=True)
    parser.add_argument("--core", type=int, required=True)
    parser.add_argument("--until", type=float, required=True, help="epoch seconds: begin no more")
    parser.add_argument("--sizes", type=int, nargs=5, required=True)
    parser.add_argument("--pose-only", action="store_true")
    given = parser.parse_args()
    with suppress(OSError):
        os.sched_setaffinity(0, {given.core})
    folders, planned = Folders(given.root), ordered(*given.sizes)
    if given.pose_only:
        _pose_all(folders, [plan for plan, _ in planned], given.until)
        return 0
    doors = open_doors()
    for plan, shot in planned:
        if time.time() > given.until:
            break
        done = folders.of("tapes") / f"{shot.name}{TRUTH_END}"
        if not done.exists() and folders.claim(shot.name):
            try:
                _one(folders, doors, plan, shot)
            except Exception:  # noqa: BLE001 one clip must not end the worker
                print(f"{shot.name}: {traceback.format_exc()}", flush=True)
    return 0


def _pose_all(folders: Folders, plans: Sequence[Plan], until: float) -> None:
    """Those that nobody has begun."""
    for plan in plans:
        if time.time() < until and folders.claim(f"{performance_name(plan)}.alone"):
            try:
                _posed(folders, plan)
            except Exception:  # noqa: BLE001 one golfer must not end the worker
                print(f"{performance_name(plan)}: {traceback.format_exc()}", flush=True)


def _one(folders: Folders, doors: Doors, plan: Plan, shot: Shot) -> None:
    began = time.time()
    performances = _posed(folders, plan)
    posed = time.time()
    out = folders.of("clips" if plan.kind == KEPT_CLIPS else "passing")
    shoot([shot], performances, out)
    filmed = time.time()
    (truth_file,) = out.glob(f"{shot.name}.truth.json*")
    truth = truths.load(truth_file)
    _see(folders, doors, truth, out)
    save_truth_tape(_beside(folders, shot.name, TRUTH_END), truth)
    if plan.kind != KEPT_CLIPS:
        truth_file.unlink()
        (out / truth.facts["file"]["name"]).unlink()
    spent = (posed - began, filmed - posed, time.time() - filmed)
    print(f"{shot.name}: " + ", ".join(f"{each:.1f}" for each in spent), flush=True)


def _beside(folders: Folders, name: str, end: str) -> Path:
    return folders.of("tapes") / f"{name}{end}"


def _see(folders: Folders, doors: Doors, truth: truths.Truth, out: Path) -> None:
    facts = truth.facts["file"]
    capture = min(RATES_HZ, key=lambda rate: abs(rate - facts["rate_hz"]))
    silent = facts["slow_factor"] > 1 and not facts["says_capture_rate"]
    settings = Settings(capture_hz=float(capture)) if silent else Settings()
    name = Path(facts["name"]).stem
    try:
        seen = run_seeing(out / facts["name"], doors, settings)
    except CauselineError as error:
        _beside(folders, name, REFUSED_END).write_text(str(error))
    else:
        save_seen(_beside(folders, name, SEEN_END), seen)


def _posed(folders: Folders, plan: Plan) -> Path:
    """The folder of performances, with this one in it."""
    folder, name = folders.of("performances"), performance_name(plan)
    if (folder / f"{name}.who").exists():
        return folder
    if not folders.claim(f"{name}.pose"):
        patience = time.time() + PATIENCE_S
        while time.time() < patience:
            if (folder / f"{name}.who").exists():
                return folder
            time.sleep(0.2)
    golfer = golfer_of(plan)
    done = perform(golfer.build, golfer.swing, golfer.club, plan.seed)
    start = done.moments["start"]
    last = done.moments.get("impact", start + 1.5) + AFTER_S
    keep_performance(folder, name, cropped(done, start - BEFORE_S, last), name)
    return folder


if __name__ == "__main__":
    raise SystemExit(main())
