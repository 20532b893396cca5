"""What is told of the turns: between the fit's and the lifter's, the ± as wide as both allow."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.body.phases import PHASES, phase_place
from causeline.body.told import POSTURE, TOLD, UNLIFTED, told_motion
from causeline.model.clip import View
from causeline.model.motion import POINTS, TURNS, Known, Motion
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats

CLOCK = np.linspace(0.0, 1.5, PHASES)
TOP, PELVIS = phase_place("top"), TURNS.index("pelvis_turn")


def _told(lifted: Floats | None, several: bool = False) -> Motion:
    """A golfer whose fit stands still, and is sure to the last digit."""
    points = np.zeros((PHASES, len(POINTS), 3))
    for part, up in (("hip", 0.9), ("shoulder", 1.4)):
        points[:, POINTS.index(f"lead_{part}")] = [0.0, 0.2, up]
        points[:, POINTS.index(f"trail_{part}")] = [0.0, -0.2, up]
    ways = np.zeros((1, *points.shape))
    views, none = (View.FACE_ON,), np.zeros(3)
    known = Known(CLOCK, points, ways, 1.7, np.zeros(1), views, np.zeros(1), none)
    n, j = PHASES, len(BODY_LANDMARKS)
    xy, sd = np.zeros((n, j, 2)), np.ones((n, j))
    body = BodyTrack(np.arange(n), CLOCK, xy, sd, sd, 720, False)
    return told_motion(known, np.zeros_like(points), body, several, lifted)


def test_a_turn_lies_between_fit_and_lifter_by_the_share_of_its_moment() -> None:
    share, added, _ = TOLD[View.FACE_ON]["top"][PELVIS]
    motion = _told(np.full((PHASES, 3), 40.0))
    assert motion.turns[TOP, PELVIS] == pytest.approx(40.0 * share + added)


def test_where_they_are_apart_the_spread_says_so() -> None:
    """A value at one place with probability p, else at another: sd √(p (1 − p)) times the gap."""
    share, added, _ = TOLD[View.FACE_ON]["top"][PELVIS]
    gap = 40.0
    motion = _told(np.full((PHASES, 3), gap))
    posture = POSTURE * (gap * share + added)
    expected = np.hypot(np.sqrt(share * (1 - share)) * gap, posture)
    assert motion.turn_sd[TOP, PELVIS] == pytest.approx(expected)


def test_nothing_is_added_where_the_swing_begins() -> None:
    assert _told(np.zeros((PHASES, 3))).turns[0] == pytest.approx(np.zeros(3))


def test_without_a_lifter_the_fit_is_told() -> None:
    assert UNLIFTED[0] == 0.0
    assert _told(None).turns == pytest.approx(np.zeros((PHASES, 3)))


def test_two_swings_are_less_sure_than_one() -> None:
    one, two = (_told(np.zeros((PHASES, 3)), several) for several in (False, True))
    assert (two.turn_sd > one.turn_sd).all()
