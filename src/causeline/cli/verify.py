"""`causeline verify`: whether the library is whole."""

from __future__ import annotations

import sys

import click
from rich.console import Console

from causeline.cli.place import at_library, counting, ends_well, standing
from causeline.errors import StoreError
from causeline.store.verify import load_findings, save_mended


@click.command()
@click.option("--mend", is_flag=True, help="Mend what can be mended without a backup.")
@at_library
@ends_well
def verify(mend: bool, place: str, files: str | None) -> None:
    """Hash every file of the library again, and hold it against the rows that speak of it.

    Exit codes: 0 all is well; 8 something is wrong, and is printed with what mends it.
    """
    console = Console()
    with standing(place, files) as held:
        with counting("checking files") as heard:
            found = load_findings(held, heard)
        for problem in found.problems:
            console.print(str(problem), highlight=False, markup=False)
        if mend and found.problems:
            console.print(f"{save_mended(held, found)} mended", highlight=False)
            found = load_findings(held)
    console.print(
        f"{found.files} files, {found.bytes / 1e6:.1f} MB; {len(found.problems)} problems",
        highlight=False,
    )
    sys.exit(StoreError.exit_code if found.problems else 0)
