"""Where the library is, for every command that needs one; and how such a command ends."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click
from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TextColumn,
    TimeRemainingColumn,
)

from causeline.errors import CauselineError, SettingError
from causeline.store.library import DATABASE_NAME, Library, load_library

DEFAULT = Path.home() / "Causeline"
Command = TypeVar("Command", bound=Callable[..., Any])
Option = Callable[[Command], Command]

with_library: Option[Any] = click.option(
    "--library",
    "place",
    envvar="CAUSELINE_LIBRARY",
    default=str(DEFAULT),
    show_default=True,
    help="Folder of the library, or the URL of a PostgreSQL database.",
)
with_files: Option[Any] = click.option(
    "--files",
    envvar="CAUSELINE_FILES",
    help="Folder or URL (s3://…) of the clips and readings; needed with a database URL.",
)


def at_library(command: Command) -> Command:
    """Give a command the options that say where the library is: `place` and `files`."""
    placed: Command = with_library(with_files(command))
    return placed


def ends_well(command: Callable[..., None]) -> Callable[..., None]:
    """End a command with the error's own words and exit code."""

    @functools.wraps(command)
    def run(*args: Any, **options: Any) -> None:
        try:
            command(*args, **options)
        except CauselineError as error:
            console = Console(stderr=True)
            console.print(f"causeline: {error}", style="bold", highlight=False, markup=False)
            sys.exit(error.exit_code)

    return run


@contextmanager
def opened(place: str, files: str | None) -> Iterator[Library]:
    """The library, open."""
    library = load_library(place, files)
    try:
        yield library
    finally:
        library.close()


@contextmanager
def standing(place: str, files: str | None) -> Iterator[Library]:
    """As `opened`, and a library must be there: what checks or copies one makes none.

    Else a mistyped place would be found whole, and an empty backup take a good one's name.

    Raises SettingError where there is none.
    """
    if "://" not in place and not (Path(place) / DATABASE_NAME).is_file():
        raise SettingError(
            f"there is no library at {place}",
            f"a folder with the file {DATABASE_NAME} was expected",
            "say where yours is with --library or CAUSELINE_LIBRARY",
        )
    with opened(place, files) as held:
        yield held


@contextmanager
def counting(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar that counts files; gives what moves it."""
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(
        *columns, TimeRemainingColumn(), console=Console(stderr=True), transient=True
    ) as bars:
        task = bars.add_task(what, total=None)
        yield lambda done, total: bars.update(task, completed=done, total=total)
