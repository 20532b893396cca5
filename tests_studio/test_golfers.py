"""Drawn golfers: the same by seed, all kinds posed, spread over sizes and lengths of swing."""

from __future__ import annotations

import numpy as np
import pytest
from studio.golfers import draw_golfer, rehearsal_of, shortened
from studio.perform import perform
from studio.swing import NOMINAL


def test_the_same_seed_draws_the_same_performance() -> None:
    one, other = (draw_golfer(np.random.default_rng(5)) for _ in range(2))
    assert one == other
    first, second = (perform(g.build, g.swing, g.club, 5) for g in (one, other))
    assert np.array_equal(first.bone_transforms, second.bone_transforms)
    assert first.moments == second.moments
    assert first.faults == second.faults


def test_another_seed_draws_another() -> None:
    assert draw_golfer(np.random.default_rng(5)) != draw_golfer(np.random.default_rng(6))


@pytest.mark.parametrize("seed", range(6))
def test_drawn_golfers_can_be_posed(seed: int) -> None:
    golfer = draw_golfer(np.random.default_rng([seed, 1]), kind=None)
    performance = perform(golfer.build, golfer.swing, golfer.club, seed)
    assert {"start", "top", "impact"} <= performance.moments.keys()
    # 25 mm: odd swings may ask more than an arm can give; typical ones stay within 3.
    assert max(performance.residuals.values()) < 25.0
    assert np.isfinite(performance.bone_transforms).all()
    assert performance.head[:, 2].min() > 0.005


def test_a_half_swing_stops_lower() -> None:
    half = shortened(NOMINAL, 0.6)
    assert half["chest_turn"][4] < 0.75 * NOMINAL["chest_turn"][4]
    assert half["hands_lift"][4] < NOMINAL["hands_lift"][4] - 15
    assert half["shaft_angle"][4] > NOMINAL["shaft_angle"][4] + 60
    assert shortened(NOMINAL, 1.0)["chest_turn"] == pytest.approx(NOMINAL["chest_turn"])


def test_a_rehearsal_strikes_nothing() -> None:
    golfer = rehearsal_of(draw_golfer(np.random.default_rng(2), roots={}), np.random.default_rng(0))
    performance = perform(golfer.build, golfer.swing, golfer.club, 2)
    assert performance.rehearsal
    assert np.linalg.norm(performance.head - performance.ball, axis=1).min() > 0.025


def test_practice_swings_before_the_real_one_have_their_own_moments() -> None:
    rng = np.random.default_rng(0)
    golfer = next(g for g in iter(lambda: draw_golfer(rng, roots={}), None) if g.swing.rehearsals_s)
    performance = perform(golfer.build, golfer.swing, golfer.club, 0)
    assert len(performance.rehearsals) == len(golfer.swing.rehearsals_s)
    assert performance.rehearsals[-1]["impact"] < performance.moments["start"]
