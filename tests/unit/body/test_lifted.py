"""A lifter's turns as an observation: what it says, what a body misses, and how that changes."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.body.lifted import FIRST, PARTS, WIDER, lifted_turns
from causeline.body.phases import PHASES
from causeline.model.motion import POINTS, TURNS, Motion
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

TIMES = np.linspace(1.0, 2.5, PHASES)


def said(turn_deg: float, begun_deg: float = 0.0, sd: float = 3.0) -> Motion:
    """Shoulders and pelvis that go on turning evenly from what they had turned at the start."""
    frames = np.arange(200)
    time_s = frames / 60
    turn = begun_deg + np.clip((time_s - TIMES[0]) / (TIMES[-1] - TIMES[0]), 0, 1) * turn_deg
    turns = np.repeat(turn[:, None], len(TURNS), axis=1)
    joints = np.zeros((len(frames), len(BODY_LANDMARKS), 3))
    return Motion(frames, time_s, joints, joints, turns, np.full(turns.shape, sd), "by hand")


def body(turn_deg: float) -> Floats:
    """(P, Q, 3) of lines that turn evenly, seen from above."""
    points = np.zeros((PHASES, len(POINTS), 3))
    angle = np.radians(np.linspace(0.0, turn_deg, PHASES))
    line = np.stack([np.sin(angle), np.cos(angle), 0 * angle], axis=1)
    for part, half in (("shoulder", 0.18), ("hip", 0.09)):
        points[:, POINTS.index(f"lead_{part}")] = half * line
        points[:, POINTS.index(f"trail_{part}")] = -half * line
    return points


def test_a_body_that_turns_as_was_said_misses_nothing() -> None:
    lifted = lifted_turns(said(80.0), TIMES)
    assert lifted is not None
    assert lifted.missed(body(80.0)) == pytest.approx(np.zeros(2 * PHASES), abs=1e-6)


def test_one_sample_that_stands_alone_counts_by_its_own_error() -> None:
    lifted = lifted_turns(said(80.0, sd=3.0), TIMES)
    assert lifted is not None
    first = lifted.roots[0][FIRST]
    assert first[FIRST] == pytest.approx(1 / (WIDER * 3.0))
    assert not lifted.roots[0][:FIRST].any()


def test_what_had_been_turned_before_address_was_found_is_kept() -> None:
    lifted = lifted_turns(said(80.0, begun_deg=4.0), TIMES)
    assert lifted is not None
    assert lifted.begun == pytest.approx([4.0, 4.0, 4.0])
    assert lifted.missed(body(80.0)) == pytest.approx(np.zeros(2 * PHASES), abs=1e-6)


def test_slopes_are_those_of_small_moves() -> None:
    lifted = lifted_turns(said(80.0), TIMES)
    assert lifted is not None
    points = body(60.0)
    ways = np.random.default_rng(1).normal(0.0, 0.01, (3, *points.shape))
    small = 1e-4
    moved = np.stack([lifted.missed(points + small * way) for way in ways], axis=1)
    expected = -(moved - lifted.missed(points)[:, None]) / small
    # a turn bends with the move: to a thousandth of its size at this step
    assert lifted.slopes(points, ways) == pytest.approx(expected, rel=1e-2, abs=1e-3)


def test_a_lifter_without_an_answer_says_nothing() -> None:
    assert lifted_turns(None, TIMES) is None
    assert list(PARTS) == list(TURNS[1:])
