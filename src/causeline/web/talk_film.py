"""The film of a talk-through: drawn in the background from what was recorded, kept with it."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from PIL import Image

from causeline.errors import CauselineError
from causeline.model.clip import Frame, Picture, Sound
from causeline.model.lesson import SwingRef
from causeline.model.library import Coach, Purpose
from causeline.model.talk import Talk
from causeline.reading.bench import run_scale
from causeline.render.lesson_page import render_talks
from causeline.render.talk_facts import Stature, SwingFacts, render_swing_facts
from causeline.render.talk_film import (
    BOTTOM,
    TOP,
    Player,
    Spoken,
    render_spoken,
    render_spoken_count,
)
from causeline.render.talk_voice import render_voice
from causeline.render.veil import render_veiled, render_veils
from causeline.render.words import MOMENT_TITLES
from causeline.store.library_consent import load_allowed
from causeline.store.library_people import load_golfer
from causeline.store.library_talks import (
    TalkEntry,
    load_talk,
    load_talks,
    save_talk_film,
)
from causeline.store.talk_file import save_pieces_plain
from causeline.web.asking import clip_settings
from causeline.web.bench_facts import swing_title
from causeline.web.bench_touch import touches
from causeline.web.desk import Desk
from causeline.web.jobs import Job, Report
from causeline.web.shelf import ShelfSwing, swing_seen

VERSION = 1
"""Counts the changes of how the film looks."""
LONGEST = 1920
QUALITY = 93
NAMELESS = "Talk-through"


def film_mark(desk: Desk, entry: TalkEntry) -> str:
    """Of everything that decides what the film shows."""
    talk = entry.talk
    told = [VERSION, talk.title, save_pieces_plain(talk.pieces), shows_face(desk, entry)]
    return hashlib.sha256(repr(told).encode()).hexdigest()


def shows_face(desk: Desk, entry: TalkEntry) -> bool:
    """Whether the golfer lets their face be seen on what leaves the coach's desk."""
    return Purpose.FACE in load_allowed(desk.library, entry.attachment.golfer)


def film_made(desk: Desk, entry: TalkEntry) -> bool:
    """Whether the film that is kept is of exactly this."""
    made = entry.attachment.content.get("film")
    return entry.attachment.file_key is not None and made == film_mark(desk, entry)


def film_going(desk: Desk, entry: TalkEntry) -> bool:
    """Whether the film of exactly this waits for its turn, or is drawn."""
    return bool(desk.jobs.going(_key(film_mark(desk, entry))))


def _key(mark: str) -> str:
    return f"talk {mark}"


def with_talks(desk: Desk, golfer: str, lesson: str, heading: str, page: bytes) -> bytes:
    """A lesson's page in one file with the films of its talk-throughs in it, as far as they fit.

    Only films that are of what is played now, and show no face that is not to be seen.
    """
    films = []
    for head in load_talks(desk.library, golfer, lesson):
        if head.file_key is None or head.content.get("check_in"):
            continue
        if film_made(desk, load_talk(desk.library, head.id)):
            films.append(desk.library.vault.read(head.file_key))
    return render_talks(page.decode(), heading, films).encode() if films else page


def start_film(desk: Desk, coach: Coach, entry: TalkEntry, names: Mapping[SwingRef, str]) -> Job:
    """Begin to draw the film; where it is being drawn, that goes on."""
    mark = film_mark(desk, entry)
    golfer = load_golfer(desk.library, entry.attachment.golfer).golfer.name
    what = f"the film of {golfer}'s talk-through" if golfer else "the film of a talk-through"

    def work(report: Report) -> None:
        film = make_film(desk, coach, entry, names, report)
        now = load_talk(desk.library, entry.attachment.id)
        if film_mark(desk, now) == mark:  # else it was edited meanwhile: nobody wants this one
            save_talk_film(desk.library, now, film, mark)

    return desk.jobs.start(what, work, key=_key(mark), film=True)


