"""What every clip source promises: the real one and the shipped fake are held to the same tests."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from causeline.errors import SettingError
from causeline.model.clip import Sound
from causeline.model.seams import ClipSource
from causeline.quantities.clock import Clock
from causeline.sources.decode import PyavClips
from causeline.sources.fake_clips import FakeClips
from causeline.sources.fence import FencedClips
from tests.clips import HEIGHT, WIDTH, Recipe, blot, number_of, numbered_pictures, write_clip

COUNT, RATE = 24, 8000
STAMPS = np.cumsum([0, *[40, 40, 60] * 8])[:COUNT].astype(np.int64)
LOST = 12
TONE = np.sin(np.arange(int(1.2 * RATE)) / 20.0).astype(np.float32)
Source = tuple[ClipSource, Path]


def _real(path: Path) -> Source:
    recipe = Recipe(
        time_base=Fraction(1, 1000),
        stamps=STAMPS.tolist(),
        options={"g": "6", "bf": "0"},
        kbps=2000,
        sound=TONE,
        sound_rate=RATE,
    )
    write_clip(path, numbered_pictures(COUNT), recipe)
    return PyavClips(), blot(path, LOST, 10**6)


def _fake(path: Path) -> Source:
    clock = Clock(STAMPS, Fraction(1, 1000))
    sound = Sound(TONE, float(RATE), 0.0)
    return FakeClips(numbered_pictures(COUNT), clock, sound, frozenset(range(LOST, 18))), path


def _fenced(path: Path) -> Source:
    return FencedClips(), _real(path)[1]


@pytest.fixture(params=[_real, _fake, _fenced], ids=["pyav", "fake", "fenced"])
def source(request: pytest.FixtureRequest, tmp_path: Path) -> Source:
    made: Source = request.param(tmp_path / "swing.mp4")
    return made


class _Watch:
    def __init__(self) -> None:
        self.seen: list[tuple[int, tuple[int, ...]]] = []

    def spares(self, index: int) -> bool:
        return False

    def pass_over(self, frames: range) -> None:
        raise AssertionError(f"{frames} were passed over")

    def see(self, index: int, grey: NDArray[np.uint8]) -> None:
        self.seen.append((index, grey.shape))


def test_probe_tells_what_the_clip_is(source: Source) -> None:
    clips, path = source
    clip = clips.probe(path)
    assert (clip.name, clip.width, clip.height) == ("swing.mp4", WIDTH, HEIGHT)
    assert clip.clock.seconds == pytest.approx(STAMPS / 1000.0, abs=1e-9)
    assert clip.has_audio
    assert clip.repeated.shape == (COUNT,)
    assert not clip.repeated.any()


def test_frames_come_in_order_and_lost_ones_are_left_out(source: Source) -> None:
    clips, path = source
    clip = clips.probe(path)
    frames = list(clips.frames(path, clip, range(COUNT)))
    indices = [frame.index for frame in frames]
    assert LOST not in indices
    assert [i for i in indices if not LOST <= i < 18] == [*range(LOST), *range(18, COUNT)]
    assert all(
        number_of(frame.picture) == frame.index for frame in frames if not LOST <= frame.index < 18
    )


def test_frames_are_shrunk_together_with_their_factor(source: Source) -> None:
    clips, path = source
    (frame,) = clips.frames(path, clips.probe(path), range(3, 4), 32)
    assert (frame.picture.shape, frame.shrink) == ((24, 32, 3), 0.25)
    assert frame.picture.flags.writeable
    assert frame.picture.flags.c_contiguous


def test_a_watch_sees_every_frame_of_the_range(source: Source) -> None:
    clips, path = source
    watch = _Watch()
    frames = list(clips.frames(path, clips.probe(path), range(1, 12, 4), None, watch))
    assert [frame.index for frame in frames] == [1, 5, 9]
    assert watch.seen == [(i, (72, 96)) for i in range(1, 12)]


def test_ranges_outside_the_clip_are_cut(source: Source) -> None:
    clips, path = source
    clip = clips.probe(path)
    assert [f.index for f in clips.frames(path, clip, range(-4, 4, 3))] == [2]
    assert [f.index for f in clips.frames(path, clip, range(22, 99))] == [22, 23]
    assert list(clips.frames(path, clip, range(24, 99))) == []
    with pytest.raises(SettingError):
        list(clips.frames(path, clip, range(4, 0, -1)))


def test_sound_in_a_window(source: Source) -> None:
    clips, path = source
    clip = clips.probe(path)
    sound = clips.sound(path, clip, 0.25, 0.5)
    assert sound is not None
    assert (sound.rate_hz, sound.starts_s) == (RATE, 0.25)
    assert sound.samples == pytest.approx(TONE[2000:4000], abs=0.1)


def test_a_fake_needs_a_stamp_for_each_picture() -> None:
    with pytest.raises(ValueError, match="got 3 pictures for 2 stamps"):
        FakeClips(numbered_pictures(3), Clock(np.arange(2), Fraction(1, 30)))


def test_a_fake_without_sound_has_none() -> None:
    clips = FakeClips(numbered_pictures(3))
    clip = clips.probe(Path("demo.mp4"))
    assert (clip.has_audio, clips.sound(Path("demo.mp4"), clip)) == (False, None)
    assert clip.clock.rate_hz == pytest.approx(30.0)


def test_frames_here_and_there_come_out_one_by_one(source: Source) -> None:
    clips, path = source
    clip = clips.probe(path)
    frames = list(clips.frames(path, clip, [-3, 2, 3, 9, 20, COUNT + 5]))
    assert [frame.index for frame in frames] == [2, 3, 9, 20]
    assert [number_of(frame.picture) for frame in frames] == [2, 3, 9, 20]
    assert list(clips.frames(path, clip, [])) == []
    with pytest.raises(SettingError, match="rising order"):
        list(clips.frames(path, clip, [3, 2]))
