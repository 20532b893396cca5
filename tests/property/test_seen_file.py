"""What was seen, saved and loaded again, is the same record."""

from __future__ import annotations

import contextlib
import tempfile
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from causeline.errors import StoreError
from causeline.model.clip import Called, Clip, ScaleFrom
from causeline.model.club import ClubGuesses
from causeline.model.filming import PictureFacts
from causeline.model.moments import SwingWindow
from causeline.model.seen import (
    STEPS_PER_PX,
    Seen,
    SeenClub,
    SeenSwing,
    kept_guesses,
    kept_track,
)
from causeline.model.tracks import ENGINE_LANDMARKS, LandmarkTrack
from causeline.quantities.angle import Floats
from causeline.quantities.clock import Clock
from causeline.quantities.uncertain import Uncertain
from causeline.store.seen_file import load_seen, save_seen

MOST_BYTES = 100_000
"""Of a swing of 150 frames: a library of a thousand swings is then 100 MB."""


def _track(rng: np.random.Generator, frames: range, clock: Clock) -> LandmarkTrack:
    number, points = len(frames), len(ENGINE_LANDMARKS)
    xy = rng.uniform(-500, 4500, (number, points, 2))
    xy[rng.random(number) < 0.1] = np.nan
    at = np.array(frames, dtype=np.int64)
    return LandmarkTrack(at, clock.seconds[at], xy, rng.random((number, points)))


def _guesses(rng: np.random.Generator, most: int) -> ClubGuesses:
    k = int(rng.integers(0, most + 1))
    butt, hosel, head = rng.uniform(-500, 4500, (3, k, 2))
    return ClubGuesses(butt, hosel, head, rng.random(k), rng.random(k) < 0.5)


def _swing(rng: np.random.Generator, clock: Clock) -> SeenSwing:
    first, last = sorted(int(at) for at in rng.choice(len(clock), 2, replace=False))
    landmarks = _track(rng, range(first, last + 1), clock)
    guesses = tuple(_guesses(rng, 6) for _ in landmarks.frames)
    window = SwingWindow(first, last, rng.random(), float("nan"), 0.7, 0.2, 0.9, "the finish")
    struck = rng.random() < 0.5
    return SeenSwing(
        window=window,
        landmarks=landmarks,
        club=SeenClub(guesses, rng.random() < 0.5, 1080) if rng.random() < 0.8 else None,
        listened=struck,
        strike=Uncertain(rng.random(), 0.004) if struck else None,
        light=(PictureFacts(rng.random(), float("nan"), 0.0),),
    )


def _seen(seed: int, frames: int = 40, swings: int = 2) -> Seen:
    rng = np.random.default_rng(seed)
    stamps = np.cumsum(rng.integers(1, 900, frames))
    clock = Clock(stamps, Fraction(1, 90000), Fraction(int(rng.integers(1, 9)), 3))
    clip = Clip(
        name="swing – übung.mp4",
        sha256="ab" * 32,
        width=1080,
        height=1920,
        clock=clock,
        rotation_deg=90,
        codec="hevc",
        time_scale_from=ScaleFrom.INFERRED,
        repeated=rng.random(frames) < 0.1,
        damaged=2,
        has_audio=True,
    )
    return Seen(
        clip=clip,
        golfer=_track(rng, range(0, frames, 3), clock),
        view=Called("face-on", rng.random()),
        hand=Called("left", 1.0),
        swings=tuple(_swing(rng, clock) for _ in range(swings)),
        engine={"landmarks": "heavy 1"},
        capture_hz=240.0,
    )


def _there_and_back(seen: Seen) -> Seen:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "swing.npz"
        save_seen(seen=seen, path=path)
        return load_seen(path)


def _same_track(one: LandmarkTrack, other: LandmarkTrack) -> None:
    kept = kept_track(one)
    np.testing.assert_array_equal(other.frames, one.frames)
    np.testing.assert_array_equal(other.time_s, one.time_s)
    np.testing.assert_array_equal(other.xy, kept.xy)
    np.testing.assert_array_equal(other.confidence, kept.confidence)
    np.testing.assert_allclose(other.xy, one.xy, atol=0.5 / STEPS_PER_PX)


