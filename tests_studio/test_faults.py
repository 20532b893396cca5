"""Faults move the measure that they should, more when they are worse, and carry their effects."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from studio.body import Build
from studio.clubs import club_of
from studio.faults import ARROWS, FAULTS, Drawn, draw_effects, fault_of, told, with_faults
from studio.perform import perform
from studio.performance import Performance
from studio.swing import Swing

SHOWS = {
    "over_turn": ("shoulder_turn", "top", 8.0),
    "short_of_turn": ("shoulder_turn", "top", -8.0),
    "lead_knee_running_in": ("lead_knee_toward_target", "top", -3.0),
    "club_inside": ("shaft_heading", "shaft_level_back", 10.0),
    "across_the_line": ("shaft_heading", "top", 8.0),
    "laid_off": ("shaft_heading", "top", -8.0),
    "club_below_trail_forearm": ("shaft_down_the_line", "arm_level_down", 6.0),
    "over_the_top": ("shoulder_turn", "arm_level_down", -2.0),
    "steep": ("shaft_down_the_line", "arm_level_down", -6.0),
    "early_extension": ("pelvis_toward_ball", "impact", 2.5),
    "sway": ("pelvis_toward_target", "top", -3.0),
    "slide": ("pelvis_toward_target", "impact", 3.0),
    "reverse_tilt": ("trunk_side_bend", "top", -5.0),
    "early_release": ("lag", "arm_level_down", 10.0),
    "loss_of_posture": ("posture_change", "top", -5.0),
    "standing_up": ("head_rise", "impact", 2.0),
    "bent_lead_arm": ("lead_elbow_angle", "top", -12.0),
    "hanging_back": ("pelvis_toward_target", "impact", -2.5),
    "quick_transition": ("shoulder_turn", "arm_level_down", -2.0),
}
"""Fault: measure, moment, and the least change from severity 0 to 0.6, and again to 1 in half."""


@lru_cache(maxsize=3)
def _performed(fault: str, severity: float) -> Performance:
    drawn = (Drawn(fault, severity),) if severity > 0 else ()
    return perform(Build(), with_faults(Swing(tremor=0.0), drawn), club_of("mid iron"))


def _read(performance: Performance, measure: str, moment: str) -> float:
    values = {**performance.turns, **performance.measures}[measure]
    value = np.interp(performance.moments[moment], performance.time_s, values)
    return float(value) % 360.0 if measure == "shaft_heading" else float(value)


@pytest.mark.parametrize("fault", [fault.name for fault in FAULTS])
def test_a_fault_moves_its_measure(fault: str) -> None:
    measure, moment, least = SHOWS[fault]
    none, some, all_of_it = (
        _read(_performed(name, severity), measure, moment)
        for name, severity in (("over_turn", 0.0), (fault, 0.6), (fault, 1.0))
    )
    if measure == "shaft_heading":
        none, some, all_of_it = (((v - none + 180) % 360) for v in (none, some, all_of_it))
    assert (some - none) / least > 1
    assert (all_of_it - some) / least > 0.3


def test_every_arrow_joins_faults_that_exist() -> None:
    for arrow in ARROWS:
        assert fault_of(arrow.cause) is not fault_of(arrow.effect)
        assert 0 < arrow.chance < 1
        assert arrow.source == "common practice"


def test_a_cause_carries_its_effects() -> None:
    seen = set()
    for seed in range(40):
        drawn = draw_effects({"over_turn": 0.9}, np.random.default_rng(seed))
        truth = told(drawn)
        assert truth[0]["name"] == "over_turn"
        assert truth[0]["role"] == ("cause" if len(truth) > 1 else "alone")
        for k, fault in enumerate(truth[1:], start=1):
            assert fault["role"] == "effect"
            assert fault["because"] in [earlier["name"] for earlier in truth[:k]]
            assert 0 < fault["severity"] <= 1
        seen |= {fault["name"] for fault in truth}
    assert {"lead_knee_running_in", "across_the_line"} <= seen


def test_the_effects_are_in_the_motion() -> None:
    drawn = (Drawn("over_turn", 0.8), Drawn("lead_knee_running_in", 0.7, "over_turn", 0.01))
    swing = with_faults(Swing(tremor=0.0), drawn)
    knee = ("lead_knee_toward_target", "top")
    with_effect = _read(perform(Build(), swing, club_of("mid iron")), *knee)
    assert with_effect < _read(_performed("over_turn", 0.8), *knee) - 3.0


def test_an_unknown_fault_is_told_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"'hook'.*over_turn"):
        fault_of("hook")
