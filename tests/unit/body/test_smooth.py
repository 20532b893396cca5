from __future__ import annotations

import numpy as np
import pytest

from causeline.body.smooth import smooth_robustly

RATE_HZ = 60.0
JERK = 1e9
"""px²/s⁵: of a hand 600 px tall golfer's, in mid-swing."""


def _times(n: int) -> np.ndarray:
    return np.arange(n) / RATE_HZ


def _flat(time_s: np.ndarray, path: np.ndarray, sd: float = 3.0, jerk: float = JERK) -> np.ndarray:
    """One landmark (n, 2) smoothed."""
    shape = (len(time_s), 1)
    return smooth_robustly(time_s, path[:, None], np.full(shape, sd), np.full(shape, jerk)).xy[:, 0]


@pytest.mark.parametrize("jerk", [1.0, 1e5])
def test_a_parabola_is_left_as_it_is(jerk: float) -> None:
    """To a twentieth of a pixel, but for a pull of the prior at the very first frames."""
    time_s = _times(40)
    path = np.stack([3 + 200 * time_s - 500 * time_s**2, 100 - 50 * time_s], axis=1)
    assert np.allclose(_flat(time_s, path, jerk=jerk)[3:], path[3:], atol=0.05)


def test_uneven_times_are_taken_as_they_are() -> None:
    time_s = np.cumsum(np.tile([0.01, 0.03, 0.016], 12))
    path = np.stack([400 * time_s, -300 * time_s**2], axis=1)
    assert np.allclose(_flat(time_s, path, jerk=1.0), path, atol=0.05)


def test_noise_shrinks_as_the_answer_says() -> None:
    rng = np.random.default_rng(1)
    time_s = _times(200)
    noise = 3.0 * rng.standard_normal((200, 40, 2))
    sd = np.full((200, 40), 3.0)
    smooth = smooth_robustly(time_s, noise, sd, np.full((200, 40), 1e5))
    inside = slice(20, 180)
    left = np.sqrt(np.mean(smooth.xy[inside] ** 2))
    assert left < 1.5
    assert left == pytest.approx(float(np.mean(smooth.sd[inside])), rel=0.15)


def test_a_wild_frame_is_outvoted() -> None:
    time_s = _times(60)
    path = np.stack([100 * time_s, 100 * np.sin(3 * time_s)], axis=1)
    wild = path.copy()
    wild[30] += [80.0, -60.0]
    assert np.linalg.norm(_flat(time_s, wild, jerk=1e6)[30] - path[30]) < 2.0


def test_missing_frames_are_bridged_and_less_sure() -> None:
    time_s = _times(40)
    path = np.stack([200 * time_s, 50 * time_s], axis=1)
    holed = path.copy()
    holed[18:22] = np.nan
    shape = (40, 1)
    smooth = smooth_robustly(time_s, holed[:, None], np.full(shape, 2.0), np.full(shape, JERK))
    assert np.allclose(smooth.xy[18:22, 0], path[18:22], atol=1.0)
    assert smooth.sd[20, 0] > 2 * smooth.sd[10, 0]
    assert smooth.weight[20, 0] == 0


def test_a_landmark_never_seen_stays_unknown_to_the_full_width() -> None:
    time_s = _times(10)
    xy = np.full((10, 2, 2), np.nan)
    xy[:, 0] = 50.0
    shape = (10, 2)
    smooth = smooth_robustly(time_s, xy, np.ones(shape), np.full(shape, JERK))
    assert np.all(smooth.weight[:, 1] == 0)
    assert np.all(smooth.sd[:, 1] > 40)
