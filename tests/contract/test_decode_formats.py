"""Codecs and containers: every frame comes, once, in order, with the right picture."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from causeline.model.clip import ScaleFrom
from causeline.sources.decode import PyavClips
from tests.clips import HEIGHT, WIDTH, Recipe, ffprobe_stamps, number_of, numbered_pictures
from tests.clips import write_clip as write

CLIPS = PyavClips()
COUNT = 30
KINDS = [
    ("libx264", ".mp4", "h264"),
    ("libx264", ".mov", "h264"),
    ("libx264", ".mkv", "h264"),
    ("libx265", ".mp4", "hevc"),
    ("libx265", ".mov", "hevc"),
    ("libx265", ".mkv", "hevc"),
    ("libvpx-vp9", ".webm", "vp9"),
    ("libvpx-vp9", ".mp4", "vp9"),
    ("libsvtav1", ".mp4", "av1"),
    ("libsvtav1", ".webm", "av1"),
    ("libsvtav1", ".mkv", "av1"),
    ("mpeg4", ".avi", "mpeg4"),
    ("libx264", ".ts", "h264"),
]


@pytest.mark.parametrize(("codec", "suffix", "name"), KINDS)
def test_every_frame_comes_once_in_order(
    tmp_path: Path, codec: str, suffix: str, name: str
) -> None:
    path = write(tmp_path / f"clip{suffix}", numbered_pictures(COUNT), Recipe(codec=codec))
    clip = CLIPS.probe(path)
    assert (clip.codec, clip.width, clip.height) == (name, WIDTH, HEIGHT)
    assert (len(clip.clock), clip.damaged, clip.mended) == (COUNT, 0, 0)
    assert clip.time_scale_from is ScaleFrom.REAL_TIME
    # A time base of milliseconds (MKV, WebM) leaves each stamp unsure by half of one.
    assert clip.clock.rate_hz == pytest.approx(30.0, abs=0.05)
    frames = list(CLIPS.frames(path, clip, range(COUNT)))
    assert [frame.index for frame in frames] == list(range(COUNT))
    assert [number_of(frame.picture) for frame in frames] == list(range(COUNT))
    assert {frame.picture.shape for frame in frames} == {(HEIGHT, WIDTH, 3)}


def test_writing_clips_for_tests_leaves_the_machine_to_others(tmp_path: Path) -> None:
    write(tmp_path / "clip.mp4", numbered_pictures(COUNT), Recipe(codec="libsvtav1"))
    assert os.sched_getscheduler(0) == os.SCHED_OTHER


@pytest.mark.parametrize(("codec", "suffix", "name"), KINDS)
def test_stamps_are_those_of_ffprobe(tmp_path: Path, codec: str, suffix: str, name: str) -> None:
    path = write(tmp_path / f"clip{suffix}", numbered_pictures(COUNT), Recipe(codec=codec))
    assert CLIPS.probe(path).clock.stamps.tolist() == ffprobe_stamps(path)


def test_h264_in_avi_has_its_order_mended(tmp_path: Path) -> None:
    """AVI keeps no presentation stamps: frames are counted by decoding."""
    path = write(tmp_path / "clip.avi", numbered_pictures(COUNT), Recipe(options={"bf": "2"}))
    clip = CLIPS.probe(path)
    numbers = [number_of(f.picture) for f in CLIPS.frames(path, clip, range(COUNT))]
    assert numbers == list(range(COUNT))
