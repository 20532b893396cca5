"""A shaft that points nearly at the camera is steadied; a long one is left as it is."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.club.steady import HALF, track_steady
from causeline.quantities.angle import Floats

LENGTH = 400.0
TIME = np.arange(21) / 60.0
SURE = np.ones(21)


def _parabola(height: float) -> Floats:
    at = (TIME - TIME[10]) / TIME[10]
    return np.stack([40.0 * at, height + 20.0 * at**2], axis=-1)


def test_an_end_that_moves_on_a_parabola_stays_on_it() -> None:
    way = _parabola(50.0)
    assert track_steady(way, SURE, TIME, LENGTH) == pytest.approx(way, abs=1e-9)


def test_a_short_shaft_s_jitter_grows_smaller() -> None:
    way = _parabola(50.0)
    jitter = np.random.default_rng(0).normal(0.0, 5.0, way.shape)
    off = track_steady(way + jitter, SURE, TIME, LENGTH) - way
    inner = slice(HALF, -HALF)
    # A parabola through seven has a third of the variance at its middle: 7/21.
    assert off[inner].std() < 0.75 * jitter[inner].std()


def test_a_long_shaft_is_left_as_it_is() -> None:
    way = _parabola(390.0) + np.random.default_rng(0).normal(0.0, 5.0, (21, 2))
    assert (track_steady(way, SURE, TIME, LENGTH) == way).all()


def test_an_unsure_frame_is_drawn_to_the_sure_ones() -> None:
    way = _parabola(50.0)
    wild, confidence = way.copy(), SURE.copy()
    wild[10] += (30.0, 0.0)
    confidence[10] = 0.02
    steady = track_steady(wild, confidence, TIME, LENGTH)
    # A frame of a fiftieth of the weight carries about a fiftieth of its error.
    assert steady[10] == pytest.approx(way[10], abs=2.0)


def test_frames_far_apart_and_ends_are_left() -> None:
    way = _parabola(50.0) + np.random.default_rng(0).normal(0.0, 5.0, (21, 2))
    assert (track_steady(way, SURE, TIME * 10, LENGTH) == way).all()
    assert (track_steady(way, SURE, TIME, LENGTH)[:HALF] == way[:HALF]).all()
