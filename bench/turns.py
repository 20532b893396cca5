"""How far off the turns are, from one view and from two: the body in space, out of tapes.

`python -m bench.turns --tapes FOLDER [--only swing]`: by view and moment the bias, the mean and the
95th percentile of the error of all swings, the share of truths inside the 90 % interval, and how
many answers are off by more than three of their ±; then how many are told to the golfer at all (the
± is not too wide), and the same of those. Then how far the two views of a swing are apart.
`make accuracy` writes the same tables, of its clips, into the page.
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
from causeline.body.recover import recover_body
from causeline.body.shot import View3D
from causeline.measures.turn import SHOULDER_TURN, SLOPE_S
from causeline.model.clip import View
from causeline.model.motion import TURNS, Motion
from causeline.quantities.uncertain import NORMAL_90
from causeline.sources.motion_prior import decode_prior

MOMENTS = ("arm_level_back", "top", "arm_level_down", "impact", "finish")
BOTH = "two views"
ASTRAY = 3.0
"""An answer off by more than so many of its ± has gone astray."""


@dataclass(frozen=True, slots=True)
class Turned:
    """A turn at a moment beside its truth, degrees."""

    swing: str
    views: str
    turn: str
    moment: str
    error: float
    """NaN where there was no answer."""
    sd: float

    @property
    def key(self) -> tuple[str, str, str]:
        """What is told apart in a table."""
        return self.views, self.turn, self.moment


def main() -> int:
    """Judge, compare, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--only", default="", help="beginning of the names to take")
    parser.add_argument("--workers", type=int, default=1)
    given = parser.parse_args()
    swings = list(by_swing(files_of(given.tapes, given.only)).values())
    if not swings:
        print(f"no tapes in {given.tapes}", file=sys.stderr)
        return 1
    with ProcessPoolExecutor(given.workers) as pool:
        turned = [one for found in pool.map(turns_of_files, swings) for one in found]
    print("\n".join([*table_of(turned), "", *agreement_of(turned)]))
    return 0


def by_swing(files: Sequence[Path]) -> dict[str, list[Path]]:
    """Truth files, or truth tapes, of each swing: one for each view."""
    swings: dict[str, list[Path]] = defaultdict(list)
    for file in files:
        swings["_".join(file.name.split("_")[:2])].append(file)
    return swings


def turns_of_files(files: Sequence[Path]) -> list[Turned]:
    """As `turns_of`, read first."""
    return turns_of([beside(file) for file in files])


def turns_of(views: Sequence[Beside]) -> list[Turned]:
    """Each view of one swing by itself, then both."""
    read = [one for one in views if one.reading is not None]
    found = [each for one in read for each in _compared(one.view, [one], one.swing.motion)]
    if len(read) < len(View):
        return found
    both = recover_body([view_of(one) for one in read], decode_prior())
    return found + _compared(BOTH, read, both)


def table_of(turned: Sequence[Turned]) -> Iterator[str]:
    """Lines of the table."""
    groups: dict[tuple[str, str, str], list[Turned]] = defaultdict(list)
    for one in turned:
        groups[one.key].append(one)
    yield (
        "| views | turn | at | swings | bias | mean | 95th | inside 90 % | astray "
        "| told | mean | 95th |"
    )
    yield "|---|---|---|---|---|---|---|---|---|---|---|---|"
    for (views, turn, moment), all_of in sorted(groups.items()):
        known = [one for one in all_of if np.isfinite(one.error)]
        errors, sd = (np.array([getattr(one, name) for one in known]) for name in ("error", "sd"))
        if not len(known):
            yield f"| {views} | {turn} | {moment} | {len(all_of)} {5 * '| - '}| 0% | - | - |"
            continue
        told = np.abs(errors[sd <= SHOULDER_TURN.widest])
        shown = f"{told.mean():.1f} | {np.percentile(told, 95):.1f}" if len(told) else "- | -"
        yield (
            f"| {views} | {turn} | {moment} | {len(all_of)} | {errors.mean():+.1f} "
            f"| {np.abs(errors).mean():.1f} | {np.percentile(np.abs(errors), 95):.1f} "
            f"| {np.mean(np.abs(errors) <= NORMAL_90 * sd):.0%} "
            f"| {np.count_nonzero(np.abs(errors) > ASTRAY * sd)} "
            f"| {len(told) / len(all_of):.0%} | {shown} |"
        )


def agreement_of(turned: Sequence[Turned]) -> Iterator[str]:
    """Lines of a table: how far two readings of one swing, from either view, are apart."""
    found: dict[tuple[str, str, str], list[Turned]] = defaultdict(list)
    for one in turned:
        if one.views != BOTH and np.isfinite(one.error):
            found[one.swing, one.turn, one.moment].append(one)
    apart: dict[tuple[str, str], list[tuple[float, float]]] = defaultdict(list)
    for (_, turn, moment), pair in found.items():
        if len(pair) == len(View):
            far = abs(pair[0].error - pair[1].error)
            apart[turn, moment].append((far, float(np.hypot(pair[0].sd, pair[1].sd))))
    yield "| the two views of one swing: turn | at | swings | apart, mean | inside 90 % of both ± |"
    yield "|---|---|---|---|---|"
    for (turn, moment), pairs in sorted(apart.items()):
        far, sd = np.array(pairs).T
        inside = np.mean(far <= NORMAL_90 * sd)
        yield f"| {turn} | {moment} | {len(pairs)} | {far.mean():.1f} | {inside:.0%} |"


def _compared(views: str, read: Sequence[Beside], motion: Motion | None) -> list[Turned]:
    swing = read[0].name.removesuffix(".mp4").removesuffix(f"_{read[0].view}".replace("-", "_"))
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
            out.append(Turned(swing, views, turn, moment, float(value - true), float(sd)))
    return out


def view_of(one: Beside) -> View3D:
    """What a fit takes of a reading. Raises ValueError where there is none."""
    if one.reading is None:
        raise ValueError(f"{one.name} was not read: {one.problem}")
    swing, clip = one.swing, one.reading.clip
    view = View(one.reading.view.name)
    return View3D(swing.body, swing.moments, view, (clip.width, clip.height), swing.club)


if __name__ == "__main__":
    sys.exit(main())
