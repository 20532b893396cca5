"""A landmark set by hand, in the track itself."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.body.corrected import CARRIES_S, refine_corrected
from causeline.model.motion import Correction
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack

HIP = BODY_LANDMARKS.index("lead_hip")


def track(frames: int = 40) -> BodyTrack:
    """Every landmark stands still at (100, 200), 60 Hz, frames counted from 10."""
    xy = np.tile([100.0, 200.0], (frames, len(BODY_LANDMARKS), 1))
    sd = np.full(xy.shape[:2], 5.0)
    times = np.arange(frames) / 60
    return BodyTrack(np.arange(frames) + 10, times, xy, 0.5 * np.ones(sd.shape), sd, 640)


def test_a_point_is_where_it_was_set_and_its_neighbours_follow() -> None:
    body = refine_corrected(track(), (Correction("lead_hip", 30, 112.0, 194.0, 1.0),))
    assert body.xy[20, HIP] == pytest.approx([112.0, 194.0])
    assert body.sd_px[20, HIP] == 1.0
    beside = np.exp(-0.5 * (1 / 60 / CARRIES_S) ** 2)
    assert body.xy[21, HIP] == pytest.approx([100 + 12 * beside, 200 - 6 * beside])
    assert body.xy[0, HIP] == pytest.approx([100.0, 200.0])
    assert body.sd_px[21, HIP] == 5.0
    others = [column for column in range(len(BODY_LANDMARKS)) if column != HIP]
    assert np.array_equal(body.xy[:, others], track().xy[:, others])


def test_an_accepted_point_stays_and_is_trusted() -> None:
    body = refine_corrected(track(), (Correction("lead_hip", 30, 100.0, 200.0, 1.0),))
    assert np.array_equal(body.xy, track().xy)
    assert body.sd_px[20, HIP] == 1.0


def test_a_point_that_was_never_seen_can_be_set() -> None:
    blind = track()
    blind.xy[:, HIP] = np.nan
    body = refine_corrected(blind, (Correction("lead_hip", 30, 112.0, 194.0, 1.0),))
    assert body.xy[20, HIP] == pytest.approx([112.0, 194.0])
    assert np.isnan(body.xy[21, HIP]).all()


def test_a_frame_outside_the_track_and_the_club_are_left_alone() -> None:
    wrong = (Correction("lead_hip", 5, 1.0, 1.0, 1.0), Correction("butt", 30, 1.0, 1.0, 1.0))
    assert np.array_equal(refine_corrected(track(), wrong).xy, track().xy)
