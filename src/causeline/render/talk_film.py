"""The film of a talk-through: what was on the bench's screen, upright for a phone, when it changes.

A picture is made where something changes, at most `MOST_HZ` times a second, and once a second where
nothing does, so that a player can be entered anywhere. Nothing is put on the golfer but what the
coach drew: names, the moment and the place in the swing stand under the pictures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from causeline.model.clip import Frame, Picture
from causeline.model.lesson import SwingRef
from causeline.model.talk import Screen, Take, Talk
from causeline.render.film import EDGE, HAIR, INK, MARK, PAPER, QUIET
from causeline.render.ink import Ink, render_ink
from causeline.render.lettering import FIGURES, STRONG, Style, render_text
from causeline.render.talk_facts import SwingFacts
from causeline.render.talk_paint import (
    render_band,
    render_lie,
    render_painted,
    render_pointer,
)
from causeline.render.talk_scene import render_shapes

WIDTH, HEIGHT = 720, 1280
TOP, BOTTOM = 76, 1092
"""Between them is room for the pictures."""
GAP = 8
NAME_HIGH = 44
MOST_HZ = 30
LEAST_MS = 1000 // MOST_HZ
STILL_MS = 1000
_TITLE = Style(STRONG, 28, QUIET)
_NAME = Style(FIGURES, 24, QUIET)
_MOMENT = Style(STRONG, 34, INK)


@dataclass(frozen=True, slots=True, eq=False)
class Player:
    """One swing that the talk-through shows."""

    facts: SwingFacts
    picture: Callable[[int], Frame | None]
    """The clip's frame of that number; None where it does not decode."""
    name: str
    """Under its picture."""


@dataclass(frozen=True, slots=True, eq=False)
class Spoken:
    """Everything that the film shows."""

    talk: Talk
    title: str
    players: Mapping[SwingRef, Player]
    """A swing that is not there any more is left out: its place stays dark."""
    moment_words: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a row is on the page, pixels."""

    left: int
    top: int
    width: int
    height: int


def render_spoken(spoken: Spoken) -> Iterator[tuple[int, Picture]]:
    """Each picture, (1280, 720, 3), with the millisecond from which it stands; the first at 0."""
    last_ms, shown = -STILL_MS, _page()
    before: tuple[Take, Screen] | None = None
    for at_ms, take, screen in _paced(spoken.talk):
        while last_ms >= 0 and at_ms - last_ms > STILL_MS:
            last_ms += STILL_MS
            yield last_ms, shown
        if before is None or before[0] is not take or before[1] != screen:
            shown = render_screen(spoken, take, screen)
            before = take, screen
        yield at_ms, shown
        last_ms = at_ms
    if last_ms < 0:
        yield 0, shown
        last_ms = 0
    while spoken.talk.lasts_ms - last_ms > STILL_MS:
        last_ms += STILL_MS
        yield last_ms, shown


def render_spoken_count(talk: Talk) -> int:
    """About how many pictures there are, for who waits."""
    return sum(1 for _ in _paced(talk)) + talk.lasts_ms // STILL_MS


def _paced(talk: Talk) -> Iterator[tuple[int, Take, Screen]]:
    """Changes at least `LEAST_MS` apart: what comes sooner waits, and of several the last wins."""
    waiting: tuple[int, Take, Screen] | None = None
    last_ms = -LEAST_MS
    for at_ms, take, screen in talk.changes():
        if waiting is not None and at_ms > waiting[0]:
            yield waiting
            last_ms = waiting[0]
        waiting = max(at_ms, last_ms + LEAST_MS), take, screen
    if waiting is not None and waiting[0] < talk.lasts_ms:
        yield waiting


def render_screen(spoken: Spoken, take: Take, screen: Screen) -> Picture:
    """One page: title, rows, their names, the moment and the place in the swing."""
    page = _page()
    render_text(page, spoken.title, (EDGE // 2, 22), _TITLE)
    players = [spoken.players.get(take.swings[row.swing]) for row in screen.rows]
    places = _places([_aspect(player) for player in players])
    for number, (player, place) in enumerate(zip(players, places, strict=True)):
        band = _band(screen, number, player, place)
        page[place.top : place.top + place.height, place.left : place.left + place.width] = band
        name = "" if player is None else player.name
        render_text(page, name, (max(place.left, 12), place.top + place.height + 8), _NAME)
    if players and players[0] is not None:
        _rule(page, spoken, players[0], screen.rows[0].frame)
    return page


def _band(screen: Screen, number: int, player: Player | None, place: Place) -> Picture:
    row, size = screen.rows[number], (place.width, place.height)
    if player is None:
        return render_band(None, (1, 1), render_lie(row.sight, (1, 1), size, False), size)
    facts = player.facts
    clip = facts.width, facts.height
    lie = render_lie(row.sight, clip, size, row.mirrored)
    band = render_band(player.picture(row.frame), clip, lie, size)
    marks = [one.mark for one in screen.marks if one.swing == row.swing]
    shapes = render_shapes(facts, row.frame, row.mirrored, screen.layers, marks)
    render_painted(band, shapes, lie)
    if screen.pointer is not None and screen.pointer.row == number:
        render_pointer(band, lie.place(np.array([screen.pointer.x, screen.pointer.y])))
    return band


def _aspect(player: Player | None) -> float:
    return 9 / 16 if player is None else player.facts.width / player.facts.height


def _places(aspects: Sequence[float]) -> list[Place]:
    """Rows in as many columns as give the pictures most room; each keeps its clip's shape."""
    if not aspects:
        return []
    tries = [_grid(aspects, columns) for columns in range(1, len(aspects) + 1)]
    return max(tries, key=lambda places: sum(place.width * place.height for place in places))


