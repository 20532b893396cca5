"""Sound: one channel, at the right time, no more than the window asked for."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from causeline.model.clip import Sound
from causeline.sources.decode import PyavClips
from tests.clips import Recipe, blot, cut_off, ffmpeg, numbered_pictures, write_clip

CLIPS = PyavClips()
RATE = 48000
CLICK_S = 1.25
TONE_HZ = 440.0


def _click() -> NDArray[np.float32]:
    """Two seconds of silence with a short burst in it, as a ball makes."""
    samples = np.zeros(2 * RATE, dtype=np.float32)
    burst = np.random.default_rng(5).normal(0, 0.3, RATE // 100).astype(np.float32)
    samples[round(CLICK_S * RATE) :][: len(burst)] = burst
    return samples


def _clip(path: Path) -> Path:
    return write_clip(path, numbered_pictures(60), Recipe(sound=_click()))


def _loudest_s(sound: Sound) -> float:
    """File seconds of the beginning of the burst: the first sample above half the greatest."""
    loud = np.abs(sound.samples) > 0.5 * np.abs(sound.samples).max()
    return sound.starts_s + float(np.argmax(loud)) / sound.rate_hz


@pytest.mark.parametrize("suffix", [".mp4", ".mov", ".mkv"])
def test_a_click_is_where_it_was_put(tmp_path: Path, suffix: str) -> None:
    path = _clip(tmp_path / f"clip{suffix}")
    clip = CLIPS.probe(path)
    assert clip.has_audio
    sound = CLIPS.sound(path, clip)
    assert sound is not None
    assert sound.samples.dtype == np.float32
    assert (sound.rate_hz, sound.starts_s) == (RATE, 0.0)
    assert len(sound.samples) == round(clip.clock.duration_s * RATE)
    # A lossy coder smears an attack over part of a block: 1024 samples of AAC are 21 ms.
    assert _loudest_s(sound) == pytest.approx(CLICK_S, abs=0.005)


@pytest.mark.parametrize(("start_s", "stop_s"), [(0.0, 1.4), (1.2, 1.3), (0.7, 9.0), (1.0, None)])
@pytest.mark.parametrize("suffix", [".mp4", ".mkv"])
def test_a_window_holds_what_the_whole_holds_there(
    tmp_path: Path, suffix: str, start_s: float, stop_s: float | None
) -> None:
    path = _clip(tmp_path / f"clip{suffix}")
    clip = CLIPS.probe(path)
    whole = CLIPS.sound(path, clip)
    part = CLIPS.sound(path, clip, start_s, stop_s)
    assert whole is not None
    assert part is not None
    last_s = min(stop_s or 9.0, clip.clock.duration_s)
    expected = whole.samples[round(start_s * RATE) : round(last_s * RATE)]
    assert part.starts_s == start_s
    assert len(part.samples) == len(expected)
    assert np.abs(part.samples - expected).max() < 1e-3


def test_stereo_is_mixed_and_the_rate_is_kept(tmp_path: Path) -> None:
    silent = write_clip(tmp_path / "silent.mp4", numbered_pictures(30))
    path = tmp_path / "clip.mov"
    ffmpeg(
        *("-i", str(silent), "-f", "lavfi"),
        *("-i", f"aevalsrc=sin(2*PI*{TONE_HZ}*t)|0:s=44100:d=1"),
        *("-c:v", "copy", "-c:a", "pcm_s16le", str(path)),
    )
    clip = CLIPS.probe(path)
    sound = CLIPS.sound(path, clip)
    assert sound is not None
    assert (sound.rate_hz, sound.samples.ndim) == (44100.0, 1)
    times = np.arange(len(sound.samples)) / 44100.0
    # Half of each side: a tone on one side alone has half its height.
    assert sound.samples == pytest.approx(0.5 * np.sin(2 * np.pi * TONE_HZ * times), abs=2e-3)


def test_sound_that_begins_late_follows_silence(tmp_path: Path) -> None:
    silent = write_clip(tmp_path / "silent.mp4", numbered_pictures(60))
    path = tmp_path / "clip.mov"
    ffmpeg(
        *("-i", str(silent), "-itsoffset", "0.5", "-f", "lavfi", "-i"),
        *("sine=frequency=440:sample_rate=48000:duration=1", "-c:v", "copy"),
        *("-c:a", "pcm_s16le", str(path)),
    )
    sound = CLIPS.sound(path, CLIPS.probe(path))
    assert sound is not None
    heard = np.flatnonzero(np.abs(sound.samples) > 0.01) / RATE
    # The tone takes some samples to rise above the threshold.
    assert heard[0] == pytest.approx(0.5, abs=0.002)
    assert heard[-1] == pytest.approx(1.5, abs=0.002)


def test_times_count_from_the_first_picture(tmp_path: Path) -> None:
    """Pictures that start later than the sound: the click comes earlier on their clock."""
    whole = _clip(tmp_path / "whole.mp4")
    path = tmp_path / "late.mkv"
    ffmpeg(
        *("-itsoffset", "0.4", "-i", str(whole), "-i", str(whole)),
        *("-map", "0:v", "-map", "1:a", "-c", "copy", str(path)),
    )
    clip = CLIPS.probe(path)
    sound = CLIPS.sound(path, clip)
    assert sound is not None
    # Matroska rounds stamps to a millisecond.
    assert _loudest_s(sound) == pytest.approx(CLICK_S - 0.4, abs=0.006)


def test_file_seconds_are_not_scaled(tmp_path: Path) -> None:
    path = _clip(tmp_path / "clip.mp4")
    clip = CLIPS.probe(path)
    slow = replace(clip, clock=clip.clock.scaled(Fraction(8)))
    sound = CLIPS.sound(path, slow)
    assert sound is not None
    assert _loudest_s(sound) == pytest.approx(CLICK_S, abs=0.005)


def test_without_a_track_there_is_none(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(5))
    clip = CLIPS.probe(path)
    assert not clip.has_audio
    assert CLIPS.sound(path, clip) is None


def test_an_empty_window_is_none(tmp_path: Path) -> None:
    path = _clip(tmp_path / "clip.mp4")
    clip = CLIPS.probe(path)
    assert CLIPS.sound(path, clip, 1.0, 1.0) is None
    assert CLIPS.sound(path, clip, 5.0) is None


def test_a_broken_track_is_silent_where_it_is_broken(tmp_path: Path) -> None:
    recipe = Recipe(
        sound=_click(), container={"movflags": "faststart"}, options={"g": "1"}, kbps=3000
    )
    path = cut_off(write_clip(tmp_path / "clip.mp4", numbered_pictures(60), recipe), 0.5)
    sound = CLIPS.sound(path, CLIPS.probe(path))
    assert sound is not None
    assert np.all(np.isfinite(sound.samples))
    whole = blot(_clip(tmp_path / "other.mp4"), 3)
    assert CLIPS.sound(whole, CLIPS.probe(whole)) is not None
