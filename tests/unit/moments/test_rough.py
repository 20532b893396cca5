"""The shape of a swing in the height of the hands, drawn by hand from corner to corner."""

from __future__ import annotations

import numpy as np

from causeline.moments.rough import Rough, find_shapes

RATE_HZ = 60.0
UP, DIP, UP_AGAIN = 1.3, 0.64, 1.4
"""As the landmark engine saw one rendered golfer, whose hands it took to be elsewhere for a tenth
of a second while they were behind the head."""


def _shapes(*corners: tuple[float, float]) -> tuple[Rough, ...]:
    seconds, heights = zip(*corners, strict=True)
    time_s = np.arange(0.0, seconds[-1], 1 / RATE_HZ)
    return find_shapes(time_s, np.interp(time_s, seconds, heights))


def _seconds(index: int) -> float:
    return index / RATE_HZ


def test_a_dip_while_the_hands_are_up_is_no_impact() -> None:
    (shape,) = _shapes(
        *((0.0, 0.0), (1.0, 0.0), (1.5, UP), (1.65, DIP), (1.8, UP_AGAIN)),
        *((2.05, 0.0), (2.3, 1.4), (3.0, 1.4)),
    )
    assert abs(_seconds(shape.top) - 1.8) < 0.02
    assert abs(_seconds(shape.impact) - 2.05) < 0.02
    assert _seconds(shape.finish) >= 2.28


def test_a_club_taken_down_slowly_after_a_punch_does_not_make_it_a_dip() -> None:
    """The hands come through high, finish, and sink slower than they rose."""
    (shape,) = _shapes(
        *((0.0, 0.0), (1.0, 0.0), (1.6, 1.3), (1.85, 0.45), (2.1, 1.0), (3.2, 0.0), (4.0, 0.0)),
    )
    assert abs(_seconds(shape.top) - 1.6) < 0.02
    assert abs(_seconds(shape.impact) - 1.85) < 0.02


def test_hands_that_come_all_the_way_down_have_met_the_ball() -> None:
    """However fast they come down once more."""
    shapes = _shapes(
        *((0.0, 0.0), (1.0, 0.0), (1.6, 1.4), (1.85, 0.1), (2.1, 1.4), (2.3, 0.0), (2.6, 1.4)),
        *((3.0, 1.4),),
    )
    assert abs(_seconds(shapes[0].impact) - 1.85) < 0.02


def test_a_rise_faster_than_any_swing_is_none() -> None:
    """The clip ends a moment after it; what went before hung low."""
    assert not _shapes((0.0, 0.0), (2.0, 0.0), (2.05, 1.2), (2.1, 1.2))
    assert _shapes((0.0, 0.0), (2.0, 0.0), (2.5, 1.2), (2.6, 1.2))
