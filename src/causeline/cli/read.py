"""`causeline read CLIP`: one clip in, moments and measures out."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.progress import (
    BarColumn,
    Progress,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)
from rich.table import Table

from causeline.cli.findings import lines_of, rulings_of
from causeline.errors import CauselineError, OutputError
from causeline.model.clip import Clip, Hand, View
from causeline.model.findings import ClubSort
from causeline.model.measures import Refusal
from causeline.model.moments import SwingWindow
from causeline.model.reading import Reading, Swing
from causeline.quantities.uncertain import Uncertain
from causeline.reading.run import Result, Settings
from causeline.render.numbers import render_uncertain
from causeline.sources.limits import Limits
from causeline.store.reading_file import save_reading
from causeline.wiring import read_clip, write_page

MEASURED_STATURE_SD_M = 0.01
"""A golfer knows their own height to about a centimetre (judged)."""


@click.command()
@click.argument("clip", type=click.Path(path_type=Path))
@click.option(
    "--view",
    type=click.Choice([view.value for view in View]),
    help="Where the camera stands; decided from the pictures when left out.",
)
@click.option(
    "--hand",
    type=click.Choice([hand.value for hand in Hand]),
    help="Which way round the golfer plays; decided from the pictures when left out.",
)
@click.option(
    "--capture-fps",
    type=float,
    help="Frames a second the phone took, for slow motion stored at another rate.",
)
@click.option(
    "--stature-cm",
    type=click.FloatRange(80, 250),
    help="The golfer's height; centimetres get a narrower ±.",
)
@click.option(
    "--with",
    "beside",
    type=click.Path(path_type=Path, dir_okay=False),
    help="A clip of the same golfer from the other side: turns and depths get a narrower ±.",
)
@click.option(
    "--club",
    type=click.Choice([sort.value for sort in ClubSort]),
    help="What was swung; some bands differ by club.",
)
@click.option(
    "--pin",
    multiple=True,
    metavar="FAULT=REASON",
    help="Say that a fault is there, and why; repeat for others.",
)
@click.option(
    "--strike",
    multiple=True,
    metavar="FAULT=REASON",
    help="Say that a fault is not there, and why; repeat for others.",
)
@click.option(
    "--json",
    "json_path",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the reading file here.",
)
@click.option(
    "--page",
    "page_path",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the page for the golfer here.",
)
@click.option(
    "--max-minutes",
    type=click.FloatRange(min=0, min_open=True),
    default=20.0,
    show_default=True,
    help="Longest clip to accept.",
)
@click.option(
    "--max-megapixels",
    type=click.FloatRange(min=0, min_open=True),
    default=16.0,
    show_default=True,
    help="Largest picture to accept.",
)
def read(clip: Path, json_path: Path | None, page_path: Path | None, **options: Any) -> None:
    """Read the swings in CLIP and print their moments, measures and findings.

    Exit codes: 0 read; 2 an option is wrong; 3 the file cannot be read as a clip; 4 no person or
    no swing is to be seen; 5 a result could not be written; 6 the landmark engine is missing.
    """
    screen, errors = Console(), Console(stderr=True)
    settings = _settings(options)
    try:
        for path in (json_path, page_path):
            _check_folder(path)
        result = _read_with_bars((clip, options["beside"]), settings, _limits(options), errors)
    except CauselineError as error:
        _tell(errors, error)
        sys.exit(error.exit_code)
    failed = list(_failures(result, json_path, page_path))
    _print_reading(screen, result.reading)
    for failure in failed:
        _tell(errors, failure)
    if failed:
        sys.exit(failed[0].exit_code)


def _failures(
    result: Result, json_path: Path | None, page_path: Path | None
) -> Iterator[CauselineError]:
    """Write what was asked for; one that fails, on a full disk for instance, loses no other."""
    if json_path is not None:
        yield from _failure(lambda: save_reading(result.reading, json_path))
    if page_path is not None:
        yield from _failure(lambda: write_page(result, page_path))


def _failure(write: Callable[[], object]) -> Iterator[CauselineError]:
    try:
        write()
    except CauselineError as error:
        yield error


def _tell(errors: Console, error: CauselineError) -> None:
    errors.print(f"causeline: {error}", style="bold", highlight=False, markup=False)


def _check_folder(path: Path | None) -> None:
    """Better to hear of a place that cannot be written before the reading than after it."""
    if path is None:
        return
    if not path.parent.is_dir():
        raise OutputError(
            f"{path} cannot be written, since there is no folder {path.parent}",
            remedy="make the folder first, or write elsewhere",
        )
    if path.exists() and not path.is_file():
        # Files are written beside and renamed: a device of that name would be replaced.
        raise OutputError(
            f"{path} is there and no ordinary file", remedy="write to a file of its own"
        )


def _settings(options: Mapping[str, Any]) -> Settings:
    view, hand, stature_cm = (options[name] for name in ("view", "hand", "stature_cm"))
    club = options["club"]
    return Settings(
        view=View(view) if view else None,
        hand=Hand(hand) if hand else None,
        capture_hz=options["capture_fps"],
        stature_m=Uncertain(stature_cm / 100.0, MEASURED_STATURE_SD_M) if stature_cm else None,
        club=ClubSort(club) if club else None,
        rulings=rulings_of(options["pin"], options["strike"]),
    )


def _limits(options: Mapping[str, Any]) -> Limits:
    return Limits(
        pixels=round(1e6 * options["max_megapixels"]), seconds=60.0 * options["max_minutes"]
    )


def _read_with_bars(
    clips: tuple[Path, Path | None], settings: Settings, limits: Limits, console: Console
) -> Result:
    columns = (
        TextColumn("{task.description:<28}"),
        BarColumn(),
        TaskProgressColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console, transient=True) as bars:
        tasks: dict[str, TaskID] = {}

        def report(stage: str, done: int, total: int) -> None:
            if stage not in tasks:
                tasks[stage] = bars.add_task(stage, total=total)
            bars.update(tasks[stage], completed=done, total=total)

        def found(_: Clip, windows: tuple[SwingWindow, ...]) -> None:
            for number, window in enumerate(windows, 1):
                bars.console.print(_where(number, window), highlight=False)

        return read_clip(clips[0], settings, report, limits, found, clips[1])


def _where(number: int, window: SwingWindow) -> str:
    parts = [("top", window.top_s), ("impact", window.impact_s)]
    times = [f"{name} near {time_s:.1f} s" for name, time_s in parts if math.isfinite(time_s)]
    lacks = f"; {window.lacks}" if window.lacks else ""
    return f"Swing {number}: {', '.join(times)}{lacks}"


def _print_reading(console: Console, reading: Reading) -> None:
    clip = reading.clip
    console.print(
        f"[bold]{clip.name}[/bold]  {clip.width} × {clip.height}, {clip.capture_rate_hz:.0f} Hz "
        f"({clip.time_scale_from}), {reading.view.name}, {reading.hand.name}-handed",
        highlight=False,
    )
    for number, swing in enumerate(reading.swings, 1):
        kind = "rehearsal" if swing.rehearsal else "swing"
        console.print(f"\n[bold]{kind.capitalize()} {number}[/bold]")
        console.print(_moments_table(swing))
        console.print(_measures_table(swing))
        for line in lines_of(swing.findings):
            console.print(line, highlight=False, markup=False)
    for advice in reading.filming:
        console.print(
            f"\n[bold]Filming[/bold] ({advice.severity}): {advice.advice}", highlight=False
        )


def _moments_table(swing: Swing) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("moment")
    table.add_column("time", justify="right")
    table.add_column("frame", justify="right")
    for moment in swing.moments.found:
        table.add_row(
            moment.name.replace("_", " "),
            render_uncertain(moment.time_s, moment.sd_s, "s"),
            str(moment.frame),
        )
    for name, why in swing.moments.missing:
        table.add_row(name.replace("_", " "), f"[dim]{why}[/dim]", "")
    return table


def _measures_table(swing: Swing) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("measure")
    table.add_column("at")
    table.add_column("value", justify="right")
    refused: dict[str, str] = {}
    for measure in swing.measures:
        if isinstance(measure, Refusal):
            refused.setdefault(measure.name, measure.refused)
            continue
        moment = "" if measure.moment is None else measure.moment.replace("_", " ")
        value = render_uncertain(measure.value, measure.sd, measure.unit)
        table.add_row(measure.name.replace("_", " "), moment, value)
    for name, why in refused.items():
        table.add_row(name.replace("_", " "), "", f"[dim]{why}[/dim]")
    return table
