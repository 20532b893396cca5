"""A club whose end was set by hand: the answer is written by hand, on a club that turns evenly."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.club.corrected import CARRIES_S, track_corrected
from causeline.model.touched import ClubMark
from causeline.model.tracks import ClubTrack

N, HZ, LONG = 41, 240.0, 100.0
FRAMES = np.arange(100, 100 + N)
TIME = np.arange(N) / HZ
TURN = np.radians(3.0) * np.arange(N)
WAY = np.column_stack([np.cos(TURN), np.sin(TURN)])
GRIP = np.column_stack([np.arange(N) * 2.0, np.full(N, 50.0)])


def _club() -> ClubTrack:
    return ClubTrack(
        grip=GRIP,
        head=GRIP + 1.1 * LONG * WAY,
        confidence=np.full(N, 0.4),
        hosel=GRIP + LONG * WAY,
        head_seen=np.zeros(N, dtype=bool),
    )


def _turned(row: int, degrees: float, long: float = LONG) -> tuple[float, float]:
    at = TURN[row] + np.radians(degrees)
    x, y = GRIP[row] + long * np.array([np.cos(at), np.sin(at)])
    return float(x), float(y)


def test_the_shaft_goes_through_the_end_that_was_set_and_turns_beside_it() -> None:
    x, y = _turned(20, 12.0)
    club = track_corrected(_club(), FRAMES, TIME, (ClubMark("hosel", 120, x, y, 1.0),))
    assert club.hosel is not None
    assert club.hosel[20] == pytest.approx([x, y], abs=1e-9)
    assert club.head[20] == pytest.approx(_turned(20, 12.0, 1.1 * LONG), abs=1e-9)
    off = np.degrees(np.arctan2(*(club.hosel - club.grip).T[::-1]) - TURN)
    near = np.exp(-0.5 * ((TIME - TIME[20]) / CARRIES_S) ** 2)
    assert off == pytest.approx(12.0 * near, abs=1e-6)
    assert np.hypot(*(club.hosel - club.grip).T) == pytest.approx(LONG, abs=1e-9)
    assert club.grip == pytest.approx(GRIP)


def test_a_head_drawn_out_takes_the_hosel_along() -> None:
    x, y = _turned(20, 0.0, 1.1 * LONG * 1.2)
    club = track_corrected(_club(), FRAMES, TIME, (ClubMark("head", 120, x, y, 1.0),))
    assert club.hosel is not None
    assert club.hosel[20] == pytest.approx(_turned(20, 0.0, 1.2 * LONG), abs=1e-9)
    assert club.head_seen is not None
    assert bool(club.head_seen[20])
    assert not club.head_seen[21]


def test_a_grip_end_moves_by_as_much_as_it_was_moved() -> None:
    x, y = GRIP[20] + (3.0, -4.0)
    club = track_corrected(_club(), FRAMES, TIME, (ClubMark("grip", 120, x, y, 1.0),))
    assert club.grip[20] == pytest.approx([x, y], abs=1e-12)
    assert club.grip[21] - GRIP[21] == pytest.approx(
        np.exp(-0.5 * (1 / HZ / CARRIES_S) ** 2) * np.array([3.0, -4.0])
    )
    assert club.grip[0] == pytest.approx(GRIP[0], abs=1e-3)


def test_the_confidence_is_the_chance_to_lie_within_five_degrees() -> None:
    """Both ends ± 2 px, 100 px apart: sd 1.62°; P(|error| < 5°) = erf(5 / 1.62 / √2) = 0.998."""
    x, y = _turned(20, 0.0)
    club = track_corrected(_club(), FRAMES, TIME, (ClubMark("hosel", 120, x, y, 2.0),))
    assert club.confidence[20] == pytest.approx(0.998, abs=5e-4)
    assert club.confidence[19] == pytest.approx(0.4)


def test_where_nothing_was_seen_the_frame_alone_is_set() -> None:
    empty = np.full((N, 2), np.nan)
    club = ClubTrack(empty, empty, np.zeros(N), empty, np.zeros(N, dtype=bool))
    marks = (ClubMark("hosel", 120, 10.0, 20.0, 1.0), ClubMark("grip", 120, 10.0, 120.0, 1.0))
    done = track_corrected(club, FRAMES, TIME, marks)
    assert done.hosel is not None
    assert done.hosel[20] == pytest.approx([10.0, 20.0])
    assert done.grip[20] == pytest.approx([10.0, 120.0])
    assert np.isnan(done.hosel[21]).all()
    assert done.confidence[20] > 0.99


def test_both_ends_of_the_shaft_may_be_set_and_the_head_too() -> None:
    points = {"grip": (40.0, 52.0), "hosel": (60.0, 140.0), "head": (66.0, 150.0)}
    marks = tuple(ClubMark(end, 120, *at, 1.0) for end, at in points.items())
    done = track_corrected(_club(), FRAMES, TIME, marks)
    assert done.hosel is not None
    ends = (done.grip[20], done.hosel[20], done.head[20])
    assert np.stack(ends) == pytest.approx(np.array(list(points.values())))


def test_what_lies_outside_the_track_changes_nothing_and_strange_ends_are_refused() -> None:
    club = track_corrected(_club(), FRAMES, TIME, (ClubMark("grip", 99, 0.0, 0.0, 1.0),))
    assert club.grip is GRIP
    with pytest.raises(ValueError, match="toe"):
        ClubMark("toe", 120, 0.0, 0.0, 1.0)
