"""The still of each moment of a swing: all of one swing in one file, made once."""

from __future__ import annotations

from causeline.model.access import Made, Make
from causeline.model.library import ReadingEntry
from causeline.model.moments import MomentName
from causeline.reading.teaching import Shown
from causeline.render.stills import Crop, render_crop, render_rows, render_still
from causeline.store.library_clips import load_clip_of
from causeline.store.library_people import load_golfer
from causeline.web.desk import Desk
from causeline.web.jobs import Report
from causeline.web.made import Recipe
from causeline.web.shelf import ShelfSwing, open_reading

VERSION = 1
"""Of how stills are made: a higher one makes them anew."""
LONGEST_PX = 1080
"""Frames are decoded no larger: a still is 520 pixels wide at most."""


def crop_of(swing: ShelfSwing) -> Crop:
    """The cut that all stills of a swing share."""
    one, clip = swing.shown.swing, swing.shown.reading.clip
    return render_crop(one.body, render_rows(one), (clip.width, clip.height))


def still_address(swing: ShelfSwing, moment: MomentName) -> str:
    """Where a still is, with a mark of its recipe: a browser may keep it."""
    return f"/stills/{swing.name}/{moment.value}.jpg?v={_recipe(swing).key[:12]}"


def read_still(desk: Desk, swing: ShelfSwing, moment: str) -> bytes | None:
    """A still's JPEG, all stills of the swing made first where they are not; None for no moment."""
    made = make_stills(desk, swing)
    place = made.content.get(moment)
    if place is None:
        return None
    start, length = place
    with desk.library.vault.open(made.file_key) as file:
        file.seek(start)
        return file.read(length)


def serve_stills(desk: Desk, entry: ReadingEntry) -> None:
    """Begin to make the stills of a reading that became ready, before anybody opens its sheet."""

    def work(_: Report) -> None:
        clip = load_clip_of(desk.library, entry.sha256)
        if clip is None:
            return
        golfer = load_golfer(desk.library, clip.golfer)
        reading = open_reading(desk.library, entry)
        for number in range(1, len(reading.swings) + 1):
            make_stills(desk, ShelfSwing(golfer, clip, entry, Shown(reading, number)))

    desk.jobs.start("the pictures of a swing", work, f"stills {entry.id}")


def make_stills(desk: Desk, swing: ShelfSwing) -> Made:
    """Every still of a swing, one after the other in one file; the content says where each lies."""
    return desk.made.get(_recipe(swing), lambda: _packed(desk, swing))


def _packed(desk: Desk, swing: ShelfSwing) -> tuple[bytes, dict[str, list[int]]]:
    clip, crop = swing.shown.reading.clip, crop_of(swing)
    at = {moment.frame: moment.name for moment in swing.shown.swing.moments.found}
    packed, places = b"", {}
    with desk.library.vault.on_disk(swing.clip.sha256) as path:
        for frame in desk.footage(path, clip, sorted(at), LONGEST_PX):
            still = render_still(frame, crop)
            for moment in swing.shown.swing.moments.found:
                if moment.frame == frame.index:
                    places[moment.name.value] = [len(packed), len(still.jpeg)]
            packed += still.jpeg
    return packed, places


def _recipe(swing: ShelfSwing) -> Recipe:
    crop = crop_of(swing)
    frames = {moment.name.value: moment.frame for moment in swing.shown.swing.moments.found}
    parts = [
        "stills",
        VERSION,
        swing.clip.sha256,
        frames,
        [crop.left, crop.top, crop.width, crop.height],
    ]
    return Recipe(Make.STILL, parts, sha256=swing.clip.sha256)
