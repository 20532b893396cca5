"""`causeline progress GOLFER`: whether the swing has changed, as text, JSON and a chart."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table

from causeline.cli.library import find_golfer
from causeline.cli.place import at_library, ends_well, opened
from causeline.errors import SettingError
from causeline.model.course import Course
from causeline.model.progress import Standing
from causeline.reading.course import run_titles
from causeline.render.progress_chart import render_progress_chart
from causeline.render.progress_data import render_progress_data, render_progress_table
from causeline.render.progress_lines import DayLine, render_progress_lines
from causeline.render.progress_words import render_aim
from causeline.render.report import PICTURES, render_chart_file, render_report
from causeline.store.whole_file import save_whole
from causeline.wiring_progress import course_of

Titles = Mapping[str, str]


@click.command()
@click.argument("golfer")
@click.option("--json", "as_json", is_flag=True, help="Print everything as JSON instead.")
@click.option("--csv", "as_csv", is_flag=True, help="Print one row as CSV instead.")
@click.option("--chart", type=click.Path(path_type=Path, dir_okay=False),
              help="Draw every swing over the days: FILE.svg, FILE.png or FILE.pdf.")  # fmt: skip
@click.option("--report", type=click.Path(path_type=Path, dir_okay=False),
              help="Write the report of all lessons, a PDF.")  # fmt: skip
@at_library
@ends_well
def progress(
    golfer: str, place: str, files: str | None, as_json: bool, as_csv: bool, **written: Path | None
) -> None:
    """Say where GOLFER (name or id) stands with each lesson that was sent.

    A change counts where it is larger than measuring errs and the golfer varies; else it is said
    what would settle it.

    Exit codes: 0 told; 2 no such golfer, or nothing to draw; 5 a file could not be written.
    """
    titles = run_titles()
    with opened(place, files) as held:
        course = course_of(held, find_golfer(held, golfer, make=False).id)
    if written["chart"] is not None:
        _chart(course, titles, written["chart"])
    if written["report"] is not None:
        save_whole(written["report"], render_report(course, titles))
    if as_json:
        data = render_progress_data(course, titles)
        click.echo(json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1))
    elif as_csv:
        click.echo(render_progress_table([course], titles), nl=False)
    else:
        _tell(Console(), course, titles)
        for path in written.values():
            if path is not None:
                click.echo(path)


def _chart(course: Course, titles: Titles, path: Path) -> None:
    standing = course.standing
    check = standing.checkpoint if standing else None
    svg = render_progress_chart(standing, render_aim(check, titles)) if standing and check else ""
    kind = path.suffix.lower()
    if not svg or kind not in PICTURES:
        came = f"a chart named {path.name}" if svg else "no swing in which a checkpoint was seen"
        raise SettingError(
            came,
            f"a name that ends in {', '.join(PICTURES)} was expected, and something filmed",
            "name the chart so, or film first",
        )
    save_whole(path, render_chart_file(svg, kind))


def _tell(screen: Console, course: Course, titles: Titles) -> None:
    screen.print(f"[bold]{_kept(course.entry.golfer.name)}[/bold]", highlight=False)
    if not course.standings:
        screen.print("No lesson was sent yet: there is nothing to compare with.")
    for standing in course.standings:
        screen.print()
        _lesson(screen, standing, titles)
    cause = course.next_cause
    if cause is not None:
        again = " (the same as before, further along)" if cause.again else ""
        screen.print(f"Next: {cause.title}{again}, {cause.probability:.2f}.", highlight=False)


def _lesson(screen: Console, standing: Standing, titles: Titles) -> None:
    def say(text: str) -> None:
        screen.print(text, highlight=False, markup=False, soft_wrap=True)

    lines = render_progress_lines(standing, titles)
    say(f"{lines.title}, {lines.made}")
    if lines.aim:
        say(f"{lines.aim}: target {lines.target}")
    screen.print(f"[bold]{lines.headline}[/bold]", highlight=False)
    for line in filter(None, (lines.difference, *lines.told)):
        say(line)
    for other in lines.others:
        say(f"Changed besides: {other}")
    if lines.days:
        screen.print(_days(lines.days))
    for line in lines.left_out:
        say(f"Left out: {line}")
    say(lines.practice)


def _days(days: Sequence[DayLine]) -> Table:
    table = Table(box=None, pad_edge=False)
    for column in ("filmed", "swings", "mean", "target"):
        table.add_column(column)
    for one in days:
        table.add_row(one.day, one.swings, one.mean, one.word)
    return table


def _kept(name: str) -> str:
    """A name that no markup is read from."""
    return name.replace("[", "\\[")
