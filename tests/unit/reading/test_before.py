"""Followed back: to where he was before he was told from the others, and no further."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.model.tracks import LandmarkTrack
from causeline.quantities.angle import Floats
from causeline.reading.before import run_before
from tests.unit.reading.test_follow import _coarse, _engine, _footage, _golfer

FRAMES = 60


def _late(first: int) -> LandmarkTrack:
    """The golfer's track as the first pass has it, without its first answers."""
    (track,) = _coarse(_footage(FRAMES), lambda frame: [_golfer(frame)])
    xy, confidence = track.xy.copy(), track.confidence.copy()
    xy[:first], confidence[:first] = np.nan, 0.0
    return replace(track, xy=xy, confidence=confidence)


@pytest.mark.parametrize("first", [1, 7, 20])
def test_what_was_missed_before_he_was_found_is_filled_in(first: int) -> None:
    (whole,) = _coarse(_footage(FRAMES), lambda frame: [_golfer(frame)])
    engine = _engine(lambda frame: [_golfer(frame)])
    again = run_before(_footage(FRAMES), engine, _late(first))
    np.testing.assert_allclose(again.xy, whole.xy, atol=1.5)
    assert (again.confidence[:first] > 0).all()


def test_nobody_is_followed_past_where_he_came_into_the_picture() -> None:
    def script(frame: int) -> list[Floats | None]:
        return [_golfer(frame) if frame >= 20 else None]

    late = _late(15)
    again = run_before(_footage(FRAMES), _engine(script), late)
    came = int(np.searchsorted(late.frames, 20))
    assert np.isnan(again.xy[:came]).all()
    assert np.isfinite(again.xy[came:]).all()


def test_somebody_else_at_another_place_is_not_him() -> None:
    def script(frame: int) -> list[Floats | None]:
        return [_golfer(frame) if frame >= 20 else _golfer(frame) + 400.0]

    late = _late(15)
    again = run_before(_footage(FRAMES), _engine(script), late)
    assert np.isnan(again.xy[: int(np.searchsorted(late.frames, 20))]).all()


def test_a_track_that_is_whole_or_empty_stays_as_it_is() -> None:
    engine = _engine(lambda frame: [_golfer(frame)])
    for first in (0, FRAMES):
        late = _late(first)
        assert run_before(_footage(FRAMES), engine, late) is late
