"""How many file seconds make one real second."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.errors import SettingError
from causeline.model.clip import Clip, ScaleFrom
from causeline.quantities.clock import Clock
from causeline.sources.timescale import (
    CAPTURE_KEY,
    INTENT_KEY,
    decode_ratio,
    decode_time_scale,
    with_capture_rate,
)

CONTAINER, REAL = ScaleFrom.CONTAINER, ScaleFrom.REAL_TIME


def _clip(file_hz: int = 30, repeats: int = 1, count: int = 120) -> Clip:
    stamps = np.arange(count, dtype=np.int64)
    return Clip(
        name="swing.mp4",
        sha256="0" * 64,
        width=4,
        height=4,
        clock=Clock(stamps, Fraction(1, file_hz)),
        rotation_deg=0,
        codec="h264",
        time_scale_from=REAL,
        repeated=stamps % repeats != 0,
    )


@pytest.mark.parametrize(
    ("tags", "file_hz", "scale", "found"),
    [
        ({}, 30.0, 1, REAL),
        ({}, 240.0, 1, REAL),
        ({CAPTURE_KEY: "240.000000"}, 30.0, 8, CONTAINER),
        ({CAPTURE_KEY: "240"}, 29.97, 8, CONTAINER),
        ({CAPTURE_KEY: "240.000000"}, 240.0, 1, CONTAINER),
        ({CAPTURE_KEY: "30.000000"}, 24.1, 1, CONTAINER),
        ({CAPTURE_KEY: "120"}, 50.0, Fraction(12, 5), CONTAINER),
        ({CAPTURE_KEY: "2"}, 30.0, Fraction(1, 15), CONTAINER),
        ({CAPTURE_KEY: "nonsense"}, 30.0, 1, REAL),
        ({CAPTURE_KEY: "0"}, 30.0, 1, REAL),
        ({CAPTURE_KEY: "inf"}, 30.0, 1, REAL),
        ({CAPTURE_KEY: "1e9"}, 30.0, 1, REAL),
        ({CAPTURE_KEY: "240"}, float("nan"), 1, REAL),
        ({INTENT_KEY: "0"}, 239.9, 1, CONTAINER),
        ({INTENT_KEY: "1"}, 239.9, 1, CONTAINER),
        ({INTENT_KEY: "0"}, 30.0, 1, REAL),
    ],
)
def test_by_hand(
    tags: dict[str, str], file_hz: float, scale: Fraction | int, found: ScaleFrom
) -> None:
    assert decode_time_scale(tags, file_hz) == (Fraction(scale), found)


def test_a_track_slowed_by_its_edit_list_is_real_time_underneath() -> None:
    assert decode_time_scale({}, 240.0, slowed_by_edits=True) == (Fraction(1), CONTAINER)


@given(st.sampled_from([24, 25, 30, 50, 60]), st.integers(2, 16), st.floats(-0.02, 0.02))
def test_whole_ratios_are_found_through_small_errors(play: int, times: int, off: float) -> None:
    assert decode_ratio(play * times, play * (1 + off)) == times
    assert decode_ratio(play * (1 + off), play * times) == Fraction(1, times)


@pytest.mark.parametrize(
    ("hz", "scale"), [(240, 8), (30, 1), (29.97, 1), (120, 4), (960, 32), (100, Fraction(10, 3))]
)
def test_a_given_rate_sets_the_scale(hz: float, scale: Fraction) -> None:
    clip = with_capture_rate(_clip(), hz)
    assert clip.clock.time_scale == scale
    assert clip.time_scale_from is ScaleFrom.GIVEN
    assert clip.capture_rate_hz == pytest.approx(30.0 * float(scale))


def test_a_given_rate_overrides_the_container_and_may_be_given_again() -> None:
    clip = _clip()
    slow = replace(clip, clock=clip.clock.scaled(Fraction(4)), time_scale_from=CONTAINER)
    assert with_capture_rate(slow, 240).clock.time_scale == 8
    assert with_capture_rate(with_capture_rate(slow, 240), 240).clock.time_scale == 8
    assert with_capture_rate(slow, 30).clock.time_scale == 1


def test_repeated_frames_were_not_filmed() -> None:
    """240 Hz played at 30, then each picture written twice: still eight times slower."""
    assert with_capture_rate(_clip(60, repeats=2), 240).clock.time_scale == 8


@pytest.mark.parametrize("hz", [26.9, 2000.1, 0.0, -30.0, float("nan"), float("inf")])
def test_a_rate_out_of_range_is_refused(hz: float) -> None:
    with pytest.raises(SettingError, match=r"Between 27 .* and 2000 is expected"):
        with_capture_rate(_clip(), hz)
