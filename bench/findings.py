"""How often the first finding is the planted cause: read from one view, from two, and from truth.

`python -m bench.findings --tapes FOLDER` takes tapes of the planted set (`planted_*`, `sound_*`);
`--plot FILE` draws how honest the probabilities are.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from bench.findings_plot import plot_of
from bench.findings_truth import SORTS, true_measures
from bench.readings import Beside, beside, beside_both, files_of
from causeline.findings import (
    explain_calibration_error,
    explain_findings,
    explain_reliability,
)
from causeline.findings.bands import BANDS
from causeline.findings.catalogue import MEASURED
from causeline.findings.reliability import Bin
from causeline.findings.weigh import TELLING
from causeline.model.clip import View
from causeline.model.findings import Findings
from causeline.model.measures import Measure, Refusal

KINDS = ("planted_", "sound_")
BOTH, TRUE = "two views", "true measures"

VIEWS = tuple(view.value for view in View)
VIEWS_OF = {
    fault.name: {
        view.value
        for sign in fault.signs
        if sign.shows >= TELLING
        for view in BANDS[sign.band].views
    }
    for fault in MEASURED
}
"""The views in which a measure tells a fault."""

Values = tuple[Measure | Refusal, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """What one view of a swing gave."""

    swing: str
    view: str
    faults: tuple[tuple[str, str], ...]
    """Name and role of each true fault."""
    club: str
    called: View | None
    """The view as it was called; None where the clip was not read."""
    values: Values
    together: Values
    """The same, with the body in space solved from both views."""
    true: Mapping[View, Values]
    """What both views would show, without error."""


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """What was made of a swing, from one view or from both."""

    cause: str | None
    """The planted one; None in a sound swing."""
    faults: frozenset[str]
    findings: Findings | None
    """None where no view was read."""

    @property
    def first(self) -> str | None:
        """The finding that is ranked first."""
        if self.findings is None or self.findings.cause is None:
            return None
        return self.findings.cause.name


def main() -> int:
    """Judge, explain, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--plot", type=Path, help="write an SVG picture of the reliability here")
    given = parser.parse_args()
    swings: dict[str, list[Path]] = defaultdict(list)
    for file in (file for kind in KINDS for file in files_of(given.tapes, kind)):
        swings["_".join(file.name.split("_")[:2])].append(file)
    if not swings:
        print(f"no tapes of planted or sound swings in {given.tapes}", file=sys.stderr)
        return 1
    with ProcessPoolExecutor(given.workers) as pool:
        found = pool.map(sides_of, swings.values())
        told = by_views([side for sides in found for side in sides])
    for title, explained in told.items():
        print("\n".join(lines_of(title, explained)))
    if given.plot:
        shown = {title: _bins(told[title]) for title in (BOTH, TRUE)}
        given.plot.write_text(plot_of(shown), encoding="utf-8")
    return 0


def sides_of(files: Sequence[Path]) -> list[Side]:
    """The views of one swing, judged each by itself and with the body of both."""
    alone = [beside(file) for file in files]
    return [_side(*pair) for pair in zip(alone, beside_both(files, alone), strict=True)]


def _side(one: Beside, both: Beside) -> Side:
    facts = one.truth.facts
    called = View(one.reading.view.name) if one.reading else None
    return Side(
        swing=one.name.rsplit(f"_{one.view.replace('-', '_')}", 1)[0],
        view=one.view,
        faults=tuple((fault["name"], fault["role"]) for fault in facts["faults"]),
        club=str(facts["club"]["kind"]),
        called=called,
        values=tuple(one.swing.measures) if one.reading else (),
        together=tuple(both.swing.measures) if both.reading else (),
        true={view: tuple(values) for view, values in true_measures(one.truth).items()},
    )


def by_views(sides: Iterable[Side]) -> dict[str, list[Explained]]:
    """Every swing explained from each view by itself, and from both where both are there."""
    swings: dict[str, list[Side]] = defaultdict(list)
    for side in sides:
        swings[side.swing].append(side)
    told: dict[str, list[Explained]] = defaultdict(list)
    for own in swings.values():
        for side in own:
            told[side.view].append(_explained(side, {side.called: side.values}))
        if len(own) > 1:
            told[BOTH].append(_explained(own[0], {one.called: one.together for one in own}))
        told[TRUE].append(_explained(own[0], {view: own[0].true[view] for view in own[0].true}))
    return dict(sorted(told.items()))


def _explained(side: Side, values: Mapping[View | None, Values]) -> Explained:
    cause = next((name for name, role in side.faults if role != "effect"), None)
    seen = {view: each for view, each in values.items() if view}
    found = explain_findings(seen, SORTS.get(side.club)) if seen else None
    return Explained(cause, frozenset(name for name, _ in side.faults), found)


def lines_of(title: str, explained: list[Explained]) -> Iterator[str]:
    """Shares, cause by cause, and the reliability of what was said."""
    planted = [one for one in explained if one.cause]
    sound = [one for one in explained if not one.cause]
    right = [one for one in planted if one.first == one.cause]
    wrong = [one for one in sound if one.first]
    yield f"\n### {title}\n"
    yield f"First finding is the planted cause: {_share(len(right), len(planted))}."
    if title in VIEWS:
        able = [one for one in planted if title in VIEWS_OF[one.cause or ""]]
        hits = [one for one in able if one.first == one.cause]
        yield f"Of causes that this view can show: {_share(len(hits), len(able))}."
    among = [one for one in planted if one.findings and one.findings.get(one.cause or "")]
    yield f"The planted cause is among the findings: {_share(len(among), len(planted))}."
    yield f"Sound swings with a finding above 0.5: {_share(len(wrong), len(sound))}.\n"
    yield "| planted | swings | first | instead, most often |\n|---|---|---|---|"
    for cause, count in sorted(Counter(one.cause for one in planted if one.cause).items()):
        firsts = Counter(one.first or "nothing" for one in planted if one.cause == cause)
        hit = firsts.pop(cause, 0)
        often = ", ".join(f"{name} {number}" for name, number in firsts.most_common(2))
        yield f"| {cause} | {count} | {hit} | {often} |"
    yield from _reliability(explained)


def _bins(explained: list[Explained]) -> tuple[Bin, ...]:
    """Of faults that something was seen of."""
    said: list[float] = []
    true: list[bool] = []
    for one in explained:
        unseen = {each.name for each in one.findings.unseen} if one.findings else set()
        for name, odds in one.findings.odds if one.findings else ():
            if name not in unseen:
                said.append(odds)
                true.append(name in one.faults)
    return explain_reliability(said, true)


def _reliability(explained: list[Explained]) -> Iterator[str]:
    bins = _bins(explained)
    if not bins:
        return
    yield "\n| said | statements | mean said | true |\n|---|---|---|---|"
    for each in bins:
        span = f"{each.low:.1f}-{each.high:.1f}"
        yield f"| {span} | {each.count} | {each.said:.2f} | {each.true:.2f} |"
    yield f"\nCalibration error {explain_calibration_error(bins):.3f}."


def _share(part: int, whole: int) -> str:
    return f"{part} of {whole} ({part / whole:.0%})" if whole else "none there"


if __name__ == "__main__":
    sys.exit(main())
