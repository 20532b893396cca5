from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.body import refine_body
from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS, ENGINE_LANDMARKS, LandmarkTrack
from tests.motions.puppet import PLAIN_SWING, Camera, Flaws, Puppet

WIDTH = 720
SIZE_PX = 655.0
"""Statures of 1.75 m, 4 m away, seen with the puppet's camera."""


def _error(puppet: Puppet, flaws: Flaws) -> np.ndarray:
    """(n, J) pixels between the refined and the true track."""
    body = refine_body(puppet.landmarks(flaws), puppet.hand, WIDTH)
    return np.linalg.norm(body.xy - puppet.body().xy[body.frames], axis=2)


def test_noise_is_more_than_halved_where_the_golfer_stands() -> None:
    puppet = Puppet()
    still = np.array(puppet.time_s < 0.9)
    error = _error(puppet, Flaws(noise_px=6.0))[still]
    assert np.sqrt(np.mean(error**2)) < 0.5 * 6.0 * np.sqrt(2)


def test_impact_is_not_smeared() -> None:
    """The hands bend in corners about impact; 1.5 % of the stature is a thumb's breadth."""
    puppet = Puppet()
    about = np.array(np.abs(puppet.time_s - PLAIN_SWING[MomentName.IMPACT]) < 0.06)
    wrist = BODY_LANDMARKS.index("lead_wrist")
    assert _error(puppet, Flaws())[about, wrist].max() < 0.015 * SIZE_PX


def test_a_left_hander_refines_to_the_mirrored_right_hander() -> None:
    right = refine_body(Puppet().landmarks(), Hand.RIGHT, WIDTH)
    left = refine_body(Puppet(hand=Hand.LEFT).landmarks(), Hand.LEFT, WIDTH)
    assert left.mirrored
    assert not right.mirrored
    assert np.allclose(left.xy, right.xy, atol=1e-6)
    assert np.allclose(left.shown_xy()[..., 0], WIDTH - 1 - right.xy[..., 0], atol=1e-6)


def test_swaps_are_mended_and_less_trusted() -> None:
    puppet = Puppet()
    flaws = Flaws(swaps=((105, 117, "whole"), (130, 134, "arms")))
    body = refine_body(puppet.landmarks(flaws), Hand.RIGHT, WIDTH)
    plain = refine_body(puppet.landmarks(), Hand.RIGHT, WIDTH)
    assert np.allclose(body.xy, plain.xy, atol=0.5)
    assert body.confidence[110, 5] < body.confidence[90, 5]


def test_short_gaps_are_filled_and_long_ones_stay_open() -> None:
    track = Puppet().landmarks()
    wrist = ENGINE_LANDMARKS.index("left_wrist")
    xy = track.xy.copy()
    xy[20:24, wrist] = np.nan
    xy[60:75, wrist] = np.nan
    body = refine_body(replace(track, xy=xy), Hand.RIGHT, WIDTH)
    seen = np.array(np.isfinite(body.point("lead_wrist")).all(axis=1))
    assert seen[20:24].all()
    assert not seen[60:75].any()
    assert np.isnan(body.spread("lead_wrist")[60:75]).all()
    assert np.all(body.confidence[60:75, BODY_LANDMARKS.index("lead_wrist")] == 0)


def test_frames_missing_from_the_track_are_not_invented() -> None:
    track = Puppet().landmarks(Flaws(missing=(50, 51, 90)))
    body = refine_body(track, Hand.RIGHT, WIDTH)
    assert np.array_equal(body.frames, track.frames)
    assert np.isfinite(body.xy).all()


def test_a_guessed_point_is_less_sure() -> None:
    track = Puppet().landmarks()
    confidence = track.confidence.copy()
    confidence[:, ENGINE_LANDMARKS.index("left_wrist")] = 0.1
    body = refine_body(replace(track, confidence=confidence), Hand.RIGHT, WIDTH)
    assert np.all(body.spread("lead_wrist") > 1.5 * body.spread("trail_wrist"))


def test_most_points_are_within_their_claimed_spread() -> None:
    """Jitter alone: offsets of the engine are part of the claim but not of the puppet."""
    puppet = Puppet(camera=Camera(View.DOWN_THE_LINE))
    body = refine_body(puppet.landmarks(Flaws(noise_px=5.0)), Hand.RIGHT, WIDTH)
    away = np.abs(body.xy - puppet.body().xy) / body.sd_px[..., None]
    assert np.mean(away < 1.645) > 0.9


@pytest.mark.parametrize("n", [1, 2, 3])
def test_a_few_frames_are_enough_for_an_answer(n: int) -> None:
    track = Puppet().landmarks()
    short = LandmarkTrack(track.frames[:n], track.time_s[:n], track.xy[:n], track.confidence[:n])
    body = refine_body(short, Hand.RIGHT, WIDTH)
    assert len(body) == n
    assert np.isfinite(body.xy).all()


def test_a_golfer_who_is_never_seen_is_all_unknown() -> None:
    track = Puppet().landmarks()
    body = refine_body(replace(track, xy=np.full_like(track.xy, np.nan)), Hand.RIGHT, WIDTH)
    assert np.isnan(body.xy).all()
    assert np.all(body.confidence == 0)
