from __future__ import annotations

import numpy as np
import pytest

from causeline.render.plot import Span, render_band, render_line, render_ticks

TIME = Span(0.0, 1.0)
UNIT = Span(0.0, 10.0)


@pytest.mark.parametrize(
    ("low", "high", "unit", "labels"),
    [
        (0.0, 8.0, "", ["0", "2", "4", "6", "8"]),
        (-0.3, 0.3, "", ["−0.4", "−0.2", "0.0", "0.2", "0.4"]),
        (-90.0, 90.0, "°", ["−90", "−45", "0", "45", "90"]),
        (-20.0, 62.0, "°", ["−30", "0", "30", "60"]),
        (0.0, 1.1, "", ["0.0", "0.5", "1.0", "1.5"]),
        (0.0, 1.04, "", ["0.0", "0.5", "1.0"]),  # passes the last mark by less than OVERSHOOT
    ],
)
def test_ticks_are_round_numbers(low: float, high: float, unit: str, labels: list[str]) -> None:
    _, ticks = render_ticks(low, high, unit)
    assert [tick.label for tick in ticks] == labels


def test_ticks_stand_where_their_numbers_are() -> None:
    span, ticks = render_ticks(-0.3, 0.3)
    assert (span.low, span.high) == pytest.approx((-0.4, 0.4))
    assert [tick.at for tick in ticks] == pytest.approx([0, 25, 50, 75, 100])


def test_a_flat_curve_still_has_an_axis() -> None:
    span, ticks = render_ticks(2.0, 2.0)
    assert span.low < 2.0 < span.high
    assert len(ticks) >= 2


def test_a_line_runs_left_to_right_and_up_the_page() -> None:
    path = render_line(TIME, UNIT, np.array([0.0, 0.5, 1.0]), np.array([0.0, 5.0, 10.0]))
    assert path == "M0.0 1000.0L500.0 500.0L1000.0 0.0"


def test_a_line_breaks_at_nan_and_at_missing_frames() -> None:
    at = np.arange(10) / 10
    holed = np.where(np.arange(10) == 4, np.nan, 1.0)
    assert render_line(TIME, UNIT, at, holed).count("M") == 2
    gap = np.array([0.0, 0.1, 0.2, 0.7, 0.8])
    assert render_line(TIME, UNIT, gap, np.ones(5)).count("M") == 2


def test_nothing_is_drawn_from_nothing() -> None:
    assert render_line(TIME, UNIT, np.arange(3.0), np.full(3, np.nan)) == ""
    assert render_band(TIME, UNIT, np.arange(3.0), np.full(3, np.nan), np.ones(3)) == ""


def test_a_band_goes_out_above_and_back_below() -> None:
    path = render_band(TIME, UNIT, np.array([0.0, 1.0]), np.array([5.0, 5.0]), np.ones(2))
    assert path == "M0.0 400.0L1000.0 400.0L1000.0 600.0L0.0 600.0Z"


def test_a_band_ends_where_the_axis_ends() -> None:
    """A speed of 0 ± 1 does not reach down into the words below."""
    at, values = np.array([0.0, 1.0]), np.array([0.0, 9.5])
    path = render_band(Span(0, 1), Span(0, 10), at, values, np.array([1.0, 1.0]))
    assert path == "M0.0 900.0L1000.0 0.0L1000.0 150.0L0.0 1000.0Z"


def test_many_points_are_thinned_but_both_ends_stay() -> None:
    at = np.linspace(0, 1, 5000)
    path = render_line(TIME, UNIT, at, 10 * at)
    assert path.count("L") < 500
    assert path.startswith("M0.0 1000.0")
    assert path.endswith("L1000.0 0.0")
