"""Frames come out as a player shows them. Outside reference: the ffmpeg command's autorotation."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from causeline.model.clip import Picture
from causeline.sources.decode import PyavClips
from causeline.sources.turning import Turn, decode_matrix
from tests.clips import HEIGHT, WIDTH, Recipe, ffmpeg_pictures, number_of, numbered, write_clip

CLIPS = PyavClips()
UPRIGHT = [numbered(n) for n in (5, 1234, 777)]


def _stored(picture: Picture, clockwise_deg: int) -> Picture:
    """As the sensor holds it, so that turning it clockwise by that much makes it upright."""
    return np.ascontiguousarray(np.rot90(picture, clockwise_deg // 90))


@pytest.mark.parametrize("clockwise_deg", [0, 90, 180, 270])
def test_turned_clips_come_upright(tmp_path: Path, clockwise_deg: int) -> None:
    pictures = [_stored(picture, clockwise_deg) for picture in UPRIGHT]
    path = write_clip(tmp_path / "clip.mp4", pictures, Recipe(turn_deg=-clockwise_deg))
    clip = CLIPS.probe(path)
    assert (clip.rotation_deg, clip.width, clip.height) == (clockwise_deg, WIDTH, HEIGHT)
    for longest_side in (None, 64):
        frames = list(CLIPS.frames(path, clip, range(3), longest_side))
        assert [number_of(frame.picture) for frame in frames] == [5, 1234, 777]


@pytest.mark.parametrize("clockwise_deg", [0, 90, 180, 270])
@pytest.mark.parametrize(
    ("suffix", "mirrored"), [(".mp4", False), (".mp4", True), (".mov", True), (".mkv", False)]
)
def test_the_turn_is_that_of_the_ffmpeg_command(
    tmp_path: Path, clockwise_deg: int, mirrored: bool, suffix: str
) -> None:
    recipe = Recipe(turn_deg=-clockwise_deg, mirrored=mirrored)
    path = write_clip(tmp_path / f"clip{suffix}", UPRIGHT, recipe)
    clip = CLIPS.probe(path)
    ours = np.array([f.picture for f in CLIPS.frames(path, clip, range(3))], dtype=int)
    theirs = ffmpeg_pictures(path, clip.width, clip.height)
    # Both convert from YUV; rounding and the way chroma is spread differ by a few levels.
    assert np.mean(np.abs(ours - theirs)) < 3.0
    assert np.mean(np.abs(ours - theirs[:, ::-1])) > 20.0


@pytest.mark.parametrize(
    ("matrix", "turn", "clockwise_deg"),
    [
        ((1, 0, 0, 1), Turn(), 0),
        ((0, 1, -1, 0), Turn(True, True, False), 90),
        ((-1, 0, 0, -1), Turn(False, True, True), 180),
        ((0, -1, 1, 0), Turn(True, False, True), 270),
        ((-1, 0, 0, 1), Turn(False, True, False), 0),
        ((1, 0, 0, -1), Turn(False, False, True), 180),
        ((0, 1, 1, 0), Turn(True, False, False), 90),
        ((0.9, 0.2, -0.2, 0.9), Turn(), 0),
        ((0, 0, 0, 0), Turn(), 0),
    ],
)
def test_matrices_by_hand(
    matrix: tuple[float, float, float, float], turn: Turn, clockwise_deg: int
) -> None:
    a, b, c, d = (round(v * 65536) for v in matrix)
    found = decode_matrix(np.array([a, b, 0, c, d, 0, 0, 0, 1 << 30], dtype=np.int32))
    assert found == turn
    assert found.clockwise_deg == clockwise_deg


@pytest.mark.parametrize(("pixel", "width"), [(Fraction(4, 3), 171), (Fraction(3, 4), 96)])
def test_oblong_pixels_are_made_square(tmp_path: Path, pixel: Fraction, width: int) -> None:
    path = write_clip(tmp_path / "clip.mp4", UPRIGHT, Recipe(pixel=pixel))
    clip = CLIPS.probe(path)
    assert (clip.width, clip.height) == (width, HEIGHT)
    (frame,) = CLIPS.frames(path, clip, range(1))
    assert frame.picture.shape == (HEIGHT, width, 3)
    assert number_of(frame.picture) == 5


def test_oblong_pixels_are_widened_before_the_turn(tmp_path: Path) -> None:
    pictures = [_stored(picture, 90) for picture in UPRIGHT]
    recipe = Recipe(turn_deg=-90, pixel=Fraction(2, 1))
    path = write_clip(tmp_path / "clip.mp4", pictures, recipe)
    clip = CLIPS.probe(path)
    assert (clip.width, clip.height) == (WIDTH, 2 * HEIGHT)
    assert [number_of(f.picture) for f in CLIPS.frames(path, clip, range(3))] == [5, 1234, 777]


def test_absurd_pixels_are_taken_as_square(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mkv", UPRIGHT, Recipe(pixel=Fraction(50, 1)))
    clip = CLIPS.probe(path)
    assert (clip.width, clip.height) == (WIDTH, HEIGHT)
