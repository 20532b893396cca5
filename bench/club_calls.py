"""How often the club's yes-or-no calls are right, in swings whose true margin is not small.

`python -m bench.club_calls --set FOLDER` reads clips; `--tapes FOLDER` judges tapes again. Beside
the calls it tells, for every measure of the club, how far off it is and how much its ± holds.
The truth is that of `bench/club_truths.py`.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bench.club_truths import true_club_value
from bench.readings import beside, files_of
from bench.truths import Truth
from causeline.measures.club_calls import CALLS, measure_club_calls
from causeline.measures.club_catalogue import CLUB_CATALOGUE
from causeline.model.measures import Measure
from causeline.model.reading import Reading, Swing
from causeline.quantities.uncertain import NORMAL_90

MARGIN = 3.0
"""Degrees; or per cent of stature, which is what 3° are to a club of 0.57 statures."""


@dataclass(frozen=True, slots=True)
class Judged:
    """One call beside its truth."""

    measure: str
    moment: str
    margin: float
    """The true value, degrees or per cent of stature."""
    chance: float
    """Probability that the reading gives to a value above zero; NaN where nothing is called."""

    @property
    def counts(self) -> bool:
        """Whether the true margin is large enough to ask for the right call."""
        return abs(self.margin) > MARGIN

    @property
    def right(self) -> bool:
        """Whether the likelier call is the true one."""
        return (self.chance >= 0.5) == (self.margin >= 0)


@dataclass(frozen=True, slots=True)
class Off:
    """One measure of the club beside its truth."""

    name: str
    view: str
    unit: str
    error: float
    """NaN where it was refused."""
    sd: float


def main() -> int:
    """Read the clips, judge, print the tables; 0 when it was done."""
    parser = argparse.ArgumentParser(description=__doc__)
    source = parser.add_mutually_exclusive_group(required=True)
    source.add_argument("--set", type=Path, help="folder of clips and truth files")
    source.add_argument("--tapes", type=Path, help="folder of tapes")
    parser.add_argument("--only", default="", help="beginning of the names of the clips to take")
    parser.add_argument("--workers", type=int, default=1)
    arguments = parser.parse_args()
    files = files_of(arguments.set or arguments.tapes, arguments.only)
    if not files:
        print("no truth files there: make the set first", file=sys.stderr)
        return 1
    with ProcessPoolExecutor(arguments.workers) as pool:
        read = list(pool.map(_read_and_judge, files))
    print("\n".join(calls_table(call for calls, _ in read for call in calls)))
    print()
    print("\n".join(offs_table(off for _, offs in read for off in offs)))
    return 0


def judge_calls(reading: Reading, truth: Truth) -> list[Judged]:
    """Every call that the truth allows, of the swing with most of its moments found."""
    swing = max(reading.swings, key=lambda one: len(one.moments.found))
    view = reading.view.name
    said = {(one.measure, one.moment): one.chance for one in measure_club_calls(swing.measures)}
    out = []
    for spec in CLUB_CATALOGUE:
        if spec.name not in CALLS or view not in spec.views:
            continue
        for moment in spec.moments or (None,):
            margin = true_club_value(truth, spec.name, moment, view)
            if margin is not None and (spec.name, moment) not in UNASKED:
                chance = said.get((spec.name, moment), float("nan"))
                out.append(Judged(spec.name, moment or "", margin, chance))
    return out


def judge_measures(swing: Swing, truth: Truth, view: str) -> Iterator[Off]:
    """Every measure of the club whose truth is known."""
    names = {spec.name for spec in CLUB_CATALOGUE}
    for one in swing.measures:
        if one.name not in names:
            continue
        true = true_club_value(truth, one.name, one.moment, view)
        if true is None:
            continue
        label = f"{one.name} {one.moment or ''}".strip()
        if isinstance(one, Measure):
            error = one.value - true
            if one.unit == "°":
                error = (error + 180.0) % 360.0 - 180.0
            yield Off(label, view, one.unit, error, one.sd)
        elif not one.refused.startswith("Your clip is filmed"):
            yield Off(label, view, "", np.nan, np.nan)


def calls_table(judged: Iterable[Judged]) -> list[str]:
    """Lines of a table: each call, how many count, how many were answered, how many right."""
    groups: dict[str, list[Judged]] = defaultdict(list)
    for one in judged:
        if one.counts:
            groups[f"{one.measure} {one.moment}".strip()].append(one)
            groups["all"].append(one)
    lines = [
        "| call | swings with a margin above 3 | answered | right of these |",
        "|---|---|---|---|",
    ]
    for name, calls in groups.items():
        answered = [one for one in calls if np.isfinite(one.chance)]
        right = sum(one.right for one in answered)
        share = f"{100 * right / len(answered):.0f}%" if answered else "-"
        lines.append(f"| {name} | {len(calls)} | {len(answered)} | {share} |")
    return lines


def offs_table(offs: Iterable[Off]) -> Iterator[str]:
    """Lines of a table: each measure in each view."""
    groups: dict[tuple[str, str], list[Off]] = defaultdict(list)
    for one in offs:
        groups[one.view, one.name].append(one)
    yield "| view | measure | unit | median error | 95th | bias | answered | inside 90 % interval |"
    yield "|---|---|---|---|---|---|---|---|"
    for (view, name), every in sorted(groups.items()):
        given = [one for one in every if np.isfinite(one.error)]
        if not given:
            yield f"| {view} | {name} | | - | - | - | 0 of {len(every)} | - |"
            continue
        errors = np.array([one.error for one in given])
        median, most = np.percentile(np.abs(errors), [50, 95])
        inside = np.mean([abs(one.error) <= NORMAL_90 * one.sd for one in given])
        yield (
            f"| {view} | {name} | {given[0].unit} | {median:.1f} | {most:.1f} "
            f"| {errors.mean():+.1f} | {len(given)} of {len(every)} | {inside:.0%} |"
        )


def _read_and_judge(file: Path) -> tuple[list[Judged], list[Off]]:
    one = beside(file, in_space=False)
    if one.reading is None:
        print(f"{one.name}: {one.problem}", file=sys.stderr)
        return [], []
    if one.reading.view.name != one.view:
        return [], []
    return judge_calls(one.reading, one.truth), list(judge_measures(one.swing, one.truth, one.view))


UNASKED = {("shaft_lean", "address")}
"""The studio's golfers stand with the shaft upright at address: there is nothing to call."""


if __name__ == "__main__":
    sys.exit(main())
