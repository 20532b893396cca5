"""Frames for the golfer's page: drawn once, veiled where a face is not to be shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from causeline.model.access import Made, Make
from causeline.model.clip import Clip, Frame, View
from causeline.model.lesson import Lesson, Still, SwingRef
from causeline.model.library import CheckIn, ClipEntry, State
from causeline.model.reading import Swing
from causeline.render.film_parts import Cast, Footage
from causeline.render.film_plan import Rest
from causeline.render.lesson_figures import (
    Figure,
    Scene,
    render_figure,
    render_figures,
    render_reader,
    render_taken,
)
from causeline.render.veil import render_veiled, render_veils
from causeline.store.library_clips import load_clip, load_same_clip
from causeline.store.library_readings import load_reading_of
from causeline.store.library_whole import load_whole
from causeline.web.desk import Desk
from causeline.web.made import Recipe
from causeline.web.practice_guest import Guest

DRAWN = 1
"""Grows when pictures are drawn otherwise than before."""
Packed = tuple[bytes, dict[str, Any]]


def page_pictures(desk: Desk, guest: Guest) -> Made | None:
    """The lesson's frames, all in one file; None while they are being drawn."""
    recipe = _lesson_recipe(guest)
    found = desk.made.find(recipe)
    if found is None:

        def draw() -> Packed:
            return _packed(render_figures(guest.lesson, _scenes(desk, guest)))

        _begin(desk, recipe, draw)
    return found


def check_in_picture(desk: Desk, guest: Guest, check_in: CheckIn) -> Made | None:
    """The frame that goes with a check-in's answer; None where it has none, or not yet."""
    told = check_in.outcome or {}
    if not told.get("still") or not check_in.clip:
        return None
    clip = load_clip(desk.library, check_in.clip)
    recipe = Recipe(
        Make.STILL,
        [DRAWN, "check-in", check_in.id, clip.sha256, told["swing"], told["still"], guest.face],
        sha256=clip.sha256,
        golfer=guest.golfer.id,
        shared=True,
        face=guest.face,
    )
    found = desk.made.find(recipe)
    if found is None:
        _begin(desk, recipe, lambda: _packed(_check_in_figure(desk, guest, clip, told)))
    return found


def read_picture(desk: Desk, made: Made, name: str) -> bytes | None:
    """One JPEG of a file of several."""
    told = made.content["pictures"].get(name)
    if told is None:
        return None
    whole = desk.library.vault.read(made.file_key)
    return whole[told["from"] : told["from"] + told["size"]]


def _begin(desk: Desk, recipe: Recipe, draw: Callable[[], Packed]) -> None:
    desk.jobs.start(
        "the pictures of a golfer's page", lambda _: desk.made.get(recipe, draw), recipe.key
    )


def _lesson_recipe(guest: Guest) -> Recipe:
    lesson = guest.lesson
    stills = [[line.id, [asdict(still) for still in line.stills]] for line in lesson.lines]
    return Recipe(
        Make.STILL,
        [
            DRAWN,
            "lesson",
            guest.entry.id,
            [asdict(ref) for ref in lesson.swings],
            [one for one in stills if one[1]],
            [lesson.golfer.language, lesson.golfer.units, lesson.golfer.stature_cm, guest.face],
        ],
        golfer=guest.golfer.id,
        lesson=guest.entry.id,
        shared=True,
        face=guest.face,
    )


def _scenes(desk: Desk, guest: Guest) -> dict[View, Scene]:
    scenes = {}
    for ref in guest.lesson.swings:
        cast = _cast(desk, guest, ref)
        if cast is not None:
            scenes[ref.view] = Scene(cast)
    return scenes


def _cast(desk: Desk, guest: Guest, ref: SwingRef) -> Cast | None:
    """The golfer's own swing; None where the clip is somebody else's, or is not read any more."""
    library = desk.library
    entry = load_reading_of(library, ref.sha256)
    if entry is None or entry.state is not State.READY:
        return None
    if load_same_clip(library, guest.golfer.id, ref.sha256) is None:
        return None
    reading = load_whole(library, entry)
    if not 1 <= ref.number <= len(reading.swings):
        return None
    swing = reading.swings[ref.number - 1]
    footage = _footage(desk, reading.clip, None if guest.face else swing)
    return Cast(swing, reading.clip, footage, guest.lesson.label("swing.yours"), ref.view)


def _footage(desk: Desk, clip: Clip, veiled: Swing | None) -> Footage:
    veils = None if veiled is None else render_veils(veiled.body)

    def frames(wanted: Sequence[int], longest: int) -> Iterator[Frame]:
        with desk.library.vault.on_disk(clip.sha256) as path:
            for frame in desk.footage(path, clip, wanted, longest):
                yield frame if veils is None else render_veiled(frame, veils)

    return frames


def _check_in_figure(
    desk: Desk, guest: Guest, clip: ClipEntry, told: Mapping[str, Any]
) -> dict[str, Figure]:
    still = Still(**{**told["still"], "measures": tuple(told["still"]["measures"])})
    cast = _cast(desk, guest, SwingRef("", clip.sha256, View(still.view), told["swing"]))
    moment = cast.swing.moments.get(still.moment) if cast else None
    if cast is None or moment is None:
        return {}
    scene = Scene(cast)
    rest = Rest(moment, told["lines"][0], render_taken(cast.swing, still))
    reader = render_reader(guest.lesson, {View(still.view): scene})
    return {"check-in": render_figure(scene, rest, reader, _caption(guest.lesson, still))}


def _caption(lesson: Lesson, still: Still) -> Callable[..., str]:
    words = (lesson.label(f"moment.{still.moment}"), lesson.label(f"view.{still.view}"))
    return lambda *_: " · ".join(words)


def _packed(figures: Mapping[str, Figure]) -> Packed:
    """Pictures one after the other, and where each lies."""
    whole, told = b"", {}
    for name, figure in figures.items():
        told[name] = {
            "from": len(whole),
            "size": len(figure.jpeg),
            "width": figure.width,
            "height": figure.height,
            "caption": figure.caption,
        }
        whole += figure.jpeg
    return whole, {"pictures": told}
