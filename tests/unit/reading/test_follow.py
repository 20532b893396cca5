"""Both passes over clips made of numbered pictures, with an engine that knows where people are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from causeline.model.clip import Clip
from causeline.model.tracks import LandmarkTrack
from causeline.quantities.angle import Floats
from causeline.quantities.clock import Clock
from causeline.reading.follow import DensePass, Footage, coarse_frames, run_coarse, run_dense
from causeline.sources.fake_clips import FakeClips
from causeline.sources.fake_engine import FakeEngine, Script, numbered_picture
from tests.stickman import standing

WIDTH, HEIGHT = 400, 300
PATH = Path("made up.mp4")
WITHIN_PX = 1e-6
"""Nothing but rounding stands between the script and the track."""


def _golfer(frame: int) -> Floats:
    """Sways by a tenth of the stature."""
    return standing(200 + 10 * np.sin(frame / 9), 160, 150)


def _quiet(stage: str, done: int, total: int) -> None:
    """Report nothing."""


def _footage(
    frames: int = 60, rate: int = 30, undecodable: frozenset[int] = frozenset()
) -> Footage:
    pictures = [numbered_picture(number, WIDTH, HEIGHT) for number in range(frames)]
    clock = Clock(np.arange(frames, dtype=np.int64), Fraction(1, rate))
    source = FakeClips(pictures, clock, undecodable=undecodable)
    return Footage(source, PATH, source.probe(PATH))


def _engine(script: Script) -> FakeEngine:
    return FakeEngine(script, WIDTH)


def _repeating(footage: Footage, repeated: Sequence[int]) -> Footage:
    marks = np.isin(np.arange(len(footage.clip.clock)), repeated)
    return replace(footage, clip=replace(footage.clip, repeated=marks))


def _coarse(footage: Footage, script: Script) -> tuple[LandmarkTrack, ...]:
    return run_coarse(footage, _engine(script), _quiet)


class _Watch:
    def __init__(self) -> None:
        self.seen: list[int] = []

    def spares(self, index: int) -> bool:
        return False

    def pass_over(self, frames: range) -> None:
        raise AssertionError(f"{frames} were passed over")

    def see(self, index: int, grey: NDArray[np.uint8]) -> None:
        self.seen.append(index)


@pytest.mark.parametrize(
    ("rate", "scale", "step"),
    [(30, 1, 2), (60, 1, 4), (25, 1, 2), (30, 8, 16), (240, 1, 16), (8, 1, 1)],
)
def test_the_first_pass_looks_about_fifteen_times_a_second(
    rate: int, scale: int, step: int
) -> None:
    clip = _footage(100, rate).clip
    clip = replace(clip, clock=clip.clock.scaled(Fraction(scale)))
    assert coarse_frames(clip) == range(0, 100, step)


def test_a_clip_of_one_frame_is_looked_at_once() -> None:
    (track,) = _coarse(_footage(1), lambda frame: [_golfer(frame)])
    assert track.frames.tolist() == [0]


def test_the_first_pass_finds_the_golfer_in_each_look() -> None:
    (track,) = _coarse(_footage(), lambda frame: [_golfer(frame)])
    assert track.frames.tolist() == list(range(0, 60, 2))
    np.testing.assert_allclose(track.time_s, track.frames / 30)
    np.testing.assert_allclose(track.xy, [_golfer(f) for f in track.frames], atol=WITHIN_PX)
    assert (track.confidence == 1).all()


def test_coordinates_are_the_clip_s_own_although_pictures_are_decoded_smaller() -> None:
    pictures = [numbered_picture(number, 1280, 960) for number in range(10)]
    source = FakeClips(pictures)
    footage = Footage(source, PATH, source.probe(PATH))
    engine = FakeEngine(lambda _: [standing(700, 500, 500)], width=1280)
    (coarse,) = run_coarse(footage, engine, _quiet)
    dense = run_dense(DensePass.over(footage, range(10), coarse), engine, _quiet)
    for track in (coarse, dense):
        np.testing.assert_allclose(track.xy[0], standing(700, 500, 500), atol=WITHIN_PX)


def test_the_watch_sees_every_frame_up_to_the_last() -> None:
    watch = _Watch()
    run_coarse(_footage(60), _engine(lambda frame: [_golfer(frame)]), _quiet, watch)
    assert watch.seen == list(range(60))


def test_progress_rises_to_the_whole() -> None:
    told: list[tuple[str, int, int]] = []
    footage, script = _footage(21), lambda frame: [_golfer(frame)]
    (track,) = run_coarse(footage, _engine(script), lambda *told_of: told.append(told_of))
    run_dense(
        DensePass.over(footage, range(5, 15), track), _engine(script), lambda *of: told.append(of)
    )
    assert told[10] == ("looking for the golfer", 21, 21)
    assert told[-1] == ("following the golfer", 10, 10)
    assert [done for _, done, _ in told[11:]] == list(range(1, 11))


def test_nobody_gives_no_track() -> None:
    assert _coarse(_footage(), lambda _: []) == ()


def test_two_people_are_two_tracks_of_the_same_frames() -> None:
    def script(frame: int) -> list[Floats | None]:
        return [standing(320, 170, 140) if frame >= 20 else None, _golfer(frame)]

    golfer, other = _coarse(_footage(90), script)
    np.testing.assert_array_equal(golfer.frames, other.frames)
    np.testing.assert_allclose(golfer.xy[0], _golfer(0), atol=WITHIN_PX)
    assert np.isfinite(golfer.xy).all()
    # Somebody new is seen at the next search, two seconds at most after coming.
    first = int(other.frames[np.isfinite(other.xy[:, 0, 0])][0])
    assert first == 60
    np.testing.assert_allclose(other.xy[-1], standing(320, 170, 140), atol=WITHIN_PX)
    assert np.isnan(other.xy[0]).all()
    assert not other.confidence[0].any()


def test_a_golfer_lost_for_a_moment_keeps_one_track() -> None:
    (track,) = _coarse(_footage(), lambda f: [None if 20 <= f < 30 else _golfer(f)])
    lost = np.isnan(track.xy[:, 0, 0])
    np.testing.assert_array_equal(lost, (track.frames >= 20) & (track.frames < 30))


def test_a_golfer_who_jumps_by_a_body_s_width_is_found_again() -> None:
    def script(frame: int) -> list[Floats | None]:
        if 20 <= frame < 24:
            return [None]
        return [standing(200 if frame < 20 else 228, 160, 150)]

    (track,) = _coarse(_footage(), script)
    np.testing.assert_allclose(track.xy[-1], standing(228, 160, 150), atol=WITHIN_PX)


def test_frames_that_repeat_or_do_not_decode_are_not_looked_at() -> None:
    footage = _repeating(_footage(20, undecodable=frozenset([6])), [4, 5, 11])
    engine = _engine(lambda frame: [_golfer(frame)])
    (track,) = run_coarse(footage, engine, _quiet)
    assert track.frames.tolist() == [0, 2, 8, 10, 12, 14, 16, 18]
    engine.looked.clear()
    dense = run_dense(DensePass.over(footage, range(3, 13), track), engine, _quiet)
    assert sorted(set(engine.looked)) == [3, 7, 8, 9, 10, 12]
    assert dense.frames.tolist() == list(range(3, 13))
    missing = np.isnan(dense.xy).all(axis=(1, 2))
    assert dense.frames[missing].tolist() == [4, 5, 6, 11]
    np.testing.assert_allclose(dense.time_s, dense.frames / 30)


def test_the_second_pass_reads_every_frame_once() -> None:
    footage, engine = _footage(), _engine(lambda frame: [_golfer(frame)])
    (track,) = run_coarse(footage, engine, _quiet)
    engine.looked.clear()
    engine.searched.clear()
    dense = run_dense(DensePass.over(footage, range(10, 50), track), engine, _quiet)
    assert engine.looked == list(range(10, 50))
    assert engine.searched == []
    np.testing.assert_allclose(dense.xy, [_golfer(f) for f in range(10, 50)], atol=WITHIN_PX)


def test_the_second_pass_stays_with_the_golfer_when_somebody_else_is_near() -> None:
    def script(frame: int) -> list[Floats | None]:
        return [standing(265, 165, 160), _golfer(frame)]

    footage = _footage()
    golfer = next(t for t in _coarse(footage, script) if t.xy[0, 0, 0] < 230)
    dense = run_dense(DensePass.over(footage, range(60), golfer), _engine(script), _quiet)
    np.testing.assert_allclose(dense.xy, [_golfer(f) for f in range(60)], atol=WITHIN_PX)


def test_a_golfer_who_has_left_the_expected_place_is_missing_not_guessed() -> None:
    footage = _footage()
    (track,) = _coarse(footage, lambda frame: [_golfer(frame)])
    gone = _engine(lambda f: [standing(60, 160, 150) if 30 <= f < 33 else _golfer(f)])
    dense = run_dense(DensePass.over(footage, range(60), track), gone, _quiet)
    missing = np.isnan(dense.xy).all(axis=(1, 2))
    assert dense.frames[missing].tolist() == [30, 31, 32]


def test_a_region_that_misses_is_moved_to_the_person_and_read_again() -> None:
    footage = _footage()
    (track,) = _coarse(footage, lambda frame: [_golfer(frame)])
    moved = _engine(lambda f: [standing(255, 160, 150) if f == 30 else _golfer(f)])
    dense = run_dense(DensePass.over(footage, range(60), track), moved, _quiet)
    assert moved.looked.count(30) == 2
    np.testing.assert_allclose(dense.xy[30], standing(255, 160, 150), atol=WITHIN_PX)


def test_a_track_without_landmarks_is_refused(empty: LandmarkTrack) -> None:
    with pytest.raises(ValueError, match="without landmarks"):
        DensePass.over(_footage(), range(5), empty)


@pytest.fixture
def empty() -> LandmarkTrack:
    return LandmarkTrack(
        np.arange(3), np.arange(3) / 30, np.full((3, 33, 2), np.nan), np.zeros((3, 33))
    )


def test_the_clip_is_not_changed() -> None:
    footage = _footage(10)
    before: Clip = footage.clip
    _coarse(footage, lambda frame: [_golfer(frame)])
    assert footage.clip is before
