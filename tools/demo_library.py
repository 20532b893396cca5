"""Puts the demo scenario into a library: the coach, golfers, clips, and swings to compare with."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort
from causeline.model.lesson import Golfer, Units
from causeline.model.library import (
    ClipCard,
    ClipEntry,
    Coach,
    GolferEntry,
    Judgement,
    Purpose,
    Reference,
    Touch,
    new_id,
)
from causeline.store.library import Library
from causeline.store.library_clips import (
    ClipNotes,
    load_clip_cards,
    load_pairings,
    load_references,
    save_clip,
    save_judgement,
    save_reference,
)
from causeline.store.library_consent import save_consent
from causeline.store.library_people import load_coaches, load_golfers, save_coach, save_golfer
from causeline.store.library_readings import load_reading_content
from causeline.web.pairs import OTHER
from causeline.web.shelf import swing_name

SCENARIO = Path(__file__).parents[1] / "demo"
CLUBS = {"mid iron": ClubSort.IRON}
Entry = dict[str, Any]


def scenario() -> Entry:
    """What the scenario file says."""
    told: Entry = json.loads((SCENARIO / "scenario.json").read_text(encoding="utf-8"))
    return told


def fill_library(
    library: Library, files: Sequence[str] | None = None, *, views: bool = True
) -> tuple[ClipEntry, ...]:
    """The scenario's people and clips (those of `files` alone, where given), in its order.

    What is there already stays. Clips of nobody in the scenario are the coach's own swings, which
    may be shown as examples. Without `views` the pictures say where the camera stood. Nothing is
    read here.
    """
    told = scenario()
    coaches = load_coaches(library)
    coach = coaches[0] if coaches else save_coach(library, Coach(new_id(), told["coach"]))
    people = [*told["golfers"], {"name": told["coach"], "hand": "right", "stature_cm": None}]
    golfers = {person["name"]: _golfer(library, coach, person, told) for person in people}
    wanted = [entry for entry in told["clips"] if files is None or entry["file"] in files]
    clips = tuple(
        _clip(library, golfers[entry["golfer"] or told["coach"]], entry, told, views)
        for entry in wanted
    )
    _say_pairs(library, coach, wanted, clips)
    return clips


def _say_pairs(
    library: Library, coach: Coach, entries: Sequence[Entry], clips: Sequence[ClipEntry]
) -> None:
    """Of a day with further swings from one spot, the coach says which two clips are one swing.

    They are those whose names end with the view; further swings bear a number after it.
    """
    days: dict[tuple[str, str], dict[str, list[ClipEntry]]] = {}
    for entry, clip in zip(entries, clips, strict=True):
        views = days.setdefault((clip.golfer, entry["date"]), {})
        views.setdefault(entry["view"], []).append(clip)
    for (golfer, _), views in days.items():
        first = [
            clip
            for view, found in views.items()
            for clip in found
            if Path(clip.name).stem.endswith(view.replace("-", "_"))
        ]
        said = {each.clip for each in load_pairings(library, golfer)}
        several = max(map(len, views.values())) > 1
        if several and len(first) == len(View) and first[0].id not in said:
            one, other = first
            content = {OTHER: swing_name(other.id, 1)}
            judgement = Judgement(
                new_id(), one.id, 1, Touch.PAIR, content, coach.name, library.now()
            )
            save_judgement(library, judgement)


def _golfer(library: Library, coach: Coach, person: Entry, told: Entry) -> GolferEntry:
    known = [one for one in load_golfers(library, coach.id) if one.golfer.name == person["name"]]
    if known:
        return known[0]
    golfer = Golfer(
        name=person["name"],
        hand=Hand(person["hand"]),
        units=Units(told["units"]),
        time_zone=told["time_zone"],
        stature_cm=person["stature_cm"],
    )
    first = min(
        (e["date"] for e in told["clips"] if e["golfer"] == person["name"]), default="2026-03-20"
    )
    entry = GolferEntry(new_id(), coach.id, golfer, since=date.fromisoformat(first))
    saved = save_golfer(library, entry)
    own = person["name"] == told["coach"]
    purposes = (Purpose.ANALYSIS, Purpose.SHARING, *([Purpose.REFERENCE] if own else []))
    for purpose in purposes:
        save_consent(library, saved.id, purpose, person["name"])
    return saved


def keep_references(library: Library) -> int:
    """Keep the coach's own read swings to compare with; gives how many there are then."""
    coach = load_coaches(library)[0]
    known = {one.clip for one in load_references(library, coach.id)}
    for golfer in load_golfers(library, coach.id):
        for card in load_clip_cards(library, golfer.id):
            own = golfer.golfer.name == coach.name and card.entry.id not in known
            if own and card.swings and card.reading is not None:
                save_reference(library, _reference(library, coach, card))
    return len(load_references(library, coach.id))


def _reference(library: Library, coach: Coach, card: ClipCard) -> Reference:
    swing = card.swings[0]
    assert card.reading is not None  # noqa: S101
    read = load_reading_content(library, card.reading)["swings"][swing.number - 1]
    return Reference(
        id=new_id(),
        coach=coach.id,
        clip=card.entry.id,
        swing=swing.number,
        title=f"A sound swing with an iron, {swing.view.value.replace('-', ' ')}",
        added_at=library.now(),
        view=swing.view,
        hand=swing.hand,
        club=card.entry.club,
        tags=tuple(moment["name"] for moment in read["moments"]),
    )


def _clip(
    library: Library, golfer: GolferEntry, entry: Entry, told: Entry, views: bool
) -> ClipEntry:
    words = {one["name"]: one["working_on"] for one in told["golfers"]}
    of_golfer = [each for each in told["clips"] if each["golfer"] == entry["golfer"]]
    first = entry["golfer"] is not None and entry["date"] == of_golfer[0]["date"]
    path = SCENARIO / entry["file"]
    notes = ClipNotes(
        name=path.name,
        view=View(entry["view"]) if views else None,
        club=CLUBS[entry["club"]],
        filmed_on=date.fromisoformat(entry["date"]),
        said=words[entry["golfer"]] if first else "",
    )
    return save_clip(library, golfer.id, path, notes)
