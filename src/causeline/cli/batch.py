"""`causeline batch FOLDER`: a back catalogue in, every clip read; stopped anywhere, it goes on."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import click
from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)

from causeline.cli.library import added, find_golfer
from causeline.cli.place import at_library, ends_well, opened
from causeline.errors import ClipError, SettingError
from causeline.model.library import ReadingEntry, State
from causeline.store.library import Library
from causeline.store.library_clips import ClipNotes
from causeline.store.library_readings import ReadingBook, load_unread
from causeline.wiring_work import read_waiting

ENDINGS = {".mp4", ".mov", ".m4v", ".webm", ".mkv", ".avi", ".mts", ".3gp"}
SOME_UNREAD = 1


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path, file_okay=False))
@click.option("--golfer", help="Whose clips they are; else each folder in FOLDER is a golfer's.")
@click.option("--workers", type=click.IntRange(0, 256), default=0, help="Clips read at once.")
@click.option("--cluster", default="", help="Address of a Dask scheduler that does the work.")
@at_library
@ends_well
def batch(
    folder: Path | None, golfer: str | None, workers: int, cluster: str, **where: str
) -> None:
    """Add every clip in FOLDER to the library, and read everything that waits.

    Without FOLDER, goes on with what waits. Stop it whenever you like, or pull the plug: the next
    time it goes on where it was, and no clip is read twice. Links in FOLDER are not followed.

    Exit codes: 0 every clip is read; 1 some could not be, and the reasons are printed.
    """
    console = Console()
    with opened(where["place"], where["files"]) as held:
        lost = _add_all(held, folder, golfer, console) if folder is not None else 0
        _read(held, workers, cluster)
        unread = load_unread(held)
        for entry, name in unread:
            console.print(f"{name}: {entry.error}", highlight=False, markup=False)
        ready = ReadingBook(held).counts()[State.READY]
    console.print(f"{ready} read; {lost + len(unread)} could not be read", highlight=False)
    sys.exit(SOME_UNREAD if lost or unread else 0)


def _add_all(held: Library, folder: Path, golfer: str | None, console: Console) -> int:
    """Add what is new; gives how many files were no clips."""
    found, lost = list(_clips(folder, golfer)), 0
    golfers = {name: find_golfer(held, name) for name in sorted({name for _, name in found})}
    columns = (TextColumn("adding {task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bars:
        task = bars.add_task("", total=len(found))
        for path, name in found:
            bars.update(task, description=path.name[:40])
            try:
                added(held, golfers[name], path, ClipNotes(path.name))
            except ClipError as error:
                lost += 1
                console.print(f"{path}: {error}", highlight=False, markup=False)
            bars.advance(task)
    return lost


def _clips(folder: Path, golfer: str | None) -> Iterator[tuple[Path, str]]:
    """Every file with a video's ending, and whose it is."""
    if not folder.is_dir():
        raise SettingError(f"{folder} is no folder", "a folder of clips was expected")
    for path in sorted(folder.rglob("*")):
        if path.suffix.lower() not in ENDINGS or path.is_symlink() or not path.is_file():
            continue
        if any(part.is_symlink() for part in path.parents if folder in part.parents):
            continue
        inner = path.relative_to(folder).parts
        if golfer is None and len(inner) == 1:
            raise SettingError(
                f"{path} lies in no golfer's folder",
                "one folder for each golfer was expected",
                "say whose clips they are with --golfer",
            )
        yield path, golfer or inner[0]


def _read(held: Library, workers: int, cluster: str) -> None:
    columns = (
        TextColumn("reading"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TimeRemainingColumn(),
        TextColumn("{task.description}"),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bars:
        task = bars.add_task("", total=None)

        def watch(counts: Mapping[State, int], working: tuple[ReadingEntry, ...]) -> None:
            total = sum(counts.values())
            left = counts[State.WAITING] + counts[State.WORKING]
            stages = ", ".join(f"{each.stage} {_share(each)}" for each in working[:4] if each.total)
            bars.update(task, completed=total - left, total=total, description=stages)

        read_waiting(held, workers, watch, cluster)


def _share(entry: ReadingEntry) -> str:
    return f"{100 * entry.done // entry.total} %"
