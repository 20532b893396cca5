from __future__ import annotations

import math

import pytest

from causeline.lesson.step import compose_target


@pytest.mark.parametrize(
    ("now", "detectable", "target"),
    [
        (50.0, 4.0, 40.0),
        (50.0, 12.0, 38.0),
        (0.0, 4.0, 10.0),
        (31.0, 4.0, 30.0),
        (25.0, 4.0, None),
        (20.0, 4.0, None),
        (18.0, 12.0, 20.0),
    ],
)
def test_a_step_towards_the_band_of_20_to_30(
    now: float, detectable: float, target: float | None
) -> None:
    assert compose_target(now, 20.0, 30.0, detectable) == target


def test_an_open_end_is_never_asked_for() -> None:
    assert compose_target(-9.0, -5.8, math.inf, 20.0) == -5.8
    assert compose_target(12.0, -math.inf, 4.0, 1.0) == 8.0
