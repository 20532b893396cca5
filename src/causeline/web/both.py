"""A swing seen from both sides, its body solved as one: worked out behind the pages, then shown.

Until it is there, and where it cannot be, each view is shown as it was read by itself.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from functools import lru_cache

from causeline.model.access import Made, Make
from causeline.model.clip import Clip, View
from causeline.model.library import Coach, ReadingEntry, State
from causeline.model.motion import SecondView
from causeline.model.reading import Reading
from causeline.reading.doors import Settings
from causeline.reading.teaching import Shown
from causeline.store.library import Library
from causeline.store.library_clips import load_clip_of, load_judgements
from causeline.store.library_people import load_coach, load_golfer
from causeline.store.library_readings import load_swings
from causeline.store.reading_back import load_reading
from causeline.web.asking import clip_settings
from causeline.web.desk import Desk
from causeline.web.jobs import Job, Report
from causeline.web.made import Recipe
from causeline.web.pairs import partner_of
from causeline.web.rows import open_row
from causeline.web.shelf import ShelfSwing, swing_name

VERSION = 1
"""Grows when two views are solved otherwise than before."""
KEPT = 24
WHAT = "the body from both sides"


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """A swing and the same one from the other side."""

    views: tuple[ShelfSwing, ...]
    """The swing that was asked for first; alone where there is no other."""
    second: SecondView | None
    """How the other view was used; None while each view stands by itself."""
    job: str
    """Id of the work that solves them; empty while none goes on."""
    why: str
    """Why they could not be solved together; empty where they were, or may be yet."""


def together(desk: Desk, coach: Coach, swing: ShelfSwing) -> Together:
    """The swing with its other view; where their one body is not there yet it is begun."""
    return joined(desk, swing, partner_of(desk, coach, swing))


def joined(desk: Desk, swing: ShelfSwing, partner: ShelfSwing | None) -> Together:
    """As `together`, with the partner already known."""
    if partner is None:
        return Together((swing,), None, "", "")
    solved = tuple(_solved(desk, one, other) for one, other in _ways(swing, partner))
    if all(solved):
        views = tuple(one for one in solved if one is not None)
        motion = views[0].shown.swing.motion
        second = motion.second if motion else None
        return Together(views, second, "", "" if second else "it could not be laid over this one")
    job = _begun(desk, swing, partner)
    why = job.error if job.state not in (State.WAITING, State.WORKING) else ""
    return Together((swing, partner), None, "" if why else job.id, why)


def best_of(desk: Desk, coach: Coach, swing: ShelfSwing) -> ShelfSwing:
    """The swing as both sides show it where that is there, else as it was read by itself."""
    partner = partner_of(desk, coach, swing)
    return (_solved(desk, swing, partner) if partner else None) or swing


def serve_together(desk: Desk, entry: ReadingEntry) -> None:
    """Begin to solve the swings of a reading that became ready, where their other view is there."""
    clip = load_clip_of(desk.library, entry.sha256)
    if clip is None:
        return
    coach = load_coach(desk.library, load_golfer(desk.library, clip.golfer).coach)
    for swing in load_swings(desk.library, entry.id):
        one = None if swing.rehearsal else open_row(desk, coach, swing_name(clip.id, swing.number))
        if one is not None:
            together(desk, coach, one)


def _ways(
    one: ShelfSwing, other: ShelfSwing
) -> tuple[tuple[ShelfSwing, ShelfSwing], tuple[ShelfSwing, ShelfSwing]]:
    return (one, other), (other, one)


def _solved(desk: Desk, swing: ShelfSwing, partner: ShelfSwing) -> ShelfSwing | None:
    made = desk.made.find(_recipe(desk, swing, partner))
    if made is None:
        return None
    reading = _opened(desk.library, made, swing.shown.reading.clip)
    return replace(swing, shown=Shown(reading, swing.shown.number))


def _begun(desk: Desk, one: ShelfSwing, other: ShelfSwing) -> Job:
    first, second = sorted((one, other), key=lambda each: each.view is not View.FACE_ON)
    recipes = [_recipe(desk, mine, theirs) for mine, theirs in _ways(first, second)]

    def work(_: Report) -> None:
        files = desk.solve_both(
            (first.entry.seen_key or "", second.entry.seen_key or ""),
            (_settings(desk, first), _settings(desk, second)),
            {first.shown.number: second.shown.number},
        )
        for recipe, file, theirs in zip(recipes, files, (second, first), strict=True):
            desk.made.get(recipe, lambda file=file, theirs=theirs: (file, _from(theirs)))  # type: ignore[misc]

    return desk.jobs.once(WHAT, work, recipes[0].key)


def _from(other: ShelfSwing) -> dict[str, str]:
    """Named, so that it goes with either clip."""
    return {"other": other.clip.sha256}


def _recipe(desk: Desk, one: ShelfSwing, other: ShelfSwing) -> Recipe:
    sides = [
        [each.entry.seen_key, each.shown.number, asdict(_settings(desk, each))]
        for each in (one, other)
    ]
    parts = ["both", VERSION, dict(one.entry.engine), *sides]
    return Recipe(Make.READING, parts, sha256=one.clip.sha256, golfer=one.golfer.id)


def _settings(desk: Desk, one: ShelfSwing) -> Settings:
    """As the clip is read now; what is said of faults changes no body."""
    held = load_judgements(desk.library, one.clip.id)
    return replace(clip_settings(one.golfer.golfer, one.clip, held), rulings=())


def _opened(library: Library, made: Made, clip: Clip) -> Reading:
    return _reading(library, made.file_key, clip)


@lru_cache(maxsize=KEPT)
def _reading(library: Library, key: str, clip: Clip) -> Reading:
    with library.vault.on_disk(key) as path:
        return load_reading(path, clip)
