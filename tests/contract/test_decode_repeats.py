"""Copies that hold each picture twice, or in a pattern, and films that only stand still."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from causeline.model.clip import Clip, Picture
from causeline.sources.decode import PyavClips
from causeline.sources.repeats import RepeatWatch
from tests.clips import Recipe, blot, numbered_pictures, write_clip

CLIPS = PyavClips()
WIDTH, HEIGHT, SECONDS = 180, 240, 3.0
STILL_S = 1.2
_FINE = 4


def _angle(seconds: float) -> float:
    """Of an arm that hangs for 1.2 s, goes back in 0.8 s, comes down in 0.3 s, swings through."""
    t = seconds - STILL_S
    if t < 0:
        return 0.02 * np.sin(2.2 * seconds)
    if t < 0.8:
        return float(1.9 * (1 - np.cos(np.pi * t / 0.8)))
    if t < 1.1:
        return float(3.8 * np.cos(np.pi / 2 * (t - 0.8) / 0.3))
    return float(-4.0 * np.sin(np.pi / 2 * min(1.0, (t - 1.1) / 0.5)))


@cache
def _film(hz: int, noise: float = 3.0, contrast: float = 1.0) -> tuple[Picture, ...]:
    """A figure with a swinging arm before a mottled background, with the noise of a camera."""
    random = np.random.default_rng(7)
    coarse = random.normal(115, 25, (HEIGHT // 8, WIDTH // 8)).clip(0, 255).astype(np.uint8)
    large = (_FINE * WIDTH, _FINE * HEIGHT)
    background = Image.fromarray(coarse).resize(large, Image.Resampling.BICUBIC)
    return tuple(
        _noisy(_drawn(background.copy(), _angle(frame / hz), contrast), noise, random)
        for frame in range(round(SECONDS * hz))
    )


def _drawn(image: Image.Image, angle: float, contrast: float) -> NDArray[np.float64]:
    """Drawn finer than shown, so that a movement of a part of a pixel shows."""
    pen = ImageDraw.Draw(image)
    hand = (90 + 55 * np.sin(angle * 0.6), 90 + 55 * np.cos(angle * 0.6))
    head = (hand[0] + 60 * np.sin(angle), hand[1] + 60 * np.cos(angle))
    lines = [
        ([(90, 80), (90, 150), (75, 235)], 40, 22),
        ([(90, 90), hand], 210, 10),
        ([hand, head], 240, 3),
    ]
    for points, grey, width in lines:
        pen.line([(_FINE * x, _FINE * y) for x, y in points], fill=grey, width=_FINE * width)
    return 115 + contrast * (np.asarray(image.reduce(_FINE), dtype=float) - 115)


def _noisy(grey: NDArray[np.float64], noise: float, random: np.random.Generator) -> Picture:
    lit = (grey + random.normal(0, noise, grey.shape)).clip(0, 255).astype(np.uint8)
    return np.repeat(lit[..., None], 3, axis=2)


def _copied(
    path: Path, film: tuple[Picture, ...], filmed_hz: int, hz: int, recipe: Recipe
) -> NDArray[np.bool_]:
    """Write the film at another rate, as a converter does; gives which frames repeat."""
    shown = [k * filmed_hz // hz for k in range(len(film) * hz // filmed_hz)]
    write_clip(path, [film[i] for i in shown], recipe)
    return np.array([False, *(np.diff(shown) == 0)])


def _marked(path: Path, step: int = 1) -> Clip:
    clip = CLIPS.probe(path)
    watch = RepeatWatch(clip)
    for _ in CLIPS.frames(path, clip, range(0, len(clip.clock), step), 64, watch):
        pass
    return watch.marked(clip)


def _recipe(hz: int, kbps: int, codec: str = "libx264") -> Recipe:
    options = {"preset": "veryfast"} if codec == "libx264" else {}
    return Recipe(codec=codec, time_base=Fraction(1, hz), kbps=kbps, options=options)


@pytest.mark.parametrize(
    ("filmed_hz", "hz", "kbps", "most_missed"),
    [
        *((30, 60, kbps, 2) for kbps in (60, 250)),
        *((24, 30, kbps, 0) for kbps in (60, 250)),
        *((25, 30, kbps, 0) for kbps in (60, 250)),
        *((24, 60, kbps, 2) for kbps in (60, 250)),
        *((30, 50, kbps, 2) for kbps in (60, 250)),
        (25, 50, 100, 2),
        (30, 120, 250, 12),
    ],
)
def test_copies_at_a_higher_rate(
    tmp_path: Path, filmed_hz: int, hz: int, kbps: int, most_missed: int
) -> None:
    path = tmp_path / "clip.mp4"
    truth = _copied(path, _film(filmed_hz), filmed_hz, hz, _recipe(hz, kbps))
    clip = _marked(path)
    assert not np.any(clip.repeated & ~truth)
    # A few are missed where a movement begins or ends; the rate is right all the same.
    assert np.count_nonzero(truth & ~clip.repeated) <= most_missed
    assert clip.capture_rate_hz == pytest.approx(filmed_hz, rel=0.04)
    assert clip.damaged == 0


@pytest.mark.parametrize("hz", [24, 30, 60, 120])
@pytest.mark.parametrize("kbps", [40, 250])
def test_a_film_that_stands_still_and_then_moves_has_no_repeats(
    tmp_path: Path, hz: int, kbps: int
) -> None:
    path = tmp_path / "clip.mp4"
    write_clip(path, _film(hz), _recipe(hz, kbps))
    clip = _marked(path)
    assert not clip.repeated.any()
    assert clip.capture_rate_hz == pytest.approx(hz)


def test_a_film_in_which_nothing_ever_moves_has_no_repeats(tmp_path: Path) -> None:
    path = tmp_path / "clip.mp4"
    still = _film(30)[:30]
    truth = _copied(path, still, 30, 60, _recipe(60, 60))
    assert truth.any()
    assert not _marked(path).repeated.any()


@pytest.mark.parametrize(("noise", "contrast"), [(8.0, 1.0), (2.0, 0.3)])
def test_noise_and_haze(tmp_path: Path, noise: float, contrast: float) -> None:
    copy, film = tmp_path / "copy.mp4", tmp_path / "film.mp4"
    pictures = _film(30, noise, contrast)
    truth = _copied(copy, pictures, 30, 60, _recipe(60, 120))
    clip = _marked(copy)
    assert not np.any(clip.repeated & ~truth)
    assert np.count_nonzero(truth & ~clip.repeated) <= 4
    write_clip(film, pictures, _recipe(30, 120))
    assert not _marked(film).repeated.any()


@pytest.mark.parametrize("mains_hz", [100, 120])
def test_lamps_that_flicker_are_no_repeats(tmp_path: Path, mains_hz: int) -> None:
    """At 240 Hz under mains light, bands wander down a rolling shutter and repeat with a period."""
    rows = np.arange(HEIGHT)[:, None, None] / HEIGHT / 260.0
    pictures = [
        (p * (1 + 0.15 * np.sin(2 * np.pi * mains_hz * (i / 240 + rows)))).clip(0, 255)
        for i, p in enumerate(_film(240)[240:560])
    ]
    path = tmp_path / "clip.mp4"
    write_clip(path, [p.astype(np.uint8) for p in pictures], _recipe(240, 800))
    assert not _marked(path).repeated.any()


def test_hevc_copies_and_a_pass_that_wants_every_fourth_frame(tmp_path: Path) -> None:
    path = tmp_path / "clip.mp4"
    truth = _copied(path, _film(30), 30, 60, _recipe(60, 100, "libx265"))
    clip = _marked(path, step=4)
    assert not np.any(clip.repeated & ~truth)
    assert np.count_nonzero(truth & ~clip.repeated) <= 2
    assert clip.damaged == 0


def test_frames_that_do_not_come_are_counted_as_damaged(
    tmp_path: Path, spoil: Callable[[Path], Path]
) -> None:
    path = spoil(tmp_path / "clip.mp4")
    clip = CLIPS.probe(path)
    assert clip.damaged == 0
    came = len(list(CLIPS.frames(path, clip, range(40))))
    assert _marked(path).damaged == 40 - came > 0


@pytest.fixture
def spoil() -> Callable[[Path], Path]:
    recipe = Recipe(options={"g": "10", "bf": "0"}, kbps=2000)
    return lambda path: blot(write_clip(path, numbered_pictures(40), recipe), 20)
