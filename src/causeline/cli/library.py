"""`causeline library …`: golfers and clips of the library, from the command line."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from causeline.cli.place import at_library, ends_well, opened
from causeline.errors import CauselineError, ClipError, SettingError
from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.lesson import Golfer
from causeline.model.library import ClipEntry, Coach, GolferEntry, new_id
from causeline.reading.doors import Settings
from causeline.sources.fence import FencedClips
from causeline.store.library import Library
from causeline.store.library_clips import (
    ClipNotes,
    load_clip_cards,
    load_clips,
    load_same_clip,
    save_clip,
)
from causeline.store.library_people import (
    load_coaches,
    load_golfers,
    save_coach,
    save_golfer,
)
from causeline.store.library_removal import save_golfer_removed
from causeline.wiring_work import ask_reading

SOMEBODY = "Coach"
"""Name of the coach of a library that was begun from the command line; changed in the library."""


@click.group()
def library() -> None:
    """Look after golfers and their clips."""


@library.command()
@click.argument("clips", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--golfer", required=True, help="Name or id; a new name makes a new golfer.")
@click.option("--view", type=click.Choice([view.value for view in View]), help="If it is known.")
@click.option("--club", type=click.Choice([club.value for club in ClubSort]), help="What is swung.")
@click.option("--capture-fps", type=float, help="Frames a second that the phone took.")
@click.option("--filmed", type=click.DateTime(["%Y-%m-%d"]), help="The day, as 2026-04-06.")
@click.option("--said", default="", help="What the golfer wrote with it.")
@at_library
@ends_well
def add(clips: tuple[Path, ...], golfer: str, place: str, files: str | None, **known: Any) -> None:
    """Add CLIPS to a golfer, and ask for their readings (`causeline batch` makes them).

    A clip that cannot be read is told, and the others are added.
    """
    console, lost = Console(), 0
    with opened(place, files) as held:
        who = find_golfer(held, golfer)
        for path in clips:
            try:
                entry = added(held, who, path, _notes(path, known))
            except ClipError as error:
                lost += 1
                console.print(f"{path}: {error}", style="bold", highlight=False, markup=False)
            else:
                console.print(f"{entry} added for {who.golfer.name}", highlight=False, markup=False)
    sys.exit(ClipError.exit_code if lost else 0)


@library.command(name="list")
@at_library
@ends_well
def show(place: str, files: str | None) -> None:
    """List golfers, their clips and how far each reading is."""
    table = Table(box=None, pad_edge=False)
    for title in ("golfer", "clip", "filmed", "reading"):
        table.add_column(title)
    with opened(place, files) as held:
        for who in load_golfers(held):
            cards = load_clip_cards(held, who.id, limit=1000)
            if not cards:
                table.add_row(who.golfer.name)
            for card in cards:
                state = card.reading.state.value if card.reading else "not asked for"
                day = card.entry.filmed_on.isoformat() if card.entry.filmed_on else ""
                table.add_row(who.golfer.name, card.entry.name, day, state)
    Console().print(table)


@library.command()
@click.argument("golfer")
@click.option("--yes", is_flag=True, help="Do not ask again.")
@at_library
@ends_well
def remove(golfer: str, yes: bool, place: str, files: str | None) -> None:
    """Delete GOLFER with everything about them. Backups that exist keep what they hold."""
    with opened(place, files) as held:
        who = find_golfer(held, golfer, make=False)
        clips = len(load_clips(held, who.id, limit=1_000_000))
        question = f"Delete {who.golfer.name}, {clips} clips, all readings and lessons, for good?"
        if yes or click.confirm(question):
            save_golfer_removed(held, who.id, "command line")
            click.echo(f"{who.golfer.name} is deleted.")


def find_golfer(held: Library, name: str, *, make: bool = True) -> GolferEntry:
    """The golfer of that name or id; made where there is none, if wanted.

    Raises SettingError where there is none, or where several bear that name.
    """
    found = [who for who in load_golfers(held) if name in (who.id, who.golfer.name)]
    if len(found) == 1:
        return found[0]
    if found:
        raise SettingError(
            f"{len(found)} golfers are called {name!r}",
            "one was expected",
            f"give the id instead: {', '.join(who.id for who in found)}",
        )
    if not make or not name.strip():
        raise SettingError(
            f"no golfer is called {name!r}",
            "a name that is in the library was expected",
            "see `causeline library list`",
        )
    coaches = load_coaches(held)
    coach = coaches[0] if coaches else save_coach(held, Coach(new_id(), SOMEBODY))
    return save_golfer(held, GolferEntry(new_id(), coach.id, Golfer(name.strip())))


def added(held: Library, who: GolferEntry, path: Path, notes: ClipNotes) -> str:
    """Look at a clip behind the fence, keep it, ask for its reading; gives its name.

    Raises ClipError where it is no clip: then nothing was kept.
    """
    if not _is_known(held, who, path):
        with FencedClips() as clips:
            own = clips.probe(path).recorded_on(who.golfer.time_zone, held.now())
        notes = replace(notes, filmed_on=notes.filmed_on or own)
    clip = _kept(held, who, path, notes)  # a known one too: a damaged copy is replaced
    ask_reading(held, clip.sha256, _settings(notes))
    return clip.name


def _is_known(held: Library, who: GolferEntry, path: Path) -> bool:
    """Whether the golfer has that very clip; then it was looked at before."""
    try:
        key = held.vault.key_of(path) if path.is_file() else ""
    except OSError:
        return False  # looking at it says what is wrong
    return load_same_clip(held, who.id, key) is not None


def _kept(held: Library, who: GolferEntry, path: Path, notes: ClipNotes) -> ClipEntry:
    try:
        return save_clip(held, who.id, path, notes)
    except CauselineError:
        raise  # some of them are errors of the system too
    except OSError as error:
        raise ClipError(f"{path} could not be copied ({error.strerror})") from error


def _notes(path: Path, known: dict[str, Any]) -> ClipNotes:
    filmed: datetime | None = known["filmed"]
    return ClipNotes(
        name=path.name,
        view=View(known["view"]) if known["view"] else None,
        club=ClubSort(known["club"]) if known["club"] else None,
        capture_hz=known["capture_fps"],
        filmed_on=filmed.date() if filmed else None,
        said=known["said"],
    )


def _settings(notes: ClipNotes) -> Settings:
    return Settings(view=notes.view, capture_hz=notes.capture_hz, club=notes.club)
