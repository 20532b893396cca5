"""One path through the guesses of all frames."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.club.track import track_club
from causeline.model.club import ClubGuesses
from causeline.quantities.angle import Floats
from tests.unit.club import clubs

NOTHING = clubs.guess()


def _steady(n: int = 20, per_frame_deg: float = 2.0) -> list[float]:
    return [10.0 + per_frame_deg * i for i in range(n)]


def _beside(one: ClubGuesses, by: Floats) -> ClubGuesses:
    return ClubGuesses(one.butt + by, one.hosel + by, one.head + by, one.score, one.tip_seen)


def test_a_plain_swing_is_followed() -> None:
    degs = _steady()
    club = track_club(clubs.body(len(degs)), tuple(clubs.guess(deg) for deg in degs))
    assert club.shaft_deg() == pytest.approx(degs, abs=1e-6)
    assert club.head_seen is not None
    assert club.head_seen.all()
    assert (club.confidence > 0.8).all()


def test_a_stick_that_is_surer_in_three_frames_does_not_lead_the_path_away() -> None:
    degs = _steady()
    guesses = [clubs.guess(deg, deg + 120.0, scores=(0.6, 0.3)) for deg in degs]
    for i in (8, 9, 10):
        guesses[i] = clubs.guess(degs[i] + 120.0, degs[i], scores=(0.7, 0.5))
    club = track_club(clubs.body(len(degs)), tuple(guesses))
    assert club.shaft_deg() == pytest.approx(degs, abs=1e-6)


def _down_a_leg(one: ClubGuesses) -> ClubGuesses:
    """Its end laid on the legs of the golfer of `clubs.body`, with a surer score."""
    knee = np.array([[300.0, 1000.0]])
    sure = np.array([0.9])
    return ClubGuesses(one.butt, knee, knee, sure, one.tip_seen)


def _joined(one: ClubGuesses, other: ClubGuesses) -> ClubGuesses:
    names = ("butt", "hosel", "head", "score", "tip_seen")
    return ClubGuesses(*(np.concatenate([getattr(g, n) for g in (one, other)]) for n in names))


@pytest.mark.parametrize("hidden", [True, False])
def test_a_leg_is_no_club_while_the_body_hides_the_hands(hidden: bool) -> None:
    degs = _steady(per_frame_deg=0.5)
    plain = [clubs.guess(deg, scores=(0.5,)) for deg in degs]
    body = clubs.body(len(degs))
    if hidden:
        body = replace(body, sd_px=np.full_like(body.sd_px, 0.1 * clubs.STATURE_PX))
    club = track_club(body, tuple(_joined(_down_a_leg(one), one) for one in plain))
    followed = np.abs(club.shaft_deg() - degs) < 1.0
    assert followed.all() if hidden else not followed.any()


def test_a_gap_is_bridged_and_said_to_be_unsure() -> None:
    degs = _steady()
    guesses = [NOTHING if 9 <= i <= 11 else clubs.guess(deg) for i, deg in enumerate(degs)]
    club = track_club(clubs.body(len(degs)), tuple(guesses))
    assert club.shaft_deg() == pytest.approx(degs, abs=0.3)
    assert (club.confidence[9:12] < 0.5).all()
    assert club.head_seen is not None
    assert not club.head_seen[9:12].any()


def _through_the_line_of_sight(n: int, scores: float) -> tuple[list[Floats], list[ClubGuesses]]:
    """A club whose end crosses the hands in a straight line: short in the middle, never turning."""
    ends = [np.array([40.0 * (i - n // 2), -30.0 * (i - n // 2) + 12.0]) for i in range(n)]
    score = np.array([scores])
    seen = np.ones(1, dtype=np.bool_)
    points = [(clubs.HANDS + end)[None] for end in ends]
    return ends, [ClubGuesses(clubs.HANDS[None], at, at, score, seen) for at in points]


def test_a_gap_is_bridged_through_the_line_of_sight() -> None:
    ends, guesses = _through_the_line_of_sight(13, 0.8)
    guesses[6] = NOTHING
    club = track_club(clubs.body(13), tuple(guesses))
    assert club.hosel is not None
    # By turning, its end would be about 40 px from the hands, square to the way it goes.
    assert club.hosel[6] - club.grip[6] == pytest.approx(ends[6], abs=6.0)


def test_a_passed_over_frame_gets_the_guess_that_its_neighbours_expect() -> None:
    """Two turns of 50 px in a frame each are dearer than one of 100 in two, at rest."""
    _, guesses = _through_the_line_of_sight(13, 0.8)
    guesses[6] = replace(guesses[6], score=np.array([0.3]))
    club = track_club(clubs.body(13), tuple(guesses))
    assert club.head_seen is not None
    assert club.head_seen[6]


def test_a_single_wild_guess_is_passed_over() -> None:
    degs = _steady()
    guesses = [clubs.guess(degs[i] + (150.0 if i == 7 else 0.0)) for i in range(len(degs))]
    club = track_club(clubs.body(len(degs)), tuple(guesses))
    assert club.shaft_deg()[7] == pytest.approx(degs[7], abs=0.3)
    assert club.confidence[7] < 0.5


def test_a_leap_aside_and_back_is_undone_where_the_hands_are_fast_enough_to_allow_it() -> None:
    """The surer guess of one frame lies 60° off; the hands move 2 m/s, so the club may turn."""
    degs = _steady(20, 5.0)
    hands = clubs.HANDS + np.linspace(300, -300, 20)[:, None] * [1.0, 0.0]
    guesses = [clubs.guess(deg) for deg in degs]
    guesses[9] = clubs.guess(degs[9] + 60.0, degs[9], scores=(0.55, 0.4))
    moved = [_beside(one, hand - clubs.HANDS) for one, hand in zip(guesses, hands, strict=True)]
    club = track_club(clubs.body(20, hands), tuple(moved))
    assert club.shaft_deg() == pytest.approx(degs, abs=1e-6)


def test_a_head_outside_the_picture_is_as_far_out_as_before_and_after() -> None:
    degs = _steady()
    guesses = list(map(clubs.guess, degs))
    for i in (5, 6):
        short = clubs.guess(degs[i], seen=False)
        half = short.butt + (short.hosel - short.butt) / 2
        guesses[i] = ClubGuesses(short.butt, half, half, short.score, short.tip_seen)
    club = track_club(clubs.body(len(degs)), tuple(guesses))
    assert club.head[5] == pytest.approx(clubs.points(degs[5])[2], abs=1e-6)
    assert club.head_seen is not None
    assert not club.head_seen[5:7].any()


def test_a_club_that_is_never_seen_is_nan_and_not_zero() -> None:
    club = track_club(clubs.body(4), (NOTHING,) * 4)
    assert np.isnan(club.grip).all()
    assert np.isnan(club.head).all()
    assert (club.confidence == 0).all()


def test_other_frames_than_the_body_s_are_refused() -> None:
    with pytest.raises(ValueError, match="got guesses of 2 frames for 4"):
        track_club(clubs.body(4), (NOTHING,) * 2)


@given(st.integers(0, 11), st.floats(0.05, 0.95), st.floats(-180, 180))
def test_confidence_is_a_probability_and_the_track_has_no_holes(
    wild: int, score: float, off_deg: float
) -> None:
    degs = _steady(12, 4.0)
    guesses = [clubs.guess(deg) for deg in degs]
    guesses[wild] = clubs.guess(degs[wild] + off_deg, scores=(score,))
    club = track_club(clubs.body(12), tuple(guesses))
    assert ((club.confidence >= 0) & (club.confidence <= 1)).all()
    assert np.isfinite(club.hosel if club.hosel is not None else np.nan).all()
