"""Edits of a talk-through keep what they must: lengths, places, and every take as it was."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from causeline.model.talk import Piece, Screen, Take, Talk
from causeline.model.talk_cuts import (
    Pieces,
    in_take,
    in_talk,
    length_ms,
    respoken,
    trimmed,
    whole,
    without,
)
from tests.talks import a_take, takes

LONGEST = 60
_piece = st.tuples(st.sampled_from(["t1", "t2"]), st.integers(0, LONGEST - 1)).flatmap(
    lambda pair: st.builds(
        Piece, st.just(pair[0]), st.just(pair[1]), st.integers(pair[1] + 1, LONGEST)
    )
)
_pieces = st.lists(_piece, max_size=6).map(tuple)


@st.composite
def _passages(draw: Any) -> tuple[Pieces, int, int]:
    pieces = draw(_pieces)
    ends = sorted(draw(st.tuples(*[st.integers(0, length_ms(pieces))] * 2)))
    return pieces, ends[0], ends[1]


def _played(pieces: Pieces) -> list[tuple[str, int]]:
    """Which millisecond of which take plays at each millisecond: what the edits are judged by."""
    return [(piece.take, at) for piece in pieces for at in range(piece.start_ms, piece.stop_ms)]


@given(_passages())
def test_trimming_keeps_the_passage_and_cutting_the_rest(passage: tuple[Pieces, int, int]) -> None:
    pieces, start, stop = passage
    played = _played(pieces)
    assert _played(trimmed(pieces, start, stop)) == played[start:stop]
    assert _played(without(pieces, start, stop)) == played[:start] + played[stop:]


@given(_passages(), st.integers(0, 50))
def test_a_passage_spoken_anew_stands_in_the_place_of_the_old(
    passage: tuple[Pieces, int, int], lasts: int
) -> None:
    pieces, start, stop = passage
    played = _played(pieces)
    new = a_take(lasts_ms=lasts, name="t3")
    said = [("t3", at) for at in range(lasts)]
    assert _played(respoken(pieces, start, stop, new)) == played[:start] + said + played[stop:]


@given(_passages())
def test_a_cut_gives_no_empty_piece_and_no_join_that_was_not_there(
    passage: tuple[Pieces, int, int],
) -> None:
    pieces, start, stop = passage
    again = respoken(without(pieces, start, stop), start, start, a_take(lasts_ms=0, name="t3"))
    assert _played(again) == _played(without(pieces, start, stop))
    assert all(piece.lasts_ms > 0 for piece in again)
    assert trimmed(pieces, 0, length_ms(pieces)) == trimmed(
        trimmed(pieces, 0, length_ms(pieces)), 0, length_ms(pieces)
    )


@given(_passages())
def test_an_instant_is_found_in_its_take_and_back(passage: tuple[Pieces, int, int]) -> None:
    pieces, at, _ = passage
    played = _played(pieces)
    found = in_take(pieces, at)
    assert found == (played[at] if at < len(played) else None)
    if found is not None:
        assert list(in_talk(pieces, *found)) == [k for k, one in enumerate(played) if one == found]


@settings(max_examples=40, deadline=None)
@given(takes("t1"), takes("t2"), st.data())
def test_the_screens_of_an_edited_talk_are_those_of_its_takes(
    one: Take, two: Take, data: st.DataObject
) -> None:
    pieces = whole([one])
    ends = sorted(data.draw(st.tuples(*[st.integers(0, one.lasts_ms)] * 2)))
    talk = Talk((one, two), respoken(pieces, ends[0], ends[1], two))
    changes = list(talk.changes())
    times = [at for at, _, _ in changes]
    assert times == sorted(set(times))
    assert not changes or times[0] == 0
    for at in data.draw(st.lists(st.integers(0, max(talk.lasts_ms - 1, 0)), max_size=8)):
        place = in_take(talk.pieces, at)
        if place is not None:
            shown: Screen = [screen for begins, _, screen in changes if begins <= at][-1]
            assert shown == talk.take(place[0]).screen_at(place[1])
