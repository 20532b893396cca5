"""What is told of the scenario's three golfers, and how far differences err, from read clips.

    make demo
    python -m bench.progress_demo [--library out/demo/library] [--write]

The first day's lesson of each golfer is composed and sent in a copy of the library that `make demo`
fills; then it is asked what has changed, as the morning asks. The second table sets differences of
two days, same golfer and same place, beside the truth files: in units of what two readings that
knew nothing of each other would state. `--write` puts both into docs/progress.md.
"""

from __future__ import annotations

import argparse
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from tests.practising import composed, sent

from bench.progress import DOC
from bench.progress_scenario import GOLFERS, true_value
from causeline.model.course import Course
from causeline.model.library import GolferEntry
from causeline.model.measures import Measure
from causeline.model.moments import MomentName
from causeline.model.progress import Swung
from causeline.quantities.angle import Floats
from causeline.reading.course import run_titles
from causeline.render.progress_lines import render_progress_lines
from causeline.store.library import Library, load_library
from causeline.store.library_clips import load_clip_cards, load_clips
from causeline.store.library_people import load_golfers
from causeline.wiring_progress import course_of, swings_of
from causeline.wiring_web import open_desk

LIBRARY = Path("out/demo/library")
BEGIN, END = "<!-- told: begin -->", "<!-- told: end -->"
AFTER = datetime(2026, 5, 12, 12, tzinfo=UTC)
"""When it is asked: the day after the last clip."""
STILL = (MomentName.ADDRESS, MomentName.START)
"""Moments at which travels are zero by definition: their errors are no news."""
NORMAL_MEDIAN = 0.455
"""Median of the square of a standard normal number."""


@dataclass(frozen=True, slots=True)
class Errors:
    """Errors over what was stated: of differences, and of single readings."""

    differences: tuple[float, ...]
    singles: tuple[float, ...]


def course_told(library: Library, golfer: GolferEntry) -> Course:
    """The golfer's course after the first day's lesson was sent."""
    desk = open_desk(library)
    try:
        first = min(c.filmed_on for c in load_clips(library, golfer.id) if c.filmed_on is not None)
        sent(desk, golfer, composed(desk, golfer, first))
    finally:
        desk.jobs.stop()
    return course_of(library, golfer.id, AFTER)


def told(library: Library) -> Iterator[str]:
    """The table of verdicts."""
    yield "| golfer | planted | told | filmed before, after | behind it | changed besides |"
    yield "|---|---|---|---|---|---|"
    people = {one.golfer.name.split()[0]: one for one in load_golfers(library)}
    for one in GOLFERS:
        standing = course_told(library, people[one.name]).standing
        assert standing is not None  # noqa: S101 - it was sent just now
        lines = render_progress_lines(standing, run_titles())
        sides = (standing.before, standing.after)
        counts = " and ".join(str(sum(len(each.values) for each in side)) for side in sides)
        behind = f"{lines.aim}: {lines.told[0]}" if lines.told else lines.practice
        others = "; ".join(lines.others) or "nothing"
        yield (f"| {one.name} | {one.planted.value} | {lines.headline.lower()} | {counts} | "
               f"{behind} | {others} |")  # fmt: skip


def errors_of(library: Library, golfer: GolferEntry) -> Errors:
    """Every measure of two days of one golfer, filmed from one side, beside its truth."""
    cards = load_clip_cards(library, golfer.id, limit=100)
    names = {card.entry.sha256: Path(card.entry.name).stem for card in cards}
    swings = [
        replace(one, name=names[one.clip])
        for one in swings_of(library, golfer, cards, ())
        if one.struck
    ]
    differences: list[float] = []
    singles: list[float] = []
    for a, b in product(swings, swings):
        if a.day < b.day and a.view is b.view:
            pairs = _errors(a, b)
            differences += [each[0] for each in pairs]
            singles += [one for each in pairs for one in each[1:]]
    return Errors(tuple(differences), tuple(singles))


def _errors(a: Swung, b: Swung) -> list[tuple[float, float, float]]:
    """Of the difference, of the first and of the second, each over what is stated."""
    found = []
    for one in a.measures:
        if not isinstance(one, Measure) or one.unit == "cm" or one.moment in (None, *STILL):
            continue
        other = b.measure(one.name, one.moment)
        if other is None:
            continue
        off = [_off(swing, each) for swing, each in ((a, one), (b, other))]
        if np.isfinite(off).all():
            both = float(np.hypot(one.sd, other.sd))
            found.append(((off[1] - off[0]) / both, off[0] / one.sd, off[1] / other.sd))
    return found


def _off(swing: Swung, one: Measure) -> float:
    assert one.moment is not None  # noqa: S101 - asked before
    off = one.value - true_value(swing.name, (one.name, one.moment))
    return (off + 180) % 360 - 180 if one.unit == "°" else off


def robust(values: Floats) -> float:
    """Root mean square as the median has it: a few that went astray do not decide."""
    return float(np.sqrt(np.median(values**2) / NORMAL_MEDIAN))


def compared(library: Library) -> Iterator[str]:
    """The table of errors."""
    yield "| golfer | measures compared | error of a difference | error of one reading |"
    yield "|---|---|---|---|"
    people = {one.golfer.name.split()[0]: one for one in load_golfers(library)}
    every = {one.name: errors_of(library, people[one.name]) for one in GOLFERS}
    rows = {name: (np.array(one.differences), np.array(one.singles)) for name, one in every.items()}
    rows["all"] = tuple(np.concatenate(side) for side in zip(*rows.values(), strict=True))  # type: ignore[assignment]
    for name, (differences, singles) in rows.items():
        if len(differences):
            yield (f"| {name} | {len(differences)} | {robust(differences):.2f} | "
                   f"{robust(singles):.2f} |")  # fmt: skip


def main() -> None:
    """Print both tables, and write them where asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--library", type=Path, default=LIBRARY)
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    with TemporaryDirectory() as folder:
        copy = shutil.copytree(given.library, Path(folder) / "library")
        library = load_library(copy)
        text = "\n".join((*compared(library), "", *told(library)))
        library.close()
    print(text)
    if given.write:
        head, _, rest = DOC.read_text(encoding="utf-8").partition(BEGIN)
        DOC.write_text(f"{head}{BEGIN}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")


if __name__ == "__main__":
    main()
