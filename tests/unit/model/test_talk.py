"""A talk-through's record: what is on the screen when, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.talk import (
    Drawn,
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
    Talk,
    Unmarked,
    Zoomed,
    check_mark,
)
from causeline.model.talk_cuts import trimmed
from causeline.model.talk_search import Told, shown_moments
from tests.talks import FACE, LINE, a_mark, a_take, a_talk

EVENTS: tuple[Event, ...] = (
    Stepped(100, 0, 7),
    Marked(200, 0, a_mark("m1")),
    Marked(300, 0, a_mark("m2")),
    Zoomed(400, 0, Sight(2.0, 0.25, 0.75)),
    Marked(500, 0, a_mark("m1", ink=3)),
    Rows(600, (Row(0, 7), Row(1, 40, mirrored=True))),
    Stepped(600, 1, 41),
    Pointed(650, Pointer(1, 12.5, 30.0)),
    Unmarked(700, 0, "m2"),
    Layered(800, Layers(body=False)),
)


def test_the_screen_at_each_instant() -> None:
    take = a_take(EVENTS)
    assert take.screen_at(0) == Screen((Row(0, 0),))
    assert take.screen_at(99).rows[0].frame == 0
    assert take.screen_at(100).rows[0].frame == 7
    drawn = [(one.mark["id"], one.mark["ink"]) for one in take.screen_at(550).marks]
    assert drawn == [("m1", 3), ("m2", 0)]  # changed where it stood: not on top of the other
    assert take.screen_at(450).rows[0].sight == Sight(2.0, 0.25, 0.75)
    last = take.screen_at(10_000)
    assert last.rows == (Row(0, 7), Row(1, 41, mirrored=True))
    assert last.pointer == Pointer(1, 12.5, 30.0)
    assert last.marks == (Drawn(0, a_mark("m1", ink=3)),)
    assert last.layers == Layers(body=False)


def test_a_change_of_a_row_that_has_gone_changes_nothing() -> None:
    screen = Screen((Row(0, 5),))
    assert screen.after(Stepped(10, 3, 9)) == screen


def test_what_happens_at_one_instant_is_one_change() -> None:
    times = [at for at, _, _ in a_talk(a_take(EVENTS)).changes()]
    assert times == [0, 100, 200, 300, 400, 500, 600, 650, 700, 800]


@pytest.mark.parametrize(
    ("events", "told"),
    [
        ((Stepped(20, 0, 1), Stepped(10, 0, 1)), "event 1 at 10 ms; expected 20 to 10000"),
        ((Stepped(20_000, 0, 1),), "event 0 at 20000 ms; expected 0 to 10000"),
        ((Rows(0, (Row(2, 1),)),), "got swing 2; expected one of 2"),
        ((Marked(0, -1, a_mark()),), "got swing -1; expected one of 2"),
    ],
)
def test_events_that_cannot_be_are_refused(events: tuple[Event, ...], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        a_take(events)


@pytest.mark.parametrize(
    ("mark", "told"),
    [
        ({"kind": "line"}, "without a sound 'id'"),
        ({"id": "x" * 65, "kind": "line"}, "1 to 64 letters"),
        (a_mark(spots=[[float("nan"), 1.0]]), "got nan in a mark"),
        (a_mark(text="x" * 2001), "a text of 2001 letters"),
        (a_mark(spots=[[0.0]] * 20_001), "more than 20000 parts"),
        (a_mark(spots={1: 2}), "a key that is no text"),
        (a_mark(spots=b"x"), "got bytes in a mark"),
    ],
)
def test_what_is_no_mark_is_refused(mark: dict[str, Any], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        check_mark(mark)


def test_a_mark_that_nests_for_ever_is_refused() -> None:
    deep: list[Any] = []
    for _ in range(50):
        deep = [deep]
    with pytest.raises(ValueError, match="nested deeper than 8"):
        check_mark(a_mark(spots=deep))


def test_pieces_lie_within_takes() -> None:
    take = a_take()
    with pytest.raises(ValueError, match="up to 10001 ms"):
        Talk((take,), (Piece("t1", 0, 10_001),))
    with pytest.raises(ValueError, match="take 'other'"):
        Talk((take,), (Piece("other", 0, 1),))
    with pytest.raises(ValueError, match="expected each once"):
        Talk((take, take), ())
    with pytest.raises(ValueError, match="within 0 to 10000"):
        trimmed(a_talk(take).pieces, 4, 10_001)


def _told(frame: int, sd_s: float = 0.004) -> Told:
    moment = Moment(MomentName.TOP, frame / 240, sd_s, frame, "")
    impact = Moment(MomentName.IMPACT, (frame + 60) / 240, sd_s, frame + 60, "")
    return Told(Moments((moment, impact)), 1 / 240)


def test_a_moment_is_found_where_the_talk_rests_on_it() -> None:
    events = (
        *(Stepped(1000 + 10 * k, 0, 90 + k) for k in range(15)),  # passes the top, frame 100
        Stepped(2000, 0, 101),
        Stepped(3000, 0, 130),
        Stepped(3500, 0, 100),  # looked away for half a second
        Stepped(4500, 0, 160),
    )
    talk = a_talk(a_take(events))
    found = shown_moments(talk, {FACE: _told(100)})
    assert [(one.moment, one.start_ms, one.stop_ms) for one in found] == [
        (MomentName.TOP, 1090, 4500),
        (MomentName.IMPACT, 4500, 10_000),
    ]
    assert found[0].swing == FACE


def test_nothing_is_found_where_nothing_is_played() -> None:
    assert shown_moments(Talk((a_take(),), ()), {FACE: _told(100)}) == ()


def test_a_glance_and_a_run_through_are_not_found() -> None:
    run = tuple(Stepped(1000 + 10 * k, 0, 50 + k) for k in range(150))
    found = shown_moments(a_talk(a_take((*run, Stepped(2500, 0, 300)))), {FACE: _told(100)})
    assert found == ()


def test_two_swings_at_once_are_both_found_and_an_unknown_one_is_passed_over() -> None:
    rows = Rows(1000, (Row(0, 100), Row(1, 60)))
    talk = a_talk(a_take((rows,)))
    both = shown_moments(talk, {FACE: _told(100), LINE: _told(60)})
    assert {(one.swing, one.start_ms) for one in both} == {(FACE, 1000), (LINE, 1000)}
    assert len(shown_moments(talk, {LINE: _told(60)})) == 1
