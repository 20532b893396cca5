from __future__ import annotations

import numpy as np
import pytest

from causeline.model.clip import Sound
from causeline.moments import find_strike

RATE_HZ = 44_100.0
STRIKE_S = 1.500
MS = 0.001


def _silence(rng: np.random.Generator, level: float = 0.002) -> np.ndarray:
    return level * rng.standard_normal(round(3.0 * RATE_HZ))


def _with(samples: np.ndarray, piece: np.ndarray, at_s: float) -> np.ndarray:
    begin = round(at_s * RATE_HZ)
    samples[begin : begin + len(piece)] += piece
    return samples


def _click(rng: np.random.Generator, level: float = 0.3) -> np.ndarray:
    span = np.arange(round(0.08 * RATE_HZ)) / RATE_HZ
    return level * rng.standard_normal(len(span)) * np.exp(-span / 0.004)


def _sound(samples: np.ndarray, starts_s: float = 0.0) -> Sound:
    return Sound(samples.astype(np.float32), RATE_HZ, starts_s)


@pytest.mark.parametrize("distance_m", [0.0, 3.43])
@pytest.mark.parametrize("off_s", [-0.02, 0.0, 0.02])
def test_a_click_is_found_to_a_millisecond_and_its_way_taken_off(
    distance_m: float, off_s: float
) -> None:
    rng = np.random.default_rng(3)
    sound = _sound(_with(_silence(rng), _click(rng), STRIKE_S + distance_m / 343.0))
    strike = find_strike(sound, STRIKE_S + off_s, 0.015, distance_m)
    assert strike is not None
    assert strike.value == pytest.approx(STRIKE_S, abs=1.0 * MS)


def test_an_unknown_distance_is_usual_and_widens_the_answer() -> None:
    rng = np.random.default_rng(4)
    sound = _sound(_with(_silence(rng), _click(rng), STRIKE_S + 4.0 / 343.0))
    near = find_strike(sound, STRIKE_S, 0.015, 4.0)
    usual = find_strike(sound, STRIKE_S, 0.015)
    assert near is not None
    assert usual is not None
    assert usual.value == pytest.approx(STRIKE_S, abs=1.0 * MS)
    assert usual.sd > near.sd


def test_sound_that_starts_late_is_shifted() -> None:
    rng = np.random.default_rng(5)
    sound = _sound(_with(_silence(rng), _click(rng), STRIKE_S - 0.2), starts_s=0.2)
    strike = find_strike(sound, STRIKE_S, 0.015, 0.0)
    assert strike is not None
    assert strike.value == pytest.approx(STRIKE_S, abs=1.0 * MS)


def test_wind_and_voices_are_no_strike() -> None:
    rng = np.random.default_rng(6)
    time_s = np.arange(round(3.0 * RATE_HZ)) / RATE_HZ
    wind = np.convolve(rng.standard_normal(len(time_s)), np.ones(400) / 20.0, "same")
    swell = np.clip(np.sin(2 * np.pi * 4 * time_s), 0, None) ** 2
    voice = swell * (np.sin(2 * np.pi * 220 * time_s) + 0.3 * np.sin(2 * np.pi * 1900 * time_s))
    assert find_strike(_sound(0.05 * wind + 0.1 * voice), STRIKE_S, 0.02) is None


def test_the_strike_is_heard_through_wind() -> None:
    rng = np.random.default_rng(7)
    wind = np.convolve(rng.standard_normal(round(3.0 * RATE_HZ)), np.ones(400) / 20.0, "same")
    sound = _sound(_with(0.1 * wind, _click(rng), STRIKE_S))
    strike = find_strike(sound, STRIKE_S, 0.02, 0.0)
    assert strike is not None
    assert strike.value == pytest.approx(STRIKE_S, abs=1.0 * MS)


def test_the_neighbours_strike_is_too_far_off() -> None:
    rng = np.random.default_rng(8)
    sound = _sound(_with(_silence(rng), _click(rng), STRIKE_S + 0.4))
    assert find_strike(sound, STRIKE_S, 0.015) is None


def test_two_clicks_alike_decide_nothing() -> None:
    rng = np.random.default_rng(9)
    samples = _with(_silence(rng), _click(rng), STRIKE_S - 0.08)
    sound = _sound(_with(samples, _click(rng), STRIKE_S + 0.08))
    assert find_strike(sound, STRIKE_S, 0.08, 0.0) is None


@pytest.mark.parametrize("expected_s", [-5.0, 30.0])
def test_outside_the_sound_there_is_nothing(expected_s: float) -> None:
    rng = np.random.default_rng(10)
    assert find_strike(_sound(_silence(rng)), expected_s, 0.02) is None