def make_film(
    desk: Desk, coach: Coach, entry: TalkEntry, names: Mapping[SwingRef, str], report: Report
) -> bytes:
    """Decode, paint and code the whole film."""
    talk = entry.talk
    veiled = not shows_face(desk, entry)
    report("Fetching the frames", 0, len(names) or 1)
    players = {}
    for done, (ref, name) in enumerate(names.items(), start=1):
        try:
            one = swing_seen(desk, coach, name)
        except CauselineError:
            continue  # deleted, or not read any more: its place stays dark
        hide = veiled or Purpose.FACE not in load_allowed(desk.library, one.golfer.id)
        players[ref] = _player(desk, one, talk, ref, hide)
        report("Fetching the frames", done, len(names))
    spoken = Spoken(
        talk=talk,
        title=talk.title or NAMELESS,
        players=players,
        moment_words={name.value: words for name, words in MOMENT_TITLES.items()},
    )
    voice = render_voice(talk, _voices(desk, talk))
    count = render_spoken_count(talk)

    def counted(pictures: Iterable[tuple[int, Picture]]) -> Iterator[tuple[int, Picture]]:
        for place, picture in enumerate(pictures, start=1):
            yield picture
            report("Drawing the film", min(place, count), count)

    return desk.talks.encode(counted(render_spoken(spoken)), talk.lasts_ms, voice)


def _voices(desk: Desk, talk: Talk) -> dict[str, Sound]:
    """The sound of each take that is played and has one."""
    played = {piece.take for piece in talk.pieces}
    sounds = {}
    for take in talk.takes:
        if take.id in played and take.voice is not None:
            with desk.library.vault.on_disk(take.voice.key) as path:
                sounds[take.id] = desk.talks.voice(path)
    return sounds


def _player(desk: Desk, one: ShelfSwing, talk: Talk, ref: SwingRef, veiled: bool) -> Player:
    wanted, zoom = _wanted(talk, ref)
    clip = one.shown.reading.clip
    frames = sorted(frame for frame in wanted if frame < len(clip.clock))
    longest = min(LONGEST, round(max(clip.width, clip.height) * _share(clip.height, zoom)))
    veils = render_veils(one.shown.swing.body) if veiled else None
    kept = _Kept({})
    with desk.library.vault.on_disk(one.clip.sha256) as path:
        for frame in desk.footage(path, clip, frames, longest):
            kept.put(frame if veils is None else render_veiled(frame, veils))
    return Player(_facts(desk, one), kept.get, swing_title(one))


def _share(height: int, zoom: float) -> float:
    """How much smaller the clip may be decoded: as tall as it is shown, at most as it is."""
    return min(1.0, (BOTTOM - TOP) * zoom / height)


def _wanted(talk: Talk, ref: SwingRef) -> tuple[set[int], float]:
    """Frames of a swing that may be shown, and how far it is ever enlarged."""
    frames: set[int] = set()
    zoom = 1.0
    for _, take, screen in talk.changes():
        for row in screen.rows:
            if take.swings[row.swing] == ref:
                frames.add(row.frame)
                zoom = max(zoom, row.sight.zoom)
    return frames, zoom


@dataclass(frozen=True, slots=True)
class _Kept:
    """Decoded frames, coded again so that hundreds of them take little room."""

    frames: dict[int, tuple[bytes, float]]

    def put(self, frame: Frame) -> None:
        buffer = io.BytesIO()
        Image.fromarray(frame.picture).save(buffer, "JPEG", quality=QUALITY, subsampling=0)
        self.frames[frame.index] = buffer.getvalue(), frame.shrink

    def get(self, number: int) -> Frame | None:
        """The frame; where it did not decode, the nearest before it."""
        before = [each for each in self.frames if each <= number]
        if not before:
            return None
        content, shrink = self.frames[max(before)]
        return Frame(number, np.asarray(Image.open(io.BytesIO(content))), shrink)


def _facts(desk: Desk, one: ShelfSwing) -> SwingFacts:
    clip, swing = one.shown.reading.clip, one.shown.swing
    told: dict[str, set[int]] = {}
    for _, touch in touches(desk, one):
        told.setdefault(touch.name, set()).add(touch.frame)
    touched = {name: frozenset(frames) for name, frames in told.items()}
    return render_swing_facts(swing, (clip.width, clip.height), _stature(one), touched)


def _stature(one: ShelfSwing) -> Stature | None:
    known = clip_settings(one.golfer.golfer, one.clip).stature_m
    scale = run_scale(one.shown.reading.clip, one.view, one.shown.swing, known)
    if scale is None:
        return None
    px = scale.stature_px
    return Stature(px.value, px.sd)
