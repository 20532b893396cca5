"""Reads clips, or tapes of clips, whose truth is known and writes how far off the readings are.

`python -m bench.accuracy --set FOLDER` reads clips; `--tapes FOLDER` judges tapes again
(`bench/tapes.py`), without any picture.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import track

from bench import truths
from bench.club_calls import Judged, calls_table, judge_calls
from bench.readings import Beside, beside, files_of
from bench.turns import agreement_of, by_swing, table_of, turns_of
from causeline.model.measures import Measure
from causeline.model.motion import TURNS
from causeline.model.reading import Reading, Swing
from causeline.quantities.uncertain import NORMAL_90

PHASES = ("going back", "coming down", "through")
SURE = 0.5
"""Least confidence at which a club counts as found."""
WHOLE = ("moment", "club", *TURNS)
"""Rows told one by one; of the others, all moments of a measure are taken together."""
DIGITS = {"s": 3, "ratio": 2}
BEGIN, END = "<!-- measured -->", "<!-- /measured -->"


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that was read, or refused, beside its truth."""

    group: str
    """View and frame rate."""
    name: str
    unit: str
    error: float
    """NaN where there was no answer."""
    sd: float


@dataclass(frozen=True, slots=True)
class Read:
    """What came of one clip."""

    clip: str
    group: str
    rows: tuple[Row, ...]
    problem: str = ""
    """Why it was not read, or what was called wrongly; empty when all is well."""
    calls: tuple[Judged, ...] = ()
    beside: Beside | None = None
    """The reading itself, for what both views of a swing tell together."""


def main() -> int:
    """Read the set, print the table, put it into the page; 0 when it was done."""
    parser = argparse.ArgumentParser(description=__doc__)
    source = parser.add_mutually_exclusive_group(required=True)
    source.add_argument("--set", type=Path, help="folder of clips and truth files")
    source.add_argument("--tapes", type=Path, help="folder of tapes")
    parser.add_argument("--only", default="", help="beginning of the names of the clips to take")
    parser.add_argument("--page", type=Path, default=Path("docs/accuracy.md"))
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--each", type=Path, help="file to write every clip's rows into")
    arguments = parser.parse_args()
    folder = arguments.set or arguments.tapes
    files = files_of(folder, arguments.only)
    if not files:
        print(f"no truth files in {folder}: make the set first", file=sys.stderr)
        return 1
    with ProcessPoolExecutor(arguments.workers) as pool:
        read = pool.map(read_one, files)
        coming = track(read, "Reading the set", len(files), console=Console(stderr=True))
        reads = [_noted(read, arguments.each) for read in coming]
    table = "\n".join([*_page(reads), *_turns(reads)])
    print(table)
    _put_into(arguments.page, table)
    return 0


def read_one(truth_file: Path) -> Read:
    """Read one clip or tape and compare."""
    one = beside(truth_file)
    group = f"{one.view}, {one.rate_hz} Hz"
    if one.reading is None:
        return Read(one.name, group, (), one.problem)
    calls = tuple(judge_calls(one.reading, one.truth)) if one.reading.view.name == one.view else ()
    rows = tuple(_rows(one, group))
    return Read(one.name, group, rows, _problem(one.reading, one.truth), calls, one)


def _noted(read: Read, file: Path | None) -> Read:
    """Write down one clip's rows as they come, for whoever looks for a cause."""
    if file is not None:
        lines = [f"{read.clip} ({read.group}) {read.problem}"]
        lines += [
            f"  {row.name}: {row.error:+.3g} ± {row.sd:.3g} {row.unit}"
            for row in read.rows
            if not row.name.startswith("club")
        ]
        with file.open("a", encoding="utf-8") as out:
            out.write("\n".join(lines) + "\n")
    return read


def _problem(reading: Reading, truth: truths.Truth) -> str:
    called = {"view": reading.view.name, "hand": reading.hand.name}
    true = {"view": truth.facts["file"]["view"], "hand": truth.facts["hand"]}
    wrong = [f"{key} called {called[key]}" for key in called if called[key] != true[key]]
    if len(reading.swings) != 1:
        wrong.append(f"{len(reading.swings)} swings found")
    return "; ".join(wrong)


