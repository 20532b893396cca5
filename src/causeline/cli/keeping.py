"""`causeline export GOLFER` and `causeline tidy`: what is given out, and what is let go of."""

from __future__ import annotations

import re
from pathlib import Path

import click
from rich.console import Console
from rich.table import Table

from causeline.cli.library import find_golfer
from causeline.cli.place import at_library, ends_well, standing
from causeline.errors import SettingError
from causeline.model.access import Kept
from causeline.store.library import Library
from causeline.store.library_export import save_export
from causeline.store.library_people import save_audit
from causeline.store.library_retention import (
    Due,
    load_due,
    load_retention,
    save_let_go,
    save_retention,
)

BY = "command line"
DAYS = {"d": 1, "m": 30.4375, "y": 365.25}
EVER = "ever"


@click.command()
@click.argument("golfer")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False),
              help="The ZIP file; else the golfer's id in this folder.")  # fmt: skip
@at_library
@ends_well
def export(golfer: str, out: Path | None, place: str, files: str | None) -> None:
    """Write everything about GOLFER into one ZIP of open formats, with a readme inside."""
    with standing(place, files) as held:
        who = find_golfer(held, golfer, make=False)
        path = out or Path(f"{who.id}.zip")
        told = save_export(held, who.id, path)
        save_audit(held, BY, "exported", who.id)
    click.echo(
        f"{told.clips} clips, {told.readings} readings with {told.measures} measures, "
        f"{told.lessons} lessons, {told.attached + told.shared} other files and {told.rows} rows "
        f"are in {path}"
    )


@click.command()
@click.option("--keep", multiple=True, metavar="KIND=HOW LONG",
              help=f"Set a rule first: {', '.join(Kept)}; 90d, 18m, 3y or ever.")  # fmt: skip
@click.option("--yes", is_flag=True, help="Let go of it; without, it is only told.")
@at_library
@ends_well
def tidy(keep: tuple[str, ...], yes: bool, place: str, files: str | None) -> None:
    """Tell what the rules of retention let go of today; with --yes, let go of it for good.

    Without a rule nothing goes. Backups that exist keep what they hold.
    """
    console = Console()
    with standing(place, files) as held:
        for each in keep:
            kind, days = _rule(each)
            save_retention(held, kind, days, BY)
        due = load_due(held)
        console.print(_table(held, due))
        if yes:
            gone = save_let_go(held, BY)
            console.print(f"{sum(each.count for each in gone)} let go of", highlight=False)
        elif due:
            console.print("Nothing was changed; `causeline tidy --yes` lets go of it.")


def _table(held: Library, due: tuple[Due, ...]) -> Table:
    table = Table(box=None, pad_edge=False)
    for title in ("kind", "kept for", "due", "oldest"):
        table.add_column(title)
    rules = {rule.kind: rule.days for rule in load_retention(held)}
    found = {each.kind: each for each in due}
    for kind in Kept:
        one = found.get(kind)
        oldest = one.oldest.date().isoformat() if one and one.oldest else ""
        days = rules.get(kind)
        kept = EVER if days is None else f"{days} days"
        table.add_row(kind.value, kept, str(one.count if one else 0), oldest)
    return table


def _rule(text: str) -> tuple[Kept, int | None]:
    name, _, span = text.partition("=")
    found = re.fullmatch(r"(\d{1,5})([dmy])", span.strip())
    known = {kind.value: kind for kind in Kept}
    if name.strip() not in known or not (found or span.strip() == EVER):
        raise SettingError(
            f"{text!r} came as a rule",
            f"one of {', '.join(known)}, then = and 90d, 18m, 3y or {EVER}, was expected",
            "such as --keep clips=3y",
        )
    days = round(int(found[1]) * DAYS[found[2]]) if found else None
    return known[name.strip()], days
