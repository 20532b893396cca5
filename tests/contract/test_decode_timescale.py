"""Slow motion as files store it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from causeline.model.clip import ScaleFrom
from causeline.sources.boxes import decode_structure
from causeline.sources.decode import PyavClips
from tests.clips import Recipe, ffmpeg, number_of, numbered_pictures, set_edit_rates, write_clip

CLIPS = PyavClips()
TAGGED = {"movflags": "use_metadata_tags"}


@pytest.mark.parametrize(("played_hz", "scale"), [(30, 8), (240, 1)])
@pytest.mark.parametrize("suffix", [".mp4", ".mov"])
def test_the_capture_rate_of_android_is_read(
    tmp_path: Path, suffix: str, played_hz: int, scale: int
) -> None:
    recipe = Recipe(
        time_base=Fraction(1, played_hz),
        tags={"com.android.capture.fps": "240.000000"},
        container=TAGGED,
    )
    path = write_clip(tmp_path / f"clip{suffix}", numbered_pictures(48), recipe)
    clip = CLIPS.probe(path)
    assert (clip.clock.time_scale, clip.time_scale_from) == (Fraction(scale), ScaleFrom.CONTAINER)
    assert clip.capture_rate_hz == pytest.approx(240.0)
    assert clip.clock.duration_s == pytest.approx(0.2)


def test_the_capture_rate_is_read_as_the_number_that_android_writes(tmp_path: Path) -> None:
    """Android writes a 32-bit float (type 23 of the metadata item list), not a text."""
    recipe = Recipe(tags={"com.android.capture.fps": "~~~~"}, container=TAGGED)
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(30), recipe)
    data = path.read_bytes()
    text = b"data" + (1).to_bytes(4) + bytes(4) + b"~~~~"
    assert text in data
    number = b"data" + (23).to_bytes(4) + bytes(4) + bytes.fromhex("43700000")
    path.write_bytes(data.replace(text, number))
    clip = CLIPS.probe(path)
    assert (clip.clock.time_scale, clip.time_scale_from) == (Fraction(8), ScaleFrom.CONTAINER)


@pytest.mark.parametrize("value", ["0", "1"])
def test_apple_stores_slow_motion_in_real_time(tmp_path: Path, value: str) -> None:
    tags = {"com.apple.quicktime.full-frame-rate-playback-intent": value}
    recipe = Recipe(time_base=Fraction(1, 240), tags=tags, container=TAGGED)
    path = write_clip(tmp_path / "clip.mov", numbered_pictures(48), recipe)
    clip = CLIPS.probe(path)
    assert (clip.clock.time_scale, clip.time_scale_from) == (Fraction(1), ScaleFrom.CONTAINER)
    assert clip.capture_rate_hz == pytest.approx(240.0)


@pytest.mark.parametrize("suffix", [".mov", ".mp4"])
def test_an_edit_list_that_plays_slowly_is_left_aside(tmp_path: Path, suffix: str) -> None:
    recipe = Recipe(time_base=Fraction(1, 240), options={"bf": "2", "g": "12"})
    whole = write_clip(tmp_path / "whole.mp4", numbered_pictures(96), recipe)
    path = tmp_path / f"clip{suffix}"
    ffmpeg("-ss", "0.1", "-i", str(whole), "-c", "copy", str(path))
    assert number_of(next(CLIPS.frames(path, CLIPS.probe(path), range(1))).picture) == 24
    set_edit_rates(path, 0.125)
    assert decode_structure(path).edit_rates == (0.125,)
    clip = CLIPS.probe(path)
    assert (clip.clock.time_scale, clip.time_scale_from) == (Fraction(1), ScaleFrom.CONTAINER)
    assert clip.capture_rate_hz == pytest.approx(240.0)
    numbers = [number_of(f.picture) for f in CLIPS.frames(path, clip, range(len(clip.clock)))]
    assert numbers == list(range(numbers[0], 96))


def test_an_ordinary_edit_list_plays_at_rate_one(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(30), Recipe(options={"bf": "3"}))
    structure = decode_structure(path)
    assert structure.has_table
    assert structure.edit_rates == (1.0,)
    assert not structure.slowed_by_edits


def test_other_files_have_no_boxes(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mkv", numbered_pictures(3))
    assert not decode_structure(path).boxes
