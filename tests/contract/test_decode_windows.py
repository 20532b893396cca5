"""A part of a clip is the same as that part of the whole, wherever it begins."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from av.video.frame import VideoFrame

from causeline.errors import SettingError
from causeline.model.clip import Clip
from causeline.sources import decode
from causeline.sources.decode import PyavClips
from causeline.sources.opening import Film
from tests.clips import HEIGHT, WIDTH, Recipe, number_of, numbered_pictures, write_clip

CLIPS = PyavClips()
COUNT = 60
GOPS = {
    "closed": {"g": "12", "bf": "3", "x264-params": "open-gop=0:scenecut=0"},
    "open": {"g": "12", "bf": "3", "x264-params": "open-gop=1:scenecut=0:b-pyramid=2"},
    "long": {"g": "250", "bf": "3"},
    "intra": {"g": "1"},
    "no-b": {"g": "20", "bf": "0"},
}


def _numbers(path: Path, clip: Clip, wanted: range) -> list[tuple[int, int]]:
    return [(f.index, number_of(f.picture)) for f in CLIPS.frames(path, clip, wanted)]


@pytest.mark.parametrize("suffix", [".mp4", ".mkv", ".ts"])
@pytest.mark.parametrize("gop", sorted(GOPS))
def test_a_window_may_begin_anywhere(tmp_path: Path, gop: str, suffix: str) -> None:
    path = write_clip(
        tmp_path / f"clip{suffix}", numbered_pictures(COUNT), Recipe(options=GOPS[gop])
    )
    clip = CLIPS.probe(path)
    for start in range(0, COUNT, 1 if gop == "open" else 7):
        wanted = range(start, min(start + 3, COUNT))
        assert _numbers(path, clip, wanted) == [(i, i) for i in wanted]


def test_hevc_with_open_groups_begins_anywhere(tmp_path: Path) -> None:
    """The frames that lead an HEVC key frame need the group before: they must not be lost."""
    options = {"x265-params": "log-level=none:keyint=12:open-gop=1:bframes=3"}
    recipe = Recipe(codec="libx265", options=options)
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(COUNT), recipe)
    clip = CLIPS.probe(path)
    for start in range(COUNT):
        assert _numbers(path, clip, range(start, start + 1)) == [(start, start)]


@pytest.mark.parametrize("gop", sorted(GOPS))
def test_frames_far_apart_are_each_the_right_one(tmp_path: Path, gop: str) -> None:
    """The file is entered anew for each: what lies between is not decoded."""
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(COUNT), Recipe(options=GOPS[gop]))
    clip, wanted = CLIPS.probe(path), [0, 1, 11, 12, 13, 30, 58, 59]
    assert [(f.index, number_of(f.picture)) for f in CLIPS.frames(path, clip, wanted)] == [
        (i, i) for i in wanted
    ]


@pytest.mark.parametrize(("gop", "entries"), [("closed", 4), ("no-b", 3), ("long", 1)])
def test_a_file_is_entered_anew_only_where_a_key_frame_spares_some(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, gop: str, entries: int
) -> None:
    """With key frames far apart, all between would be decoded again for each wanted one."""
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(COUNT), Recipe(options=GOPS[gop]))
    clip, wanted = CLIPS.probe(path), [0, 1, 13, 14, 26, 32, 50]
    numbered, passes = decode._numbered, []

    def counted(film: Film, look: decode._Look) -> Iterator[tuple[int, VideoFrame]]:
        passes.append(film)
        return numbered(film, look)

    monkeypatch.setattr(decode, "_numbered", counted)
    assert [f.index for f in CLIPS.frames(path, clip, wanted)] == wanted
    assert len(passes) == entries


def test_a_step_leaves_frames_out(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(COUNT))
    clip = CLIPS.probe(path)
    assert _numbers(path, clip, range(3, 50, 8)) == [(i, i) for i in range(3, 50, 8)]


def test_a_range_past_the_ends_is_cut_to_the_clip(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(10))
    clip = CLIPS.probe(path)
    assert [i for i, _ in _numbers(path, clip, range(-5, 99))] == list(range(10))
    assert [i for i, _ in _numbers(path, clip, range(-5, 99, 3))] == [1, 4, 7]
    assert _numbers(path, clip, range(10, 20)) == []
    assert _numbers(path, clip, range(5, 5)) == []


def test_a_backward_range_is_refused(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(10))
    clip = CLIPS.probe(path)
    with pytest.raises(SettingError, match="rising order"):
        list(CLIPS.frames(path, clip, range(9, 0, -1)))
    with pytest.raises(SettingError, match="at least 1 pixel"):
        list(CLIPS.frames(path, clip, range(9), 0))


@pytest.mark.parametrize(("side", "size", "shrink"), [(64, (48, 64), 0.5), (900, (96, 128), 1.0)])
def test_pictures_shrink_but_never_grow(
    tmp_path: Path, side: int, size: tuple[int, int], shrink: float
) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(3))
    clip = CLIPS.probe(path)
    frames = list(CLIPS.frames(path, clip, range(3), side))
    assert {f.picture.shape for f in frames} == {(*size, 3)}
    assert {f.shrink for f in frames} == {shrink}
    assert [number_of(f.picture) for f in frames] == [0, 1, 2]


def test_the_same_frame_is_the_same_picture_whichever_way_it_is_reached(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(COUNT), Recipe(options=GOPS["open"]))
    clip = CLIPS.probe(path)
    whole = {f.index: f.picture for f in CLIPS.frames(path, clip, range(COUNT))}
    for start in (1, 13, 29, 47):
        (frame,) = CLIPS.frames(path, clip, range(start, start + 1))
        assert np.array_equal(frame.picture, whole[start])


def test_leaving_early_closes_the_file(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", numbered_pictures(COUNT))
    clip = CLIPS.probe(path)
    frames = CLIPS.frames(path, clip, range(COUNT))
    assert next(frames).picture.shape == (HEIGHT, WIDTH, 3)
    del frames
    links = Path("/proc/self/fd")
    if links.is_dir():
        held = [link.resolve() for link in links.iterdir() if link.exists()]
        assert path.resolve() not in held
