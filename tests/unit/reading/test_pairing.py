"""Which references can stand beside a swing, and what the coach is told of the others."""

from dataclasses import replace

from causeline.model.clip import View
from causeline.model.moments import Moments
from causeline.reading.pairing import run_fitting
from causeline.reading.teaching import Shown
from tests.drawn import drawn_reading


def _shown(view: View, name: str = "swing.mov") -> Shown:
    reading = drawn_reading(view).reading
    return Shown(replace(reading, clip=replace(reading.clip, name=name)), 1)


def _without_moments(shown: Shown) -> Shown:
    swing = replace(shown.swing, moments=Moments((), ()))
    return Shown(replace(shown.reading, swings=(swing,)), 1)


def test_the_first_of_a_view_that_can_be_paired_stands_beside() -> None:
    ours = _shown(View.FACE_ON)
    first, second = (_shown(View.FACE_ON, name) for name in ("one.mov", "two.mov"))
    beside, reasons = run_fitting([ours], [first, second])
    assert beside == {View.FACE_ON: first}
    assert not reasons


def test_one_that_cannot_is_passed_over_and_named() -> None:
    ours = _shown(View.FACE_ON)
    broken = _without_moments(_shown(View.FACE_ON, "broken.mov"))
    whole = _shown(View.FACE_ON, "whole.mov")
    beside, reasons = run_fitting([ours], [broken, whole])
    assert beside == {View.FACE_ON: whole}
    assert len(reasons) == 1
    assert "broken.mov" in reasons[0]
    assert "no moment in common" in reasons[0]


def test_one_from_a_place_where_the_swing_was_not_filmed_is_named() -> None:
    other = _shown(View.DOWN_THE_LINE, "behind.mov")
    beside, reasons = run_fitting([_shown(View.FACE_ON)], [other])
    assert not beside
    assert "filmed down-the-line" in reasons[0]
