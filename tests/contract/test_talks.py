"""Talk-throughs in the library: what came is kept, in whatever order and however often it came."""

from __future__ import annotations

from dataclasses import replace

import pytest

from causeline.errors import Outdated, StoreError, TalkFileError
from causeline.model.library import Attachment, Kind, new_id
from causeline.model.talk import Row, Screen, Stepped
from causeline.model.talk_cuts import trimmed, whole
from causeline.store.library import Library
from causeline.store.library_removal import save_golfer_removed
from causeline.store.library_talks import (
    Begun,
    Part,
    load_spoken,
    load_talk,
    load_talks,
    save_pieces,
    save_take_begun,
    save_take_closed,
    save_take_part,
    save_take_removed,
    save_talk,
)
from tests.shelf import a_golfer
from tests.talks import FACE, LINE

START = Screen((Row(0, 12),))


def _begun(library: Library) -> tuple[str, str, str]:
    """Golfer, talk-through and take, just begun."""
    golfer = a_golfer(library)
    talk, take = new_id(), new_id()
    save_talk(library, Attachment(talk, golfer.id, Kind.TALK_THROUGH, {}, library.now()))
    save_take_begun(library, Begun(take, talk, (FACE,), START, "audio/webm;codecs=opus", 30))
    return golfer.id, talk, take


def _part(number: int) -> Part:
    at = 1000 * number
    return Part(number, (Stepped(at + 500, 0, number),), b"sound %d " % number, at + 1000)


def test_parts_in_any_order_and_twice_make_one_take(library: Library) -> None:
    _, talk, take = _begun(library)
    for number in (1, 0, 2, 1, 0):
        save_take_part(library, talk, take, _part(number))
    assert load_talk(library, talk).going[0].ends_ms == 3000
    closed = save_take_closed(library, talk, take, 3)
    assert [event.at_ms for event in closed.events] == [500, 1500, 2500]
    assert closed.lasts_ms == 3000
    entry = load_talk(library, talk)
    assert entry.talk.takes == (closed,)
    assert entry.going == ()
    sounds = load_spoken(library, entry.talk).sounds
    assert sounds == {take: b"sound 0 sound 1 sound 2 "}
    assert save_take_closed(library, talk, take, 3) == closed  # asked twice
    save_take_part(library, talk, take, _part(3))  # too late: let go
    assert load_talk(library, talk).talk.takes == (closed,)


def test_what_has_begun_is_not_begun_again(library: Library) -> None:
    golfer, talk, take = _begun(library)
    save_take_part(library, talk, take, _part(0))
    save_talk(library, Attachment(talk, golfer, Kind.TALK_THROUGH, {"x": 1}, library.now()))
    save_take_begun(library, Begun(take, talk, (FACE,), Screen(())))
    entry = load_talk(library, talk)
    assert (entry.going[0].parts, dict(entry.attachment.content)) == (1, {})


def test_a_swing_that_comes_onto_the_screen_later_is_added(library: Library) -> None:
    _, talk, take = _begun(library)
    save_take_begun(library, Begun(take, talk, (FACE, LINE), START))
    save_take_begun(library, Begun(take, talk, (LINE,), START))  # others than it began with: no
    save_take_part(library, talk, take, _part(0))
    assert save_take_closed(library, talk, take, 1).swings == (FACE, LINE)


def test_missing_parts_are_named_and_a_cut_off_take_is_kept_up_to_them(library: Library) -> None:
    _, talk, take = _begun(library)
    for number in (0, 1, 4):
        save_take_part(library, talk, take, _part(number))
    with pytest.raises(StoreError, match="parts 2, 3 of the take have not come"):
        save_take_closed(library, talk, take, 5)
    assert save_take_closed(library, talk, take).lasts_ms == 2000


def test_a_take_without_a_word_has_no_file(library: Library) -> None:
    _, talk, take = _begun(library)
    save_take_part(library, talk, take, replace(_part(0), sound=b""))
    assert save_take_closed(library, talk, take, 1).voice is None


def test_a_take_of_another_talk_through_is_not_touched(library: Library) -> None:
    _, talk, take = _begun(library)
    _, other, _ = _begun(library)
    with pytest.raises(StoreError):
        save_take_part(library, other, take, _part(0))
    with pytest.raises(StoreError):
        save_take_begun(library, Begun(take, other, (FACE,), START))
    with pytest.raises(TalkFileError, match="part 4000 came"):
        save_take_part(library, talk, take, replace(_part(0), number=4000))


def test_edits_in_two_tabs_lose_nothing(library: Library) -> None:
    golfer, talk, take = _begun(library)
    save_take_part(library, talk, take, _part(0))
    closed = save_take_closed(library, talk, take, 1)
    entry = load_talk(library, talk)
    all_of_it = replace(entry.talk, pieces=whole([closed]), title="Turn")
    save_pieces(library, entry, all_of_it)
    with pytest.raises(Outdated):
        save_pieces(library, entry, replace(all_of_it, pieces=trimmed(all_of_it.pieces, 0, 500)))
    again = load_talk(library, talk)
    assert (again.talk.title, again.talk.lasts_ms) == ("Turn", 1000)
    assert [one.id for one in load_talks(library, golfer)] == [talk]
    with pytest.raises(StoreError, match="Cut it away first"):
        save_take_removed(library, talk, take)
    save_pieces(library, again, replace(again.talk, pieces=()))
    save_take_removed(library, talk, take)
    assert load_talk(library, talk).talk.takes == ()
    assert list(library.vault.keys()) == []


def test_a_golfer_s_talk_throughs_go_with_the_golfer(library: Library) -> None:
    golfer, talk, take = _begun(library)
    save_take_part(library, talk, take, _part(0))
    save_take_closed(library, talk, take, 1)
    assert len(list(library.vault.keys())) == 1
    save_golfer_removed(library, golfer, "Runa Veld")
    assert list(library.vault.keys()) == []
    with pytest.raises(StoreError):
        load_talk(library, talk)
