"""The engine's errors in channels: pairs as sums and differences, correlated over time."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.body.errors import CHANNELS, error_channels, error_whitener
from causeline.model.motion import POINTS

LEAD, TRAIL = POINTS.index("lead_hip"), POINTS.index("trail_hip")
SAMPLES = 12


def test_channels_are_a_rotation_of_the_points() -> None:
    turned_back = CHANNELS @ CHANNELS.T
    assert turned_back == pytest.approx(np.eye(len(POINTS)))
    alike = np.zeros(len(POINTS))
    alike[[LEAD, TRAIL]] = 1.0
    assert (CHANNELS @ alike)[LEAD] == pytest.approx(np.sqrt(2.0))
    assert (CHANNELS @ alike)[TRAIL] == pytest.approx(0.0)


def test_a_pair_with_a_point_unseen_is_not_counted_and_the_rest_is() -> None:
    sd = np.full((SAMPLES, len(POINTS)), 2.0)
    sd[3, LEAD] = np.nan
    channels = error_channels(sd)
    assert np.isnan(channels[3, [LEAD, TRAIL]]).all()
    rest = np.delete(channels, [LEAD, TRAIL], axis=1)
    assert rest == pytest.approx(np.full(rest.shape, 2.0))


def test_errors_with_the_covariance_come_out_as_unit_normals() -> None:
    """Drawn through the factors' own inverse, which numpy works out; so that both agree."""
    sd = np.full((SAMPLES, len(POINTS), 2), 3.0)
    whitener = error_whitener(sd)
    assert whitener.count == SAMPLES * len(POINTS) * 2
    root = whitener.factors[LEAD, 0]
    covariance = np.linalg.inv(root.T @ root)
    assert np.diag(covariance) == pytest.approx(np.full(SAMPLES, 9.0))
    # hips: 0.30 lasts for ever, the rest drifts over 8 samples, 0.03 of it is new in each
    assert covariance[0, 8] / 9.0 == pytest.approx(0.30 + 0.70 * 0.97 * np.exp(-1.0), abs=1e-6)


def test_what_is_not_seen_says_nothing() -> None:
    sd = np.full((SAMPLES, len(POINTS), 2), 3.0)
    sd[:, LEAD] = np.nan
    residual = np.full((SAMPLES, len(POINTS), 2, 1), np.nan)
    residual[:, TRAIL] = 0.0
    assert np.array_equal(
        error_whitener(sd).apply(residual), np.zeros((2 * SAMPLES * len(POINTS), 1))
    )