def _same_club(one: SeenClub | None, other: SeenClub | None) -> None:
    if one is None or other is None:
        assert one is other
        return
    assert (other.mirrored, other.width) == (one.mirrored, one.width)
    for before, after in zip(one.guesses, other.guesses, strict=True):
        kept = kept_guesses(before)
        for name in ("butt", "hosel", "head", "score", "tip_seen"):
            np.testing.assert_array_equal(getattr(after, name), getattr(kept, name))


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_what_is_loaded_is_what_was_saved(seed: int) -> None:
    seen = _seen(seed)
    again = _there_and_back(seen)
    for name in ("name", "sha256", "width", "height", "rotation_deg", "codec", "time_scale_from"):
        assert getattr(again.clip, name) == getattr(seen.clip, name)
    assert (again.clip.damaged, again.clip.mended, again.clip.has_audio) == (2, 0, True)
    np.testing.assert_array_equal(again.clip.repeated, seen.clip.repeated)
    np.testing.assert_array_equal(again.clip.clock.seconds, seen.clip.clock.seconds)
    assert (again.view, again.hand, again.engine) == (seen.view, seen.hand, seen.engine)
    assert again.capture_hz == seen.capture_hz
    _same_track(seen.golfer, again.golfer)
    for one, other in zip(seen.swings, again.swings, strict=True):
        assert repr(other.window) == repr(one.window)
        assert (other.listened, other.strike, other.struck) == (
            one.listened,
            one.strike,
            one.struck,
        )
        assert repr(other.light) == repr(one.light)
        _same_track(one.landmarks, other.landmarks)
        _same_club(one.club, other.club)


@given(seed=st.integers(0, 10**6))
@settings(max_examples=10, deadline=None)
def test_guesses_mirrored_twice_are_where_they_were(seed: int) -> None:
    clubs = (swing.club for swing in _seen(seed).swings)
    for club in filter(None, clubs):
        back = club.turned(not club.mirrored).turned(club.mirrored)
        for one, other in zip(club.guesses, back.guesses, strict=True):
            np.testing.assert_allclose(other.head, one.head, atol=1e-9)
        assert club.turned(club.mirrored) is club


def test_the_same_record_is_the_same_file(tmp_path: Path) -> None:
    for name in ("one", "two"):
        save_seen(tmp_path / name, _seen(5))
    assert (tmp_path / "one").read_bytes() == (tmp_path / "two").read_bytes()


def test_a_swing_of_150_frames_is_small(tmp_path: Path) -> None:
    path = tmp_path / "swing"
    save_seen(path, _smooth(150))
    assert path.stat().st_size < MOST_BYTES


def _smooth(frames: int) -> Seen:
    """A swing whose numbers are like a real one's: they move a little from frame to frame."""
    rng = np.random.default_rng(1)
    seen = _seen(1, frames, swings=0)
    at = np.arange(frames)
    base = rng.uniform(0, 1000, (1, len(ENGINE_LANDMARKS), 2))
    xy: Floats = base + np.cumsum(rng.normal(0, 3, (frames, *base.shape[1:])), axis=0)
    sure = rng.random((frames, xy.shape[1]))
    landmarks = LandmarkTrack(at, seen.clip.clock.seconds, xy, sure)
    club = SeenClub(tuple(_guesses(rng, 6) for _ in at), False, 1080)
    window = SwingWindow(0, frames - 1, 1.0, 1.3, 0.7, 0.2, 0.9)
    swing = SeenSwing(window, landmarks, club)
    return Seen(seen.clip, seen.golfer, seen.view, seen.hand, (swing,), {})


@pytest.mark.parametrize("content", [b"", b"not a file of ours", b"PK\x03\x04 cut short"])
def test_what_is_no_such_file_is_told(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "swing.npz"
    path.write_bytes(content)
    with pytest.raises(StoreError, match="the clip again"):
        load_seen(path)


@settings(max_examples=40, deadline=None)
@given(at=st.floats(0, 1), cut=st.booleans())
def test_a_damaged_file_is_told_or_unharmed(at: float, cut: bool) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "swing.npz"
        save_seen(path, _seen(2, 12, 1))
        content = bytearray(path.read_bytes())
        place = int(at * (len(content) - 1))
        if cut:
            del content[place:]
        else:
            content[place] ^= 0x55
        path.write_bytes(content)
        with contextlib.suppress(StoreError):
            assert load_seen(path).swings


def test_another_version_and_no_file_are_told(tmp_path: Path) -> None:
    path = tmp_path / "swing.npz"
    np.savez(path, header=np.frombuffer(b'{"schema": "causeline.seen/9"}', dtype=np.uint8))
    with pytest.raises(StoreError, match="seen/9"):
        load_seen(path)
    with pytest.raises(StoreError, match="none"):
        load_seen(tmp_path / "none.npz")
