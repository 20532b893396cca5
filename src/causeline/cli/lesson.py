"""`causeline lesson READING…`: what the golfer takes home."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, time
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import click
from rich.console import Console

from causeline.cli.bars import bars
from causeline.cli.findings import rulings_of
from causeline.errors import CauselineError, OutputError
from causeline.model.clip import Hand
from causeline.model.findings import ClubSort
from causeline.model.lesson import Back, Golfer, Lesson, Part, Units
from causeline.reading.teaching import Order
from causeline.render.pdf import PAPERS
from causeline.store.languages import load_languages
from causeline.wiring import Filmed, TakeAway, compose_lesson, open_reading, write_lesson

FIRST_AT = time(18, 0)
"""Hour of the practices where none is given: after work."""

_PATH = click.Path(path_type=Path)


@click.command()
@click.argument("readings", nargs=-1, required=True, type=_PATH)
@click.option("--out", required=True, type=click.Path(path_type=Path, file_okay=False),
              help="Folder for everything that is written; made if it is missing.")  # fmt: skip
@click.option("--clip", "clips", multiple=True, type=_PATH,
              help="A reading's clip, where it does not lie beside the reading file.")  # fmt: skip
@click.option("--reference", "references", multiple=True, type=_PATH,
              help="Reading of a swing to show beside the golfer's.")  # fmt: skip
@click.option("--swing", type=click.IntRange(min=1), help="Which swing of the readings.")
@click.option("--golfer", default="", help="Name to address the golfer by.")
@click.option("--coach", default="", help="Name that the lesson is signed with.")
@click.option("--said", default="", help="What the golfer wrote that they were working on.")
@click.option("--club", type=click.Choice([one.value for one in ClubSort]), help="What was swung.")
@click.option("--units", type=click.Choice([one.value for one in Units]), default="metric",
              show_default=True, help="Of lengths and speeds.")  # fmt: skip
@click.option("--language", type=click.Choice(load_languages()), default="en", show_default=True,
              help="Of everything that the golfer reads.")  # fmt: skip
@click.option("--timezone", "zone", default="UTC", show_default=True,
              help="The golfer's, by its IANA name, such as Europe/Berlin.")  # fmt: skip
@click.option("--start", type=click.DateTime(["%Y-%m-%d", "%Y-%m-%dT%H:%M"]),
              help="First practice; a day alone means 18:00. Default: tomorrow.")  # fmt: skip
@click.option("--stature-cm", type=click.FloatRange(80, 250), help="The golfer's height.")
@click.option("--junior", is_flag=True, help="Shorter and fewer practices.")
@click.option("--back", type=click.Choice([one.value for one in Back]), default="not asked",
              show_default=True, help="What is known of the golfer's back.")  # fmt: skip
@click.option("--pin", "pinned", multiple=True, metavar="FAULT=REASON",
              help="A fault that you see, with your reason.")  # fmt: skip
@click.option("--strike", "struck", multiple=True, metavar="FAULT=REASON",
              help="A fault to leave out, with your reason.")  # fmt: skip
@click.option("--drills", type=click.Path(path_type=Path, file_okay=False),
              help="Folder of your own drills.")  # fmt: skip
@click.option("--paper", type=click.Choice(PAPERS), default="a4", show_default=True)
@click.option("--film/--no-film", default=True, show_default=True, help="Make the film.")
@click.option("--hide-face", is_flag=True, help="Veil the golfer's face in every picture.")
def lesson(readings: tuple[Path, ...], out: Path, **options: Any) -> None:
    """Compose the lesson of one swing from its READINGS: one file, or one for each of two views.

    Writes lesson.html, lesson.pdf, swing.mp4, practice.ics and lesson.json into the folder.

    Exit codes: 0 written; 2 an option is wrong; 3 a clip is missing, another, or cannot be read;
    5 a result could not be written; 7 a reading file is broken; 9 a drill or a language file is.
    """
    screen, errors = Console(), Console(stderr=True)
    order = _order(options)
    try:
        _make(out)
        number, clips = options["swing"], options["clips"]
        hidden = options["hide_face"]
        filmed = [replace(open_reading(path, clips, number), hide_face=hidden) for path in readings]
        references = [open_reading(path, clips) for path in options["references"]]
        order = _for_hand(order, filmed)
        composed = compose_lesson(filmed, order, references, options["drills"])
        take_away = TakeAway(options["paper"], options["film"])
        with bars(errors) as report:
            paths = write_lesson(composed, filmed, out, references, take_away, report)
    except CauselineError as error:
        errors.print(f"causeline: {error}", style="bold", highlight=False, markup=False)
        sys.exit(error.exit_code)
    _print(screen, composed, paths)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise OutputError(
            f"{folder} could not be made: {reason}", "", "Write elsewhere."
        ) from error


def _order(options: Mapping[str, Any]) -> Order:
    today = date.today()
    zone = _zone(options["zone"])
    start: datetime | None = options["start"]
    if start is None:
        start = datetime.combine(today.fromordinal(today.toordinal() + 1), FIRST_AT)
    elif start.time() == time(0, 0):
        start = datetime.combine(start.date(), FIRST_AT)
    golfer = Golfer(
        name=options["golfer"],
        units=Units(options["units"]),
        language=options["language"],
        time_zone=options["zone"],
        said=options["said"],
        stature_cm=options["stature_cm"],
        junior=options["junior"],
        back=Back(options["back"]),
    )
    return Order(
        golfer=golfer,
        made=today,
        starts=start.replace(tzinfo=zone),
        coach=options["coach"],
        club=ClubSort(options["club"]) if options["club"] else None,
        rulings=rulings_of(options["pinned"], options["struck"]),
    )


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise click.BadParameter(
            f"{name!r} came; the IANA name of a time zone was expected, such as Europe/Berlin.",
            param_hint="--timezone",
        ) from error


def _for_hand(order: Order, filmed: list[Filmed]) -> Order:
    """Left and right are spoken of as the reading has the golfer."""
    hand = Hand(filmed[0].shown.reading.hand.name)
    return replace(order, golfer=replace(order.golfer, hand=hand))


def _print(screen: Console, composed: Lesson, paths: tuple[Path, ...]) -> None:
    headline = composed.line("cause.headline")
    if headline:
        screen.print(f"[bold]{composed.label('part.cause')}[/bold]: {headline.text}")
    for line in composed.part(Part.CHECKPOINT)[:2]:
        screen.print(line.text, highlight=False)
    for note in composed.for_coach:
        screen.print(f"For you, not for the golfer: {note}", highlight=False, markup=False)
    for path in paths:
        screen.print(str(path), highlight=False, markup=False, soft_wrap=True)
