"""The search with five numbers at a time; answers worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.moments.finder import Kind, find_instant

NAN = float("nan")


def _found(kind: Kind, *values: float) -> float | None:
    instant = find_instant(np.arange(float(len(values))), np.array(values, float), kind)
    return None if instant is None else instant.time_s


@pytest.mark.parametrize(
    ("values", "time_s"),
    [
        ((-1, -1, 1, 1, 1), 1.5),
        ((-3, -1, 3, 1, -1), 1.25),
        ((-1, 0, 0, 1, 2), 1.0),
        ((-1, 1, -1, 1, 1), 0.5),
        ((-2, NAN, NAN, 1, 2), 2.0),
    ],
    ids=["between", "by the slope", "plateau on zero", "the first of two", "across a gap"],
)
def test_a_rise_is_where_the_line_crosses_zero(values: tuple[float, ...], time_s: float) -> None:
    assert _found(Kind.RISES, *values) == pytest.approx(time_s)


@pytest.mark.parametrize("values", [(1, 2, 3, 2, 1), (0, 1, 2, 3, 4), (-3, -2, -1, -2, -3)])
def test_what_begins_beyond_zero_or_never_reaches_it_does_not_rise(
    values: tuple[float, ...],
) -> None:
    assert _found(Kind.RISES, *values) is None


def test_falls_are_rises_upside_down() -> None:
    assert _found(Kind.FALLS, 3, 1, -3, -1, 1) == pytest.approx(1.25)


@pytest.mark.parametrize(
    ("kind", "values", "time_s"),
    [
        (Kind.STIRS, (-1, 1, -1, 1, 1), 2.5),
        (Kind.STIRS, (-1, 1, 1, 1, -1), None),
        (Kind.SETTLES, (1, -1, 3, -1, -1), 2.75),
        (Kind.SETTLES, (1, -1, -1, -1, 1), None),
    ],
)
def test_the_last_crossing_counts_only_when_it_lasts(
    kind: Kind, values: tuple[float, ...], time_s: float | None
) -> None:
    found = _found(kind, *values)
    assert found == (None if time_s is None else pytest.approx(time_s))


@pytest.mark.parametrize(
    ("values", "time_s"),
    [
        ((0, 1, 4, 1, 0), 2.0),
        ((0, 3, 4, 3, 0), 2.0),
        ((0, 0, 4, 2, 0), 2.0 + 1.0 / 6.0),
        ((0, 2, 2, 2, 0), 2.0),
        ((0, 1, 2, 2, 0), 2.5),
        ((0, 3, 0, 3, 0), 1.0),
    ],
    ids=["even", "blunt", "leaning", "plateau", "plateau to one side", "the first of two"],
)
def test_a_peak_is_the_vertex_or_the_middle_of_a_plateau(
    values: tuple[float, ...], time_s: float
) -> None:
    assert _found(Kind.PEAKS, *values) == pytest.approx(time_s)


@pytest.mark.parametrize(
    "values", [(4, 3, 2, 1, 0), (0, 1, 2, 3, 4), (3, 3, 2, 1, 0), (0, 1, 2, 3, 3), (1, 1, 1, 1, 1)]
)
def test_a_peak_at_the_edge_is_not_reported(values: tuple[float, ...]) -> None:
    assert _found(Kind.PEAKS, *values) is None


def test_a_peak_of_uneven_times_is_the_true_vertex() -> None:
    time_s = np.array([0.0, 0.1, 0.4, 0.5, 0.9])
    instant = find_instant(time_s, -((time_s - 0.37) ** 2), Kind.PEAKS)
    assert instant is not None
    assert instant.time_s == pytest.approx(0.37)


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("values", [(), (1.0,), (NAN, NAN, NAN)])
def test_too_little_gives_nothing(kind: Kind, values: tuple[float, ...]) -> None:
    assert _found(kind, *values) is None


def test_doubt_is_noise_over_slope() -> None:
    """A signal that rises by 2 a second, wrong by 0.1, crosses 0.05 s off."""
    instant = find_instant(np.arange(5.0), np.array([-4.0, -2.0, 0.5, 2.0, 4.0]), Kind.RISES)
    assert instant is not None
    assert 0.1 * instant.doubt_s == pytest.approx(0.04)


def test_a_blunt_peak_is_more_doubtful_than_a_sharp_one() -> None:
    time_s = np.arange(5.0)
    blunt = find_instant(time_s, np.array([0, 3, 4, 3, 0.0]), Kind.PEAKS)
    sharp = find_instant(time_s, np.array([0, 1, 4, 1, 0.0]), Kind.PEAKS)
    assert blunt is not None
    assert sharp is not None
    assert blunt.doubt_s == pytest.approx(3 * sharp.doubt_s)
