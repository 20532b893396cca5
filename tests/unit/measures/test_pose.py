"""Where a landmark is between two frames, and outside them."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.measures.pose import measure_pose, measure_sd_px
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack

NOSE = ("nose",)


def _track() -> BodyTrack:
    """A nose at x = 10, 20, 40 in frames at 0, 0.1 and 0.3 s; hidden in the last, at 0.4 s."""
    xy = np.zeros((4, len(BODY_LANDMARKS), 2))
    xy[:, 0, 0] = [10.0, 20.0, 40.0, np.nan]
    sd = np.full(xy.shape[:2], 1.0)
    sd[1] = 3.0
    time_s = np.array([0.0, 0.1, 0.3, 0.4])
    return BodyTrack(np.arange(4), time_s, xy, np.ones(sd.shape), sd, 100)


@pytest.mark.parametrize(
    ("time_s", "x"), [(0.0, 10.0), (0.05, 15.0), (0.1, 20.0), (0.15, 25.0), (0.3, 40.0)]
)
def test_straight_between_frames_whatever_their_spacing(time_s: float, x: float) -> None:
    assert measure_pose(_track(), NOSE, time_s).point("nose")[0] == pytest.approx(x)


@pytest.mark.parametrize("time_s", [-0.01, 0.35, 0.41])
def test_nothing_outside_the_track_or_beside_a_hidden_point(time_s: float) -> None:
    assert np.isnan(measure_pose(_track(), NOSE, time_s).point("nose")[0])


def test_the_spread_is_that_of_the_nearest_frame() -> None:
    assert measure_sd_px(_track(), NOSE, 0.14)[0] == 3.0
    assert measure_sd_px(_track(), NOSE, 0.24)[0] == 1.0
