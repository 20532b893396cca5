"""`causeline backup FILE` and `causeline restore FILE`."""

from __future__ import annotations

from pathlib import Path

import click

from causeline.cli.place import at_library, counting, ends_well, opened, standing
from causeline.store.backup import load_backup, save_backup


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@at_library
@ends_well
def backup(file: Path, place: str, files: str | None) -> None:
    """Write the whole library into FILE, while it is in use.

    The file holds golfers' names and clips: keep it as safe as the library.
    """
    with standing(place, files) as held, counting("copying files") as heard:
        told = save_backup(held, file, heard)
    rows = sum(told.rows.values())
    click.echo(f"{rows} rows and {told.files} files are in {file}")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@at_library
@ends_well
def restore(file: Path, place: str, files: str | None) -> None:
    """Bring the backup in FILE back, into a library that is empty or not there yet."""
    with opened(place, files) as held, counting("bringing files back") as heard:
        told = load_backup(file, held.database, held.vault, heard)
    rows = sum(told.rows.values())
    click.echo(f"{rows} rows and {told.files} files are back, as of {told.made_at}")
