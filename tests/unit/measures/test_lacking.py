"""A missing moment is told in one sentence, and once."""

from __future__ import annotations

import pytest

from causeline.measures.lacking import measure_lacking
from causeline.model.moments import MomentName, Moments

BACK = MomentName.SHAFT_LEVEL_BACK


@pytest.mark.parametrize(
    ("why", "told"),
    [
        ("it is cloudy", "The shaft level back was not found: it is cloudy."),
        ("it is cloudy.", "The shaft level back was not found: it is cloudy."),
        ("shaft level back was not found", "The shaft level back was not found."),
        ("the top was not found", "The shaft level back was not found: the top was not found."),
    ],
)
def test_the_reason_is_not_said_twice(why: str, told: str) -> None:
    assert measure_lacking(Moments((), ((BACK, why),)), BACK) == told


def test_a_moment_that_nobody_looked_for() -> None:
    assert measure_lacking(Moments(()), BACK) == "The shaft level back was not looked for."
