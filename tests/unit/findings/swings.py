"""Measures of invented swings: everything as usual, but for what a test says."""

from __future__ import annotations

from collections.abc import Mapping

from causeline.findings.bands import BANDS
from causeline.findings.expected import EXPECTED
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal

SD_SHARE = 0.05
"""± as a share of the distance at which severity is 1: what two good views give."""
ARM_TOP = 125.0

Seen = dict[View, list[Measure | Refusal]]


def beyond(key: str, side: str, share: float = 0.5) -> float:
    """A value outside a band by a share of the distance at which severity is 1."""
    low, high = BANDS[key].ends(None)
    if side == "low":
        assert low is not None
        return low - share * BANDS[key].full
    assert high is not None
    return high + share * BANDS[key].full


def seen(values: Mapping[str, float] | None = None, views: tuple[View, ...] = tuple(View)) -> Seen:
    """A swing's measures by view. `values`: key of a band to its value; the rest is sound."""
    given = values or {}
    found: Seen = {view: [] for view in views}
    for key, band in BANDS.items():
        for view in views:
            if view in band.views:
                value = given.get(key, band.usual)
                sd = SD_SHARE * band.full
                found[view].append(Measure(band.measure, band.moment, value, sd, "", "invented"))
    return found


def showing(faults: Mapping[str, float]) -> dict[str, float]:
    """What a swing shows that has these faults, each at its severity, and is else as usual."""
    return {
        key: EXPECTED[key].usual(None)
        + sum(severity * EXPECTED[key].moved.get(fault, 0.0) for fault, severity in faults.items())
        for key in BANDS
    }


def all_refused(views: tuple[View, ...] = tuple(View)) -> Seen:
    """A swing of which nothing could be measured."""
    return {
        view: [
            Refusal(band.measure, band.moment, "The club cannot be made out.")
            for band in BANDS.values()
            if view in band.views
        ]
        for view in views
    }


OVER_TURN = {
    "shoulder_turn_top": beyond("shoulder_turn_top", "high", 0.8),
    "pelvis_turn_top": beyond("pelvis_turn_top", "high", 0.8),
    "lead_arm_top": beyond("lead_arm_top", "high", 0.4),
}
LEAD_KNEE = {
    "lead_knee_arm_back": beyond("lead_knee_arm_back", "low", 0.7),
    "lead_knee_top": beyond("lead_knee_top", "low", 0.7),
}
INSIDE = {
    "plane_back": beyond("plane_back", "low", 0.8),
    "plane_arm_back": beyond("plane_arm_back", "low", 0.6),
}
OVER_THE_TOP = {
    "hands_loop": beyond("hands_loop", "high", 0.6),
    "head_loop": beyond("head_loop", "high", 0.7),
    "plane_shaft_down": beyond("plane_shaft_down", "high", 0.6),
}
STEEP = {
    "steepening": beyond("steepening", "high", 0.6),
    "plane_arm_down": beyond("plane_arm_down", "high", 0.6),
}
EARLY_EXTENSION = {
    "pelvis_ball_impact": beyond("pelvis_ball_impact", "high", 0.6),
    "pelvis_ball_down": beyond("pelvis_ball_down", "high", 0.6),
}
SCENARIO = {**OVER_TURN, **LEAD_KNEE, **INSIDE, **OVER_THE_TOP, **STEEP, **EARLY_EXTENSION}
"""Over-turn with a running lead knee and an inside take-back, then over the top, steep, early
extension."""
