"""What the phone hears: wind, people far off, and the strike when its sound arrives."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from studio.camera import Camera
from studio.performance import Floats

RATE_HZ = 44_100
SOUND_M_S = 343.0
"""Speed of sound in air at about 20 °C."""


def make_sound(
    rng: np.random.Generator, times_s: Floats, strike_s: float, camera: Camera
) -> tuple[NDArray[np.float32], int]:
    """Samples from the first frame to the last, and their rate. Real time, not slowed."""
    count = int((times_s[-1] - times_s[0] + 0.05) * RATE_HZ)
    sound = 0.012 * _wind(rng, count) + 0.004 * _murmur(rng, count)
    away = float(np.linalg.norm(camera.position - np.array([0.5, 0.0, 0.0])))
    arrives = strike_s - float(times_s[0]) + away / SOUND_M_S
    _add(sound, _strike(rng), arrives, 0.8 / away)
    for _ in range(int(rng.integers(0, 3))):
        _add(sound, _strike(rng), float(rng.uniform(0, count / RATE_HZ)), 0.02)
    return np.clip(sound, -1, 1).astype(np.float32), RATE_HZ


def _band(low_hz: float, high_hz: float) -> Floats:
    return butter(2, [low_hz, high_hz], "bandpass", fs=RATE_HZ, output="sos")


def _wind(rng: np.random.Generator, count: int) -> Floats:
    gusts = np.interp(np.arange(count), np.linspace(0, count, 12), rng.uniform(0.2, 1.0, 12))
    noise = sosfilt(_band(40, 500), rng.normal(0, 1, count))
    return gusts * noise / max(float(noise.std()), 1e-9)


def _murmur(rng: np.random.Generator, count: int) -> Floats:
    voices = sosfilt(_band(250, 1800), rng.normal(0, 1, count))
    syllables = np.interp(
        np.arange(count), np.linspace(0, count, 24), rng.uniform(0.0, 1.0, 24) ** 2
    )
    return syllables * voices / max(float(voices.std()), 1e-9)


def _strike(rng: np.random.Generator) -> Floats:
    """A click of a few milliseconds and the ring of the head after it."""
    span = np.arange(int(0.12 * RATE_HZ)) / RATE_HZ
    click = rng.normal(0, 1, len(span)) * np.exp(-span / 0.0025)
    pitch = rng.uniform(2600, 4600)
    ring = np.sin(2 * np.pi * pitch * span) * np.exp(-span / 0.018)
    return 0.7 * click + 0.4 * ring


def _add(sound: Floats, piece: Floats, at_s: float, strength: float) -> None:
    start = round(at_s * RATE_HZ)
    begin, end = max(start, 0), min(start + len(piece), len(sound))
    if begin < end:
        sound[begin:end] += strength * piece[begin - start : end - start]
