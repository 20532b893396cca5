"""The clock comes from the file's stamps. Outside reference: the frames that ffprobe decodes."""

from __future__ import annotations

import struct
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from causeline.model.clip import Clip
from causeline.sources.decode import PyavClips
from tests.clips import Recipe, ffmpeg, ffprobe_stamps, number_of, numbered_pictures, write_clip

CLIPS = PyavClips()
MILLISECONDS = Fraction(1, 1000)


def _numbers(path: Path, clip: Clip) -> list[int]:
    frames = list(CLIPS.frames(path, clip, range(len(clip.clock))))
    assert [frame.index for frame in frames] == list(range(len(clip.clock)))
    return [number_of(frame.picture) for frame in frames]


@pytest.mark.parametrize(
    ("codec", "suffix"),
    [("libx264", ".mp4"), ("libx264", ".mkv"), ("libx265", ".mov"), ("libvpx-vp9", ".webm")],
)
def test_a_variable_rate_is_read_from_the_stamps(tmp_path: Path, codec: str, suffix: str) -> None:
    stamps = np.cumsum([0, *np.random.default_rng(4).integers(20, 60, 49)]).tolist()
    recipe = Recipe(codec=codec, time_base=MILLISECONDS, stamps=stamps)
    path = write_clip(tmp_path / f"clip{suffix}", numbered_pictures(50), recipe)
    clip = CLIPS.probe(path)
    assert clip.clock.stamps.tolist() == ffprobe_stamps(path)
    # Every stamp is a whole number of milliseconds in the file too.
    assert clip.clock.seconds == pytest.approx(np.array(stamps) / 1000.0, abs=1e-9)
    assert clip.clock.variable
    assert _numbers(path, clip) == list(range(50))


@pytest.mark.parametrize(
    ("words", "suffix", "first"),
    [
        (("-ss", "0.5"), ".mp4", 15),
        (("-ss", "0.5", "-t", "1.2"), ".mov", 15),
        (("-itsoffset", "0.7"), ".mp4", 0),
        (("-ss", "0.5"), ".mkv", 0),
    ],
)
def test_an_edit_list_hides_frames_and_shifts_the_start(
    tmp_path: Path, words: tuple[str, ...], suffix: str, first: int
) -> None:
    """A cut without re-encoding keeps the frames back to the key frame, flagged not to be shown."""
    whole = write_clip(
        tmp_path / "whole.mp4", numbered_pictures(90), Recipe(options={"g": "30", "bf": "3"})
    )
    cut = tmp_path / f"cut{suffix}"
    ffmpeg(*words, "-i", str(whole), "-c", "copy", str(cut))
    clip = CLIPS.probe(cut)
    assert clip.clock.stamps.tolist() == ffprobe_stamps(cut)
    assert _numbers(cut, clip)[0] == first
    assert clip.clock.seconds[0] == 0.0


@pytest.mark.parametrize("flags", [("-use_editlist", "0"), ("-movflags", "negative_cts_offsets")])
def test_either_way_of_writing_reordered_frames_is_read(
    tmp_path: Path, flags: tuple[str, str]
) -> None:
    whole = write_clip(tmp_path / "whole.mp4", numbered_pictures(40), Recipe(options={"bf": "3"}))
    path = tmp_path / "other.mp4"
    ffmpeg("-i", str(whole), "-c", "copy", *flags, str(path))
    clip = CLIPS.probe(path)
    assert clip.clock.stamps.tolist() == ffprobe_stamps(path)
    assert _numbers(path, clip) == list(range(40))


def test_frames_before_zero_are_not_part_of_the_clip(tmp_path: Path) -> None:
    recipe = Recipe(time_base=MILLISECONDS, stamps=range(-200, 1000, 40))
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(30), recipe)
    clip = CLIPS.probe(path)
    assert clip.clock.stamps.tolist() == ffprobe_stamps(path)
    assert _numbers(path, clip) == list(range(5, 30))


def test_a_repeated_stamp_is_mended_and_counted(tmp_path: Path) -> None:
    stamps = [20 * i + (7 if i == 10 else 0) for i in range(30)]
    recipe = Recipe(time_base=Fraction(1, 600), stamps=stamps, options={"bf": "0"})
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(30), recipe)
    _shorten_one_duration_to_nothing(path)
    clip = CLIPS.probe(path)
    assert clip.mended == 1
    assert np.all(np.diff(clip.clock.stamps) > 0)
    assert _numbers(path, clip) == list(range(30))


def test_an_interlaced_film_has_as_many_stamps_as_frames(tmp_path: Path) -> None:
    recipe = Recipe(options={"flags": "+ildct+ilme", "x264-params": "tff=1"}, stamps=range(30))
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(30), recipe)
    clip = CLIPS.probe(path)
    assert clip.clock.stamps.tolist() == ffprobe_stamps(path)
    assert _numbers(path, clip) == list(range(30))


def _shorten_one_duration_to_nothing(path: Path) -> None:
    """The first entry of the table of durations (stts) that stands for one frame gets 0."""
    data = bytearray(path.read_bytes())
    start = data.index(b"stts") + 4
    for entry in range(struct.unpack_from(">I", data, start + 4)[0]):
        at = start + 8 + 8 * entry
        if struct.unpack_from(">I", data, at)[0] == 1:
            struct.pack_into(">I", data, at + 4, 0)
            break
    path.write_bytes(bytes(data))
