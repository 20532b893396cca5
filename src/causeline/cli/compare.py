"""`causeline compare A B`: two swings side by side, and what differs."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from causeline.cli.bars import bars
from causeline.errors import CauselineError, OutputError
from causeline.render.beside import BesideSheet, Row
from causeline.render.numbers import Shown
from causeline.wiring import compare_swings, open_swing, write_comparison

_PATH = click.Path(path_type=Path)
SHOWN = 12


@click.command()
@click.argument("a", type=_PATH)
@click.argument("b", type=_PATH)
@click.option("--out", required=True, type=click.Path(path_type=Path, file_okay=False),
              help="Folder for page, picture and film; made if it is missing.")  # fmt: skip
@click.option("--clip-a", type=_PATH, help="Clip of reading A, where it does not lie beside it.")
@click.option("--clip-b", type=_PATH, help="Clip of reading B, where it does not lie beside it.")
@click.option("--swing-a", type=click.IntRange(min=1), help="Which swing of A.")
@click.option("--swing-b", type=click.IntRange(min=1), help="Which swing of B.")
@click.option("--name-a", default="", help="What A is called; its clip's name when left out.")
@click.option("--name-b", default="", help="What B is called.")
@click.option("--mirror/--no-mirror", default=None,
              help="Turn B's picture left to right; done where the hands differ.")  # fmt: skip
@click.option("--film/--no-film", default=False, show_default=True, help="Make a film as well.")
def compare(a: Path, b: Path, out: Path, **options: Any) -> None:
    """Set two swings beside each other, filmed from the same place: reading files or clips.

    Writes beside.html and beside.jpg, and beside.mp4 where asked.

    Exit codes: 0 written; 2 an option is wrong, or the swings do not go together; 3 a clip is
    missing or cannot be read; 4 no swing is to be seen; 5 a result could not be written; 7 a
    reading file is broken.
    """
    screen, errors = Console(), Console(stderr=True)
    try:
        _make(out)
        with bars(errors) as report:
            one = open_swing(a, options["clip_a"], options["swing_a"], report)
            two = open_swing(b, options["clip_b"], options["swing_b"], report)
            names = (options["name_a"] or one.path.stem, options["name_b"] or two.path.stem)
            both = compare_swings(one, two, names, options["mirror"])
            paths = write_comparison(both, out, options["film"], report)
    except CauselineError as error:
        errors.print(f"causeline: {error}", style="bold", highlight=False, markup=False)
        sys.exit(error.exit_code)
    _print(screen, both.sheet)
    for path in paths:
        screen.print(str(path), highlight=False, markup=False, soft_wrap=True)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise OutputError(
            f"{folder} could not be made: {reason}", "", "Write elsewhere."
        ) from error


def _print(screen: Console, sheet: BesideSheet) -> None:
    table = Table(box=None, pad_edge=False)
    for column in ("measure", "at", sheet.name_a, sheet.name_b, "difference", "in its ±"):
        table.add_column(column, justify="left" if column in ("measure", "at") else "right")
    for row in (*sheet.clear, *sheet.rest)[:SHOWN]:
        table.add_row(*_cells(row))
    screen.print(table)
    screen.print(sheet.shared, highlight=False)


def _cells(row: Row) -> tuple[str, ...]:
    numbers = (_told(each) for each in (row.a, row.b, row.difference))
    return (row.title, row.at, *numbers, row.times)


def _told(shown: Shown) -> str:
    return f"{shown.value}{shown.unit} ± {shown.spread}"