def _rows(one: Beside, group: str) -> Iterator[Row]:
    swing, truth = one.swing, one.truth
    for name, time_s in truth.moments.items():
        found = next((moment for moment in swing.moments.found if moment.name == name), None)
        error = np.nan if found is None else 1000.0 * (found.time_s - time_s)
        yield Row(group, f"moment {name}", "ms", error, 1000.0 * found.sd_s if found else np.nan)
    for measure in swing.measures:
        true = truths.true_value(truth, measure.name, measure.moment)
        if true is None:
            continue
        label = f"{measure.name} {measure.moment or ''}".strip()
        if measure.name.endswith("_percent"):
            continue
        if isinstance(measure, Measure):
            yield Row(group, label, measure.unit, measure.value - true, measure.sd)
        else:
            yield Row(group, label, "", np.nan, np.nan)
    yield from _club_rows(swing, truth, group)


def _club_rows(swing: Swing, truth: truths.Truth, group: str) -> Iterator[Row]:
    """One row for each frame from start to finish, by phase."""
    times = truth.moments
    if swing.club is None or any(name not in times for name in ("start", "top", "impact")):
        return
    true = truths.true_shaft_deg(truth, swing.body.mirrored)
    found = np.where(swing.club.confidence >= SURE, swing.club.shaft_deg(), np.nan)
    for frame, time_s, angle in zip(swing.body.frames, swing.body.time_s, found, strict=True):
        if not times["start"] <= time_s <= times.get("finish", times["impact"] + 0.5):
            continue
        late = sum(time_s >= times[name] for name in ("top", "impact"))
        error = (angle - true[frame] + 180.0) % 360.0 - 180.0
        yield Row(group, f"club direction {PHASES[late]}", "°", error, np.nan)


def _page(reads: list[Read]) -> Iterator[str]:
    yield from _summary(reads)
    views = sorted({read.group.partition(",")[0] for read in reads})
    groups = sorted({read.group for read in reads})
    for title, start in [(f"{view}, all", f"{view},") for view in views] + [(g, g) for g in groups]:
        chosen = [read for read in reads if read.group.startswith(start)]
        yield f"\n### {title} ({len(chosen)} clips)\n"
        yield from _table([row for read in chosen for row in read.rows])
    yield "\n### Yes or no, of the club\n"
    yield from calls_table(call for read in reads for call in read.calls)


def _turns(reads: Sequence[Read]) -> Iterator[str]:
    """Turns from each view and from both, told or too unsure to be told, and how they agree."""
    read = {one.beside.name: one.beside for one in reads if one.beside is not None}
    swings = by_swing([Path(name) for name in read])
    turned = [
        one for names in swings.values() for one in turns_of([read[name.name] for name in names])
    ]
    yield "\n### Turns, also those too unsure to be told\n"
    yield from table_of(turned)
    yield ""
    yield from agreement_of(turned)


def _table(rows: list[Row]) -> Iterator[str]:
    grouped: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        name = row.name if row.name.startswith(WHOLE) else row.name.split()[0]
        grouped[name].append(row)
    yield "| what | unit | median error | mean | 95th | bias | answered | inside 90 % interval |"
    yield "|---|---|---|---|---|---|---|---|"
    yield from (_line(name, rows) for name, rows in grouped.items() if _answered(rows))
    refused = [name for name, rows in grouped.items() if not _answered(rows)]
    if refused:
        yield f"\nAlways refused: {', '.join(refused)}."


def _summary(reads: list[Read]) -> Iterator[str]:
    read = [each for each in reads if each.rows]
    yield f"{len(read)} of {len(reads)} clips were read.\n"
    for each in reads:
        if each.problem:
            yield f"- {each.clip} ({each.group}): {each.problem}"


def _answered(rows: Iterable[Row]) -> list[Row]:
    return [row for row in rows if np.isfinite(row.error)]


def _line(name: str, rows: list[Row]) -> str:
    given = _answered(rows)
    errors = np.array([row.error for row in given])
    digits = DIGITS.get(given[0].unit, 1)
    median, most = np.percentile(np.abs(errors), [50, 95])
    inside = np.mean([abs(row.error) <= NORMAL_90 * row.sd for row in given])
    stated = f"{inside:.0%}" if np.isfinite(given[0].sd) else "-"
    return (
        f"| {name} | {given[0].unit} | {median:.{digits}f} | {np.abs(errors).mean():.{digits}f} "
        f"| {most:.{digits}f} | {errors.mean():+.{digits}f} "
        f"| {len(given) / len(rows):.0%} | {stated} |"
    )


def _put_into(page: Path, table: str) -> None:
    text = page.read_text(encoding="utf-8")
    head, _, rest = text.partition(BEGIN)
    _, _, tail = rest.partition(END)
    page.write_text(f"{head}{BEGIN}\n\n{table}\n\n{END}{tail}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
