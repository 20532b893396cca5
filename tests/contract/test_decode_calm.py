"""Waiting is passed over from key frame to key frame; whatever moves is decoded, frame by frame."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from causeline.model.clip import Picture
from causeline.model.seams import ClipSource
from causeline.sources import calm
from causeline.sources.decode import PyavClips
from causeline.sources.fence import FencedClips
from causeline.sources.repeats import RepeatWatch
from tests.clips import Recipe, write_clip

HZ, SECONDS, MOVES = 20, 6, range(85, 110)
"""Something goes through the picture in the fifth second."""
CODECS = {
    "libx264": {"g": "20", "bf": "2", "x264-params": "scenecut=0:open-gop=1"},
    "libx265": {"x265-params": "log-level=none:keyint=20:open-gop=1:bframes=2:scenecut=0"},
}


class Heard:
    """What a watch hears."""

    def __init__(self) -> None:
        self.seen: list[int] = []
        self.over: list[int] = []

    def spares(self, index: int) -> bool:
        return False

    def pass_over(self, frames: range) -> None:
        self.over += frames

    def see(self, index: int, grey: NDArray[np.uint8]) -> None:
        self.seen.append(index)


def _waiting(moves: range = MOVES) -> list[Picture]:
    random = np.random.default_rng(3)
    still = random.integers(60, 180, (12, 16, 3)).repeat(16, 0).repeat(16, 1)
    pictures = []
    for number in range(HZ * SECONDS):
        noisy = (still + random.normal(0, 2, still.shape)).clip(0, 255).astype(np.uint8)
        if number in moves:
            left = 8 * (number - moves.start)
            noisy[60:140, left : left + 30] = 250
        pictures.append(noisy)
    return pictures


def _film(path: Path, codec: str = "libx264", **options: str) -> Path:
    recipe = Recipe(
        codec=codec, time_base=Fraction(1, HZ), kbps=1500, options=CODECS[codec] | options
    )
    return write_clip(path, _waiting(), recipe)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One film for all that do not ask for another coding."""
    return _film(tmp_path_factory.mktemp("calm") / "clip.mp4")


@pytest.mark.parametrize("codec", sorted(CODECS))
def test_a_rest_is_passed_over_but_for_its_last_second(tmp_path: Path, codec: str) -> None:
    path, clips, heard = _film(tmp_path / "clip.mp4", codec), PyavClips(), Heard()
    clip = clips.probe(path)
    frames = list(clips.frames(path, clip, range(0, 120, 5), None, heard))
    assert [frame.index for frame in frames] == list(range(0, 120, 5))
    assert heard.over == [i for i in range(60) if i % 20]
    assert heard.seen == [i for i in range(120) if i not in heard.over]
    plain = {frame.index: frame.picture for frame in clips.frames(path, clip, range(120))}
    for frame in frames:
        shown = frame.index - frame.index % 20 if frame.index in heard.over else frame.index
        assert np.array_equal(frame.picture, plain[shown])


def test_a_fenced_source_tells_a_watch_the_same(film: Path) -> None:
    told = []
    with FencedClips() as fenced:
        sources: list[ClipSource] = [PyavClips(), fenced]
        for source in sources:
            heard = Heard()
            list(source.frames(film, source.probe(film), range(0, 120, 5), 64, heard))
            told.append((heard.seen, heard.over))
    assert told[0] == told[1]
    assert told[0][1]


def test_what_was_passed_over_is_neither_damaged_nor_repeated(film: Path) -> None:
    clips = PyavClips()
    clip = clips.probe(film)
    watch = RepeatWatch(clip)
    list(clips.frames(film, clip, range(0, 120, 5), 64, watch))
    marked = watch.marked(clip)
    assert marked.damaged == 0
    assert not marked.repeated.any()


def test_key_frames_far_apart_say_nothing_of_what_is_between(tmp_path: Path) -> None:
    path, clips, heard = _film(tmp_path / "clip.mp4", g="40"), PyavClips(), Heard()
    list(clips.frames(path, clips.probe(path), range(0, 120, 5), 64, heard))
    assert heard.over == []
    assert heard.seen == list(range(120))


def test_only_so_many_key_frames_are_looked_at(film: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three of 256 by 192 pixels tell of two steps, and the second is the last of its rest."""
    monkeypatch.setattr(calm, "MOST_PIXELS", 3 * 256 * 192)
    clips, heard = PyavClips(), Heard()
    list(clips.frames(film, clips.probe(film), range(0, 120, 5), 64, heard))
    assert heard.over == list(range(1, 20))
