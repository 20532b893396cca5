"""Talk-throughs for tests: small ones written by hand, and any that may be."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from causeline.model.clip import View
from causeline.model.lesson import SwingRef
from causeline.model.talk import (
    Event,
    Layered,
    Layers,
    Marked,
    Piece,
    Pointed,
    Pointer,
    Row,
    Rows,
    Screen,
    Sight,
    Stepped,
    Take,
    Talk,
    Unmarked,
    Zoomed,
)

FACE = SwingRef("april.mov", "a" * 64, View.FACE_ON, 1)
LINE = SwingRef("behind.mov", "b" * 64, View.DOWN_THE_LINE, 2)


def a_mark(name: str = "m1", **more: Any) -> dict[str, Any]:
    """A line from one place of the picture to another."""
    mark = {"id": name, "kind": "line", "spots": [[10.0, 20.0], [110.0, 220.0]], "text": ""}
    return {**mark, "follow": None, "ink": 0, "from": None, "to": None, **more}


def a_take(
    events: tuple[Event, ...] = (), lasts_ms: int = 10_000, name: str = "t1", frame: int = 0
) -> Take:
    """A take of one swing that begins on a frame."""
    return Take(name, (FACE, LINE), Screen((Row(0, frame),)), events, lasts_ms)


def a_talk(*takes: Take) -> Talk:
    """Takes one after the other."""
    return Talk(takes, tuple(Piece(take.id, 0, take.lasts_ms) for take in takes))


def takes(name: str = "t", swings: int = 2) -> st.SearchStrategy[Take]:
    """Any take of up to five seconds."""

    @st.composite
    def made(draw: st.DrawFn) -> Take:
        lasts = draw(st.integers(1, 5000))
        times = sorted(draw(st.lists(st.integers(0, lasts), max_size=12)))
        events = tuple(draw(_event(at, swings)) for at in times)
        start = draw(_screens(swings))
        return Take(name, (FACE, LINE)[:swings], start, events, lasts)

    return made()


def _rows(swings: int) -> st.SearchStrategy[tuple[Row, ...]]:
    row = st.builds(Row, st.integers(0, swings - 1), _FRAMES, _SIGHTS, st.booleans())
    return st.lists(row, max_size=3).map(tuple)


def _screens(swings: int) -> st.SearchStrategy[Screen]:
    return st.builds(Screen, _rows(swings), layers=_LAYERS)


def _event(at_ms: int, swings: int) -> st.SearchStrategy[Event]:
    at, place = st.just(at_ms), st.integers(0, 3)
    swing, name = st.integers(0, swings - 1), st.sampled_from(["m1", "m2", "m3"])
    pointers = st.builds(Pointer, place, _PLACES, _PLACES)
    return st.one_of(
        st.builds(Rows, at, _rows(swings)),
        st.builds(Stepped, at, place, _FRAMES),
        st.builds(Zoomed, at, place, _SIGHTS),
        st.builds(Marked, at, swing, st.builds(a_mark, name, ink=st.integers(0, 5))),
        st.builds(Unmarked, at, swing, name),
        st.builds(Layered, at, _LAYERS),
        st.builds(Pointed, at, st.none() | pointers),
    )


_FRAMES = st.integers(0, 500)
_SHARES = st.floats(0, 1)
_SIGHTS = st.builds(Sight, st.floats(1, 16), _SHARES, _SHARES)
_LAYERS = st.builds(Layers, *[st.booleans()] * 4)
_PLACES = st.floats(-4000, 4000)
