"""Readings beside their truth: of clips, or of tapes of what was once seen in clips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from bench import truths
from bench.tapes import REFUSED_END, SEEN_END, TRUTH_END, load_truth_tape
from bench.truths import Truth
from causeline import CauselineError, Settings, read_clip
from causeline.model.clip import View
from causeline.model.motion import MotionPrior
from causeline.model.reading import Reading, Swing
from causeline.reading.pair import run_both
from causeline.reading.run import run_judging
from causeline.sources.motion_prior import decode_prior
from causeline.store.seen_file import load_seen

RATES_HZ = (30, 60, 120, 240)


@dataclass(frozen=True, slots=True, eq=False)
class Beside:
    """A clip's truth, and what was read of it."""

    name: str
    truth: Truth
    reading: Reading | None
    problem: str = ""
    """Why it was not read."""

    @property
    def view(self) -> str:
        """From where it was truly filmed."""
        return str(self.truth.facts["file"]["view"])

    @property
    def rate_hz(self) -> int:
        """Pictures that the phone took in a real second."""
        true = self.truth.facts["file"]["rate_hz"]
        return min(RATES_HZ, key=lambda rate: abs(rate - true))

    @property
    def swing(self) -> Swing:
        """The swing in whose window the ball is truly struck, or the first.

        Raises ValueError where nothing was read.
        """
        if self.reading is None:
            raise ValueError(
                f"{self.name} was not read ({self.problem}); ask for its reading first"
            )
        struck = self.truth.moments.get("impact", 0.0)
        swings = self.reading.swings
        return next((one for one in swings if _holds(one, struck)), swings[0])


def files_of(folder: Path, start: str = "") -> list[Path]:
    """The truth files, or truth tapes, of a folder whose names begin so."""
    endings = (".truth.json", ".truth.json.gz", TRUTH_END)
    return sorted(p for p in folder.glob(f"{start}*") if p.name.endswith(endings))


def beside(file: Path, in_space: bool = True) -> Beside:
    """The reading of a clip by its truth file, or of a tape by its truth tape.

    Without the body `in_space` a tape is judged in a tenth of the time; the club asks for no more.
    """
    if file.name.endswith(TRUTH_END):
        return _of_tape(file, decode_prior() if in_space else None)
    truth = truths.load(file)
    facts = truth.facts["file"]
    name, rate = str(facts["name"]), round(facts["rate_hz"])
    silent = facts["slow_factor"] > 1 and not facts["says_capture_rate"]
    settings = Settings(capture_hz=float(rate)) if silent else Settings()
    try:
        return Beside(name, truth, read_clip(file.parent / name, settings).reading)
    except CauselineError as error:
        return Beside(name, truth, None, str(error))


def beside_both(files: Sequence[Path], alone: Sequence[Beside]) -> Sequence[Beside]:
    """The views of one swing again, by their tapes, the body of each solved from both.

    Where there is one view alone, or one was not read, or the two cannot be one golfer's, each is
    what it is by itself.
    """
    if len(files) != len(View) or any(one.reading is None for one in alone):
        return alone
    seen = [load_seen(file.with_name(file.name.replace(TRUTH_END, SEEN_END))) for file in files]
    try:
        pair = run_both(seen[0], seen[1], decode_prior())
    except CauselineError:
        return alone
    return [replace(one, reading=reading) for one, reading in zip(alone, pair, strict=True)]


def _of_tape(file: Path, prior: MotionPrior | None) -> Beside:
    truth, stem = load_truth_tape(file), file.name.removesuffix(TRUTH_END)
    name, refused = str(truth.facts["file"]["name"]), file.with_name(stem + REFUSED_END)
    if refused.exists():
        return Beside(name, truth, None, refused.read_text(encoding="utf-8"))
    seen = load_seen(file.with_name(stem + SEEN_END))
    return Beside(name, truth, run_judging(seen, prior=prior))


def _holds(swing: Swing, time_s: float) -> bool:
    times = swing.body.time_s
    return bool(times[0] <= time_s <= times[-1])
