from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from causeline.model.clip import View
from causeline.model.moments import SwingWindow
from causeline.moments import find_swings, find_time_scale
from causeline.quantities.clock import Clock
from tests.motions.puppet import Camera, Flaws, Puppet


def _clock(rate_hz: int, count: int = 200) -> Clock:
    return Clock(np.arange(count), Fraction(1, rate_hz))


def _window(rise_s: float, fall_s: float) -> SwingWindow:
    return SwingWindow(0, 100, 1.0, 1.3, rise_s, fall_s, 0.9)


@pytest.mark.parametrize("view", list(View))
@pytest.mark.parametrize(("slower", "scale"), [(1, 1), (4, 4), (8, 8)])
def test_the_usual_slow_motions_are_told_from_the_swing(
    view: View, slower: int, scale: int
) -> None:
    puppet = Puppet(camera=Camera(view), rate_hz=30.0).slowed(slower)
    (window,) = find_swings(puppet.landmarks(Flaws(noise_px=3.0)))
    guess = find_time_scale(window, _clock(30))
    assert guess is not None
    assert guess.scale == scale
    assert guess.confidence > 0.8


@pytest.mark.parametrize("slower", [0.8, 1.0, 1.4, 2.0, 2.5])
def test_a_slow_swing_in_real_time_is_never_slow_motion(slower: float) -> None:
    guess = find_time_scale(_window(0.33 * slower, 0.115 * slower), _clock(30))
    assert guess is not None
    assert guess.scale == 1


def test_twice_as_slow_might_be_either_and_says_so() -> None:
    guess = find_time_scale(_window(0.66, 0.23), _clock(30))
    assert guess is not None
    assert guess.confidence < 0.9


def test_a_led_swing_proves_nothing() -> None:
    assert find_time_scale(_window(1.0, 0.8), _clock(30)) is None


def test_half_a_swing_proves_nothing() -> None:
    assert find_time_scale(_window(float("nan"), 0.4), _clock(30)) is None


def test_factors_follow_from_the_rate_of_the_file() -> None:
    guess = find_time_scale(_window(0.33 * 10, 0.115 * 10), _clock(24))
    assert guess is not None
    assert guess.scale == Fraction(240, 24)
