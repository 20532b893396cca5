"""Time told from one swing in another's: exact at the moments, never backward, real time outside.

The map is held against SciPy's own PCHIP slopes by what defines them: monotone between knots.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.model.moments import Moment, MomentName, Moments
from causeline.progress.align import compare_times

NAMES = list(MomentName)


def _moments(times: dict[MomentName, float], sd: float = 0.005) -> Moments:
    return Moments(tuple(Moment(n, t, sd, round(t * 60), "") for n, t in times.items()))


A = _moments({MomentName.START: 1.0, MomentName.TOP: 1.9, MomentName.IMPACT: 2.2})
B = _moments({MomentName.START: 0.2, MomentName.TOP: 0.8, MomentName.IMPACT: 1.0})


def test_moments_fall_on_moments() -> None:
    times = compare_times(A, B)
    assert times is not None
    assert times.to_b(np.array([1.0, 1.9, 2.2])) == pytest.approx([0.2, 0.8, 1.0], abs=1e-12)


def test_outside_both_run_in_real_time() -> None:
    times = compare_times(A, B)
    assert times is not None
    assert times.to_b(np.array([0.5, 3.0])) == pytest.approx([-0.3, 1.8])


def test_one_common_moment_is_a_shift_and_none_is_no_map() -> None:
    top = _moments({MomentName.TOP: 5.0})
    times = compare_times(A, top)
    assert times is not None
    assert times.to_b(1.8) == pytest.approx(4.9)
    assert compare_times(A, Moments(())) is None


def test_a_swing_beside_itself_is_not_warped() -> None:
    times = compare_times(A, A)
    assert times is not None
    grid = np.linspace(0, 4, 101)
    assert times.to_b(grid) == pytest.approx(grid, abs=1e-12)


def test_of_two_moments_in_another_order_the_less_sure_gives_way() -> None:
    found = (
        Moment(MomentName.ADDRESS, 1.3, 0.5, 78, ""),
        Moment(MomentName.START, 1.2, 0.01, 72, ""),
        Moment(MomentName.TOP, 1.9, 0.01, 114, ""),
    )
    other = _moments({MomentName.ADDRESS: 0.1, MomentName.START: 0.2, MomentName.TOP: 0.8})
    times = compare_times(Moments(found), other)
    assert times is not None
    assert [pair.name for pair in times.pairs] == [MomentName.START, MomentName.TOP]


@given(
    st.lists(st.floats(0.002, 1.5), min_size=10, max_size=10),
    st.lists(st.floats(0.002, 1.5), min_size=10, max_size=10),
)
def test_time_never_runs_backward(steps_a: list[float], steps_b: list[float]) -> None:
    a = _moments(dict(zip(NAMES, np.cumsum(steps_a).tolist(), strict=True)))
    b = _moments(dict(zip(NAMES, np.cumsum(steps_b).tolist(), strict=True)))
    times = compare_times(a, b)
    assert times is not None
    assert len(times.pairs) == 10
    mapped = times.to_b(np.linspace(-1, 17, 400))
    assert np.all(np.diff(mapped) >= -1e-9)
    assert times.to_b(np.array([m.time_s for m in a.found])) == pytest.approx(
        [m.time_s for m in b.found], abs=1e-9
    )


def test_the_cases_that_the_browser_is_held_to_are_what_this_map_gives() -> None:
    """The bench warps time itself; `frontend/src/time/warp.test.ts` reads the same file."""
    file = Path(__file__).parents[3] / "frontend" / "fixtures" / "warp.json"
    for case in json.loads(file.read_text(encoding="utf-8"))["cases"]:
        times = compare_times(_told(case["a"]), _told(case["b"]))
        if times is None:
            assert case["to_s"] is None
        else:
            assert times.to_b(np.array(case["at_s"])) == pytest.approx(case["to_s"], abs=1e-9)


def _told(listed: list[dict[str, Any]]) -> Moments:
    found = (Moment(MomentName(m["name"]), m["time_s"], m["sd_s"], 0, "") for m in listed)
    return Moments(tuple(found))