def _grid(aspects: Sequence[float], columns: int) -> list[Place]:
    lines = ceil(len(aspects) / columns)
    cell_w = (WIDTH - (columns - 1) * GAP) / columns
    cell_h = (BOTTOM - TOP) / lines
    places = []
    for k, aspect in enumerate(aspects):
        high = min(cell_h - NAME_HIGH, cell_w / aspect)
        wide = high * aspect
        left = (k % columns) * (cell_w + GAP) + (cell_w - wide) / 2
        top = TOP + (k // columns) * cell_h + (cell_h - NAME_HIGH - high) / 2
        places.append(Place(round(left), round(top), round(wide), round(high)))
    return places


def _rule(page: Picture, spoken: Spoken, player: Player, frame: int) -> None:
    """The swing as a line, its moments as ticks, and where the first row is now."""
    moments = player.facts.moments
    if not moments:
        return
    first, last = min(moments.values()), max(moments.values())

    def x(at: int) -> float:
        share = (min(max(at, first), last) - first) / max(last - first, 1)
        return EDGE / 2 + share * (WIDTH - EDGE)

    y = 1150.0
    inks = [Ink(np.array([[EDGE / 2, y], [WIDTH - EDGE / 2, y]]), 2.0, HAIR)]
    inks += [Ink(np.array([[x(at), y - 12], [x(at), y]]), 2.0, INK) for at in moments.values()]
    inks.append(Ink(np.array([[EDGE / 2, y], [x(frame), y]]), 3.0, INK))
    inks.append(Ink(np.array([[x(frame), y]]), 15.0, MARK))
    render_ink(page, tuple(inks))
    nearest = min(moments, key=lambda name: abs(moments[name] - frame))
    if abs(moments[nearest] - frame) <= 1:
        words = spoken.moment_words.get(nearest, nearest)
        render_text(page, words, (EDGE // 2, 1182), _MOMENT)


def _page() -> Picture:
    page = np.empty((HEIGHT, WIDTH, 3), dtype=np.uint8)
    page[...] = PAPER
    return page
