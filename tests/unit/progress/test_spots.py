"""Two clips share a spot where their pictures show the golfer in one place, of one size."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from causeline.model.clip import Hand, View
from causeline.model.progress import Placed, Swung
from causeline.progress.spots import compare_spots

HERE = Placed(x=0.0, y=0.78, size=0.40)


def _swung(clip: str, placed: Placed | None = HERE, view: View = View.FACE_ON) -> Swung:
    return Swung(date(2026, 4, 6), clip, clip, 1, view, Hand.RIGHT, (), placed=placed)


def test_a_phone_that_stayed_is_one_spot() -> None:
    near = replace(HERE, x=0.02, size=0.405)
    assert len(set(compare_spots([_swung("a"), _swung("b", near)]))) == 1


def test_a_phone_that_was_turned_or_moved_nearer_is_another() -> None:
    turned, nearer = replace(HERE, x=0.10), replace(HERE, size=0.45)
    assert len(set(compare_spots([_swung("a"), _swung("b", turned), _swung("c", nearer)]))) == 3


def test_the_other_side_is_another_spot() -> None:
    assert len(set(compare_spots([_swung("a"), _swung("b", view=View.DOWN_THE_LINE)]))) == 2


def test_swings_of_one_clip_share_their_spot_though_their_place_is_unknown() -> None:
    one, two = _swung("a", None), replace(_swung("a", None), number=2)
    assert len(set(compare_spots([one, two, _swung("b", None)]))) == 2
