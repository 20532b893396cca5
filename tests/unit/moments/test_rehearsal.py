from __future__ import annotations

import pytest

from causeline.model.moments import SwingWindow
from causeline.moments import find_rehearsal


def _swing(top_s: float, fall_s: float = 0.12) -> SwingWindow:
    return SwingWindow(0, 100, top_s, top_s + 0.3, 0.35, fall_s, 0.9)


def test_a_single_swing_without_sound_stays_near_the_prior() -> None:
    assert find_rehearsal([_swing(2.0)], 0, [None]) == pytest.approx(0.2)


def test_a_strike_that_is_heard_settles_it() -> None:
    windows = [_swing(2.0), _swing(9.0)]
    assert find_rehearsal(windows, 0, [True, True]) < 0.05


def test_a_gentle_silent_swing_before_the_real_one_is_a_rehearsal() -> None:
    windows = [_swing(2.0, 0.18), _swing(9.0, 0.12)]
    assert find_rehearsal(windows, 0, [False, True]) > 0.9
    assert find_rehearsal(windows, 1, [False, True]) < 0.02


def test_without_sound_it_leans_but_does_not_decide() -> None:
    windows = [_swing(2.0, 0.15), _swing(9.0, 0.12)]
    assert 0.3 < find_rehearsal(windows, 0, [None, None]) < 0.8


def test_a_swing_much_later_says_nothing() -> None:
    soon = find_rehearsal([_swing(2.0), _swing(9.0)], 0, [None, None])
    later = find_rehearsal([_swing(2.0), _swing(90.0)], 0, [None, None])
    assert later < soon
