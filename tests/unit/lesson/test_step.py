from __future__ import annotations

import pytest

from causeline.lesson.step import compose_target


@pytest.mark.parametrize(
    ("now", "detectable", "target"),
    [
        (50.0, 4.0, 40.0),
        (50.0, 12.0, 38.0),
        (0.0, 4.0, 10.0),
        (31.0, 4.0, 27.0),
        (25.0, 4.0, None),
        (31.0, 12.0, None),
    ],
)
def test_a_step_towards_the_band_of_20_to_30(
    now: float, detectable: float, target: float | None
) -> None:
    assert compose_target(now, 20.0, 30.0, detectable) == target
