"""How often the first finding is the planted fault, with true measures of posed performances.

No pictures, no reading: what the catalogue, its bands and its graph make of what truly happened.

    PYTHONPATH=.:src .venv-studio/bin/python -m bench.findings_truth --swings 300 --seed 0
    ... --keep FOLDER    keep what was posed there, and take from there what was posed before

Seeds are those of training (below 7 000 000); every third swing is sound.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bench.club_truths import DOWN_THE_LINE, FACE_ON, true_club_value
from bench.truths import Truth, true_value
from causeline.findings import (
    explain_calibration_error,
    explain_findings,
    explain_reliability,
)
from causeline.findings.bands import BANDS, WATCHED
from causeline.findings.spec import Band, Watched
from causeline.model.clip import View
from causeline.model.findings import ClubSort, Findings
from causeline.model.measures import Measure

FIRST_SEED, STEP = 6_400_000, 10_000
SORTS = {
    "driver": ClubSort.DRIVER,
    "hybrid": ClubSort.WOOD,
    "long iron": ClubSort.IRON,
    "mid iron": ClubSort.IRON,
    "wedge": ClubSort.WEDGE,
}
SHARE_SD = 0.001
"""True values carry next to no ±."""
SEVERE = 0.6


@dataclass(frozen=True, slots=True, eq=False)
class Posed:
    """One swing: its truth, and what was made of it."""

    name: str
    facts: dict[str, Any]
    findings: Findings

    @property
    def planted(self) -> dict[str, Any] | None:
        """The fault that the others come from; None for a sound swing."""
        return next((one for one in self.facts["faults"] if one["role"] != "effect"), None)

    @property
    def first(self) -> str | None:
        """The finding that is ranked first."""
        return self.findings.cause.name if self.findings.cause else None


def true_measures(truth: Truth) -> dict[View, list[Measure]]:
    """Everything that the findings ask for, as each view would show it."""
    asked: list[Band | Watched] = [*BANDS.values(), *WATCHED.values()]
    wanted = {(one.measure, one.moment) for one in asked}
    wanted |= {(b.beside.measure, b.beside.moment) for b in BANDS.values() if b.beside}
    seen: dict[View, list[Measure]] = {View.FACE_ON: [], View.DOWN_THE_LINE: []}
    for name, moment in sorted(wanted, key=str):
        views = {view for one in asked if one.measure == name for view in one.views}
        for view in views or {View.FACE_ON}:
            picture = FACE_ON if view is View.FACE_ON else DOWN_THE_LINE
            value = true_value(truth, name, moment)
            if value is None:
                value = true_club_value(truth, name, moment, picture)
            if value is not None and np.isfinite(value):
                seen[view].append(Measure(name, moment, value, SHARE_SD, "", "true"))
    return seen


def facts_of(number: int, seed: int) -> dict[str, Any]:
    """One swing, posed: the part of a truth file that measures are made from."""
    from studio.accuracy_cast import draw_for
    from studio.accuracy_set import Plan
    from studio.perform import perform

    plan = Plan(number, FIRST_SEED + STEP * seed + number, 60.0, "", False, "")
    golfer = draw_for(plan)
    done = perform(golfer.build, golfer.swing, golfer.club, plan.seed)
    points = {**done.joints, "butt": done.butt, "hosel": done.hosel, "head": done.head}
    return {
        "moments": {name: {"time_s": time_s} for name, time_s in done.moments.items()},
        "frames": {"time_s": done.time_s.tolist()},
        "points_m": {name: path.round(5).tolist() for name, path in points.items()},
        "turns_deg": {name: turn.round(3).tolist() for name, turn in done.turns.items()},
        "body": {"stature_m": done.body.stature_m},
        "faults": list(done.faults),
        "club": golfer.club.kind,
    }


def posed(number: int, seed: int, keep: Path | None) -> Posed:
    """One swing, from the folder where it was kept before."""
    path = keep / f"{seed}-{number:04d}.json" if keep else None
    if path and path.exists():
        facts = json.loads(path.read_text())
    else:
        facts = facts_of(number, seed)
        if path:
            path.write_text(json.dumps(facts, default=float))
    found = explain_findings(true_measures(Truth(facts)), SORTS.get(facts["club"]))
    return Posed(f"{seed}-{number:04d}", facts, found)


def tell(swings: list[Posed]) -> str:
    """The tables."""
    faulty = [one for one in swings if one.planted]
    sound = [one for one in swings if not one.planted]
    right = [one for one in faulty if one.planted and one.first == one.planted["name"]]
    severe = [one for one in faulty if one.planted and one.planted["severity"] >= SEVERE]
    lines = [
        f"first finding is the planted fault: {len(right)} of {len(faulty)}",
        f"  of severity {SEVERE} and more: "
        f"{len([one for one in severe if one in right])} of {len(severe)}",
        f"sound swings with a finding: {sum(bool(s.first) for s in sound)} of {len(sound)}",
    ]
    planted = Counter(one.planted["name"] for one in faulty if one.planted)
    hit = Counter(one.planted["name"] for one in right if one.planted)
    lines += [f"  {name:28s} {hit[name]:3d} of {planted[name]:3d}" for name in planted]
    pairs = [
        (odds, name in {fault["name"] for fault in one.facts["faults"]})
        for one in swings
        for name, odds in one.findings.odds
        if name not in {each.name for each in one.findings.unseen}
    ]
    bins = explain_reliability([odds for odds, _ in pairs], [true for _, true in pairs])
    lines += [f"{b.low:.1f} to {b.high:.1f}: {b.count:6d}  {b.true:.3f} true" for b in bins]
    return "\n".join([*lines, f"calibration error {explain_calibration_error(bins):.4f}"])


def main(arguments: list[str] | None = None) -> int:
    """Pose, explain, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--swings", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--keep", type=Path)
    chosen = parser.parse_args(arguments)
    if chosen.keep:
        chosen.keep.mkdir(parents=True, exist_ok=True)
    swings = [posed(number, chosen.seed, chosen.keep) for number in range(chosen.swings)]
    print(tell(swings))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
