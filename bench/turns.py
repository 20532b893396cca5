"""How far off the turns are, from one view and from two: the body in space, out of tapes.

`python -m bench.turns --tapes FOLDER [--only swing]`: by view and moment the bias, the mean and the
95th percentile of the error of all swings, and the share of truths inside the 90 % interval; then
how many are told to the golfer at all (the ± is not too wide), and the same of those.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bench.readings import Beside, beside, files_of
from bench.tapes import TRUTH_END
from causeline.body.recover import recover_body
from causeline.body.shot import View3D
from causeline.measures.turn import SHOULDER_TURN, SLOPE_S
from causeline.model.clip import View
from causeline.model.motion import TURNS
from causeline.quantities.uncertain import NORMAL_90
from causeline.sources.motion_prior import decode_prior

MOMENTS = ("arm_level_back", "top", "arm_level_down", "impact", "finish")
BOTH = "two views"


@dataclass(frozen=True, slots=True)
class Turned:
    """A turn at a moment beside its truth, degrees."""

    views: str
    turn: str
    moment: str
    error: float
    """NaN where there was no answer."""
    sd: float


def main() -> int:
    """Judge, compare, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--only", default="", help="beginning of the names to take")
    parser.add_argument("--workers", type=int, default=1)
    given = parser.parse_args()
    swings: dict[str, list[Path]] = defaultdict(list)
    for file in files_of(given.tapes, given.only):
        if file.name.endswith(TRUTH_END):
            kind, number = file.name.split("_")[:2]
            swings[f"{kind}_{number}"].append(file)
    if not swings:
        print(f"no tapes in {given.tapes}", file=sys.stderr)
        return 1
    with ProcessPoolExecutor(given.workers) as pool:
        turned = [one for found in pool.map(turns_of, swings.values()) for one in found]
    print("\n".join(table_of(turned)))
    return 0


def turns_of(files: Sequence[Path]) -> list[Turned]:
    """Each view of one swing by itself, then both."""
    read = [one for one in map(beside, files) if one.reading is not None]
    found = [each for one in read for each in _compared(one.view, [one])]
    return found + (_compared(BOTH, read) if len(read) > 1 else [])


def table_of(turned: Sequence[Turned]) -> Iterator[str]:
    """Lines of the table."""
    groups: dict[tuple[str, str, str], list[Turned]] = defaultdict(list)
    for one in turned:
        groups[one.views, one.turn, one.moment].append(one)
    yield "| views | turn | at | swings | bias | mean | 95th | inside 90 % | told | mean | 95th |"
    yield "|---|---|---|---|---|---|---|---|---|---|---|"
    for (views, turn, moment), all_of in sorted(groups.items()):
        known = [one for one in all_of if np.isfinite(one.error)]
        errors, sd = (np.array([getattr(one, name) for one in known]) for name in ("error", "sd"))
        if not len(known):
            yield f"| {views} | {turn} | {moment} | {len(all_of)} | - | - | - | - | 0% | - | - |"
            continue
        told = np.abs(errors[sd <= SHOULDER_TURN.widest])
        shown = f"{told.mean():.1f} | {np.percentile(told, 95):.1f}" if len(told) else "- | -"
        yield (
            f"| {views} | {turn} | {moment} | {len(all_of)} | {errors.mean():+.1f} "
            f"| {np.abs(errors).mean():.1f} | {np.percentile(np.abs(errors), 95):.1f} "
            f"| {np.mean(np.abs(errors) <= NORMAL_90 * sd):.0%} "
            f"| {len(told) / len(all_of):.0%} | {shown} |"
        )


def _compared(views: str, read: Sequence[Beside]) -> list[Turned]:
    motion = recover_body([_view(one) for one in read], decode_prior())
    truth, found = read[0].truth, {str(m.name): m for m in read[0].swing.moments.found}
    times = np.asarray(truth.facts["frames"]["time_s"])
    out = []
    for moment in (name for name in MOMENTS if name in truth.moments):
        for turn in TURNS:
            true = np.interp(truth.moments[moment], times, truth.facts["turns_deg"][turn])
            value = sd = np.nan
            if motion is not None and moment in found:
                at, late = found[moment].time_s, found[moment].sd_s
                value, sd = (np.interp(at, motion.time_s, each) for each in motion.turn(turn))
                ends = np.interp([at - SLOPE_S, at + SLOPE_S], motion.time_s, motion.turn(turn)[0])
                sd = np.hypot(sd, (ends[1] - ends[0]) / (2 * SLOPE_S) * late)
            out.append(Turned(views, turn, moment, float(value - true), float(sd)))
    return out


def _view(one: Beside) -> View3D:
    if one.reading is None:
        raise ValueError(f"{one.name} was not read: {one.problem}")
    swing, clip = one.swing, one.reading.clip
    view = View(one.reading.view.name)
    return View3D(swing.body, swing.moments, view, (clip.width, clip.height), swing.club)


if __name__ == "__main__":
    sys.exit(main())
