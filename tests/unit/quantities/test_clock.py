"""Stamps to seconds: by hand, and as properties of any clock."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.quantities.clock import Clock

GAPS = st.lists(st.integers(1, 10_000), max_size=40)
BASES = st.fractions(Fraction(1, 90_000), Fraction(1, 1), max_denominator=90_000)
SCALES = st.fractions(Fraction(1, 8), Fraction(32), max_denominator=8)


@st.composite
def clocks(draw: st.DrawFn) -> Clock:
    first = draw(st.integers(-(10**9), 10**9))
    stamps = np.cumsum([first, *draw(GAPS)], dtype=np.int64)
    return Clock(stamps, draw(BASES), draw(SCALES))


def _steady(hz: Fraction | int, count: int = 60, scale: int = 1) -> Clock:
    return Clock(np.arange(count, dtype=np.int64), 1 / Fraction(hz), Fraction(scale))


class TestByHand:
    def test_a_240_hz_capture_played_at_30(self) -> None:
        clock = _steady(30, 241, scale=8)
        assert clock.seconds[-1] == 1.0
        assert clock.rate_hz == pytest.approx(240.0)
        assert clock.file_rate_hz == pytest.approx(30.0)
        assert clock.duration_s == pytest.approx(241 / 240)

    def test_ntsc_rates_are_exact(self) -> None:
        clock = Clock(np.arange(0, 30001 * 1001, 1001), Fraction(1, 30000))
        assert clock.seconds[30000] == 1001.0
        assert clock.rate_hz == pytest.approx(30000 / 1001)

    def test_seconds_count_from_the_first_frame(self) -> None:
        clock = Clock(np.array([-512, 0, 1024]), Fraction(1, 1024))
        assert clock.seconds.tolist() == [0.0, 0.5, 1.5]
        assert clock.at_stamps(np.array([-1024, 512])).tolist() == [-0.5, 1.0]

    def test_a_time_base_of_milliseconds_rounds_240_hz(self) -> None:
        """WebM: 4, 4, 5 ms are one constant rate, and no variable clip."""
        stamps = np.rint(np.arange(240) * 1000 / 240).astype(np.int64)
        clock = Clock(stamps, Fraction(1, 1000))
        assert clock.rate_hz == pytest.approx(240.0, rel=0.002)
        assert not clock.variable

    def test_a_dropped_frame_makes_a_clip_variable_and_leaves_its_rate(self) -> None:
        stamps = np.array([0, 10, 20, 40, 50, 60])
        clock = Clock(stamps, Fraction(1, 300))
        assert clock.variable
        assert clock.rate_hz == pytest.approx(30.0)
        assert clock.duration_s == pytest.approx(70 / 300)

    def test_the_earlier_of_two_equally_near_frames(self) -> None:
        clock = _steady(10)
        assert [clock.frame_nearest(s) for s in (-5.0, 0.04, 0.05, 0.06, 99.0)] == [0, 0, 0, 1, 59]

    def test_a_single_frame(self) -> None:
        clock = Clock(np.array([77]), Fraction(1, 30))
        assert (len(clock), clock.seconds.tolist(), clock.duration_s) == (1, [0.0], 0.0)
        assert np.isnan(clock.frame_interval_s)
        assert np.isnan(clock.rate_hz)
        assert not clock.variable

    @pytest.mark.parametrize("stamps", [[], [0, 0], [1, 0], [[0, 1]]])
    def test_stamps_that_do_not_rise_are_refused(self, stamps: list[int]) -> None:
        with pytest.raises(ValueError, match="strictly increasing"):
            Clock(np.array(stamps, dtype=np.int64), Fraction(1, 30))

    @pytest.mark.parametrize(("base", "scale"), [(0, 1), (-1, 1), (1, 0), (1, -8)])
    def test_a_base_or_scale_of_nothing_is_refused(self, base: int, scale: int) -> None:
        with pytest.raises(ValueError, match="above 0"):
            Clock(np.array([0, 1]), Fraction(base), Fraction(scale))

    def test_stamps_cannot_be_changed_afterwards(self) -> None:
        stamps = np.array([0, 1, 2])
        clock = Clock(stamps, Fraction(1, 30))
        stamps[0] = -9
        assert clock.stamps.tolist() == [0, 1, 2]
        with pytest.raises(ValueError, match="read-only"):
            clock.stamps[0] = 5


class TestProperties:
    @given(clocks())
    def test_seconds_begin_at_zero_and_rise(self, clock: Clock) -> None:
        assert clock.seconds[0] == 0.0
        assert np.all(np.diff(clock.seconds) > 0)

    @given(clocks())
    def test_seconds_are_the_exact_fractions(self, clock: Clock) -> None:
        """Outside reference: rational arithmetic. One rounding of a double each way: 1e-15."""
        step = clock.time_base / clock.time_scale
        exact = [float((int(s) - int(clock.stamps[0])) * step) for s in clock.stamps]
        assert clock.seconds == pytest.approx(exact, rel=1e-14, abs=0)

    @given(clocks(), st.integers(-(10**9), 10**9))
    def test_a_later_start_changes_nothing(self, clock: Clock, shift: int) -> None:
        moved = Clock(clock.stamps + shift, clock.time_base, clock.time_scale)
        assert np.array_equal(moved.seconds, clock.seconds)

    @given(clocks(), st.integers(2, 50))
    def test_a_finer_time_base_changes_nothing(self, clock: Clock, times: int) -> None:
        finer = Clock(clock.stamps * times, clock.time_base / times, clock.time_scale)
        assert finer.seconds == pytest.approx(clock.seconds, rel=1e-14)

    @given(clocks(), SCALES)
    def test_scaling_divides_times_and_leaves_the_file(self, clock: Clock, scale: Fraction) -> None:
        scaled = clock.scaled(scale)
        ratio = float(clock.time_scale / scale)
        assert scaled.seconds == pytest.approx(clock.seconds * ratio, rel=1e-12)
        assert scaled.file_rate_hz == pytest.approx(clock.file_rate_hz, rel=1e-12, nan_ok=True)
        assert scaled.variable == clock.variable

    @given(clocks(), st.data())
    def test_every_frame_is_nearest_to_its_own_time(
        self, clock: Clock, data: st.DataObject
    ) -> None:
        frame = data.draw(st.integers(0, len(clock) - 1))
        assert clock.frame_nearest(float(clock.seconds[frame])) == frame

    @given(clocks(), st.floats(-1e6, 1e6))
    def test_no_frame_is_nearer_than_the_nearest(self, clock: Clock, seconds: float) -> None:
        away = np.abs(clock.seconds - seconds)
        assert away[clock.frame_nearest(seconds)] == away.min()

    @given(st.integers(1, 1000), st.integers(2, 100), st.integers(1, 8))
    def test_a_steady_clock_has_its_rate(self, hz: int, count: int, scale: int) -> None:
        clock = _steady(hz, count, scale)
        assert clock.rate_hz == pytest.approx(hz * scale, rel=1e-12)
        assert clock.duration_s == pytest.approx(count / (hz * scale), rel=1e-12)
        assert not clock.variable

    @given(clocks())
    def test_the_usual_interval_lies_among_the_intervals(self, clock: Clock) -> None:
        if len(clock) > 1:
            gaps = np.diff(clock.seconds)
            assert gaps.min() * (1 - 1e-12) <= clock.frame_interval_s <= gaps.max() * (1 + 1e-12)
