"""Faults of a swing: what each does to its curves, and which leads to which.

Common practice throughout: the faults are those that coaches name, the arrows those that they
draw. At severity 1 a fault is as bad as a coach sees in a year, at 0.3 it is worth a word.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from studio.curves import STATIONS
from studio.swing import Part, Swing

Deltas = Mapping[str, Mapping[str, float]]
"""Curve to {station: what is added at severity 1}; stations not named get 0."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault. Lengths are shares of stature, angles degrees."""

    name: str
    seen: str
    """What a coach sees."""
    deltas: Deltas
    turn_round_s: Mapping[str, float] | None = None
    """Earlier (-) turn-rounds of curves, at severity 1."""
    backswing_s: float = 0.0
    downswing_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Arrow:
    """One fault leads to another, in some golfers."""

    cause: str
    effect: str
    chance: float
    delay_s: float
    """How much later than its usual time the effect shows."""
    gain: float
    """Severity of the effect over that of the cause."""
    reason: str
    """Why, as coaches say."""
    source: str = "common practice"


_B1, _B2, _T = "shaft_level_back", "arm_level_back", "top"
_D1, _D2, _I = "arm_level_down", "shaft_level_down", "impact"
_T1, _T2, _F = "shaft_level_through", "arm_level_through", "finish"

FAULTS: tuple[Fault, ...] = (
    Fault(
        "over_turn", "the shoulders turn far past a right angle, arms and club too far back",
        {"chest_turn": {_B2: 10, _T: 27, _D1: 10}, "pelvis_turn": {_B2: 6, _T: 15, _D1: 4},
         "shaft_angle": {_T: -26, _D1: -6}, "hands_lift": {_T: 8}, "hands_across": {_T: 5},
         "head_turn": {_B2: 3, _T: 8, _D1: 3}},
    ),
    Fault(
        "short_of_turn", "the shoulders stop well short, the arms lift instead",
        {"chest_turn": {_B1: -6, _B2: -18, _T: -32, _D1: -14}, "pelvis_turn": {_B2: -9, _T: -18},
         "hands_lift": {_T: 5}, "hands_across": {_T: -8, _D1: -5}},
    ),
    Fault(
        "lead_knee_running_in", "the lead knee runs in toward the trail knee and the heel comes up",
        {"lead_knee_in": {_B1: 12, _B2: 26, _T: 36, _D1: 18}, "lead_heel": {_B2: 6, _T: 16, _D1: 4},
         "pelvis_turn": {_B2: 2, _T: 5}, "pelvis_z": {_B2: -.003, _T: -.006}},
    ),
    Fault(
        "club_inside", "the head goes back far inside the hands",
        {"shaft_heading": {_B1: 30, _B2: 22, _T: 4}, "hands_across": {_B1: 9, _B2: 7},
         "club_roll": {_B1: 18, _B2: 12}, "shaft_slope": {_B1: -4, _B2: -10}},
    ),
    Fault(
        "across_the_line", "at the top the shaft points to the right of the target",
        {"shaft_heading": {_B2: 6, _T: 26, _D1: 4}, "shaft_slope": {_T: 6}, "hands_lift": {_T: 5}},
    ),
    Fault(
        "laid_off", "at the top the shaft points to the left of the target",
        {"shaft_heading": {_B2: -6, _T: -26, _D1: -4}, "shaft_slope": {_B2: -6, _T: -8},
         "hands_across": {_T: 4}},
    ),
    Fault(
        "club_below_trail_forearm", "coming down the club drops under the trail forearm",
        {"shaft_slope": {_D1: -22, _D2: -15}, "shaft_heading": {_D1: 10, _D2: 16, _T1: 6},
         "hands_across": {_D1: 6, _D2: 6}, "trunk_lean_y": {_D2: -3, _I: -5}},
    ),
    Fault(
        "over_the_top", "the shoulders start down first and throw hands and club outward",
        {"chest_turn": {_D1: -24, _D2: -17, _I: -7}, "hands_across": {_D1: -17, _D2: -13, _T1: -4},
         "hands_lift": {_D1: 4, _D2: 5}, "shaft_slope": {_D1: 13, _D2: 10},
         "shaft_heading": {_D1: -12, _D2: -20, _I: -6, _T1: -16},
         "trunk_lean_y": {_D1: 4, _D2: 6, _I: 6}},
    ),
    Fault(
        "steep", "coming down the shaft stands too upright",
        {"shaft_slope": {_T: 6, _D1: 21, _D2: 14}, "shaft_heading": {_D2: -6},
         "hands_lift": {_D1: 3}},
    ),
    Fault(
        "early_extension", "the pelvis comes toward the ball before impact",
        {"pelvis_x": {_D1: .012, _D2: .034, _I: .050, _T1: .046, _T2: .036, _F: .010},
         "pelvis_lean_x": {_D2: -5, _I: -10, _T1: -6}, "trunk_lean_x": {_D2: -5, _I: -9, _T1: -6},
         "pelvis_z": {_D2: .004, _I: .008, _T1: .006}},
    ),
    Fault(
        "sway", "the pelvis slides away from the target going back",
        {"pelvis_y": {_B1: -.022, _B2: -.043, _T: -.056, _D1: -.022, _D2: -.008},
         "pelvis_lean_y": {_T: 2}},
    ),
    Fault(
        "slide", "the pelvis slides far toward the target coming down",
        {"pelvis_y": {_D1: .024, _D2: .042, _I: .056, _T1: .056, _T2: .046, _F: .010},
         "pelvis_turn": {_D2: 6, _I: 12, _T1: 10}, "trunk_lean_y": {_D2: -5, _I: -7, _T1: -6}},
    ),
    Fault(
        "reverse_tilt", "at the top the trunk leans toward the target",
        {"trunk_lean_y": {_B1: 3, _B2: 8, _T: 15, _D1: 5}, "pelvis_y": {_T: -.006},
         "pelvis_lean_y": {_T: 3}},
    ),
    Fault(
        "early_release", "the wrists give up their angle early in the downswing",
        {"shaft_angle": {_D1: 34, _D2: 40, _I: 7}, "shaft_slope": {_D1: 4}},
    ),
    Fault(
        "loss_of_posture", "the trunk's bend toward the ball is lost going back",
        {"trunk_lean_x": {_B1: -4, _B2: -10, _T: -15, _D1: -12, _D2: -9, _I: -8, _T1: -4},
         "pelvis_lean_x": {_T: -5, _D1: -3}},
    ),
    Fault(
        "standing_up", "the whole golfer rises through the ball",
        {"pelvis_z": {_D1: .012, _D2: .022, _I: .026, _T1: .018},
         "trunk_lean_x": {_D2: -7, _I: -12, _T1: -7},
         "pelvis_lean_x": {_D2: -3, _I: -5}, "trail_heel": {_D2: 4, _I: 10, _T1: 8}},
    ),
    Fault(
        "bent_lead_arm", "the lead arm folds going back",
        {"lead_reach": {_B1: -.02, _B2: -.08, _T: -.20, _D1: -.13, _D2: -.05}},
    ),
    Fault(
        "hanging_back", "the weight stays on the trail foot through the ball",
        {"pelvis_y": {_D1: -.022, _D2: -.036, _I: -.050, _T1: -.058, _T2: -.064, _F: -.090},
         "trunk_lean_y": {_D2: -4, _I: -8, _T1: -10, _T2: -9, _F: -6},
         "pelvis_turn": {_I: 8, _T1: 12, _F: 26},
         "trail_heel": {_I: -14, _T1: -24, _T2: -34, _F: -52},
         "trail_foot_turn": {_T1: -12, _T2: -22, _F: -44},
         "trail_knee_in": {_I: -10, _T1: -14, _F: -24}, "chest_turn": {_F: 16}},
    ),
    Fault(
        "quick_transition", "the downswing is begun in haste, with the shoulders",
        {"chest_turn": {_D1: -12, _D2: -6}, "shaft_angle": {_D1: 8}},
        {"chest_turn": -.05, "shaft_angle": -.05, "hands_lift": -.03, "pelvis_turn": .03},
        -.16, -.025,
    ),
)  # fmt: skip

ARROWS: tuple[Arrow, ...] = (
    Arrow("over_turn", "lead_knee_running_in", 0.60, 0.00, 0.9,
          "the turn pulls the lead side off its foot"),
    Arrow("over_turn", "across_the_line", 0.50, 0.00, 0.8,
          "what goes too far round swings the club past the line"),
    Arrow("over_turn", "bent_lead_arm", 0.35, 0.00, 0.7,
          "past the shoulders' turn only the elbow is left to give"),
    Arrow("lead_knee_running_in", "over_the_top", 0.30, 0.02, 0.7,
          "with no lead leg to land on, the shoulders start down"),
    Arrow("club_inside", "club_below_trail_forearm", 0.35, 0.00, 0.8,
          "a flat way back is a flat way down"),
    Arrow("club_inside", "over_the_top", 0.40, 0.00, 0.8,
          "from behind the body the club must be lifted over it"),
    Arrow("club_inside", "across_the_line", 0.35, 0.01, 0.7,
          "from inside the arms lift and cross the line"),
    Arrow("across_the_line", "club_below_trail_forearm", 0.40, 0.00, 0.7,
          "the crossed shaft falls behind the hands"),
    Arrow("laid_off", "over_the_top", 0.30, 0.00, 0.7,
          "the shaft left of the line is pushed outward"),
    Arrow("short_of_turn", "over_the_top", 0.50, 0.00, 0.8,
          "without turn the shoulders have only out to go"),
    Arrow("quick_transition", "over_the_top", 0.50, 0.00, 0.8,
          "haste starts with the shoulders"),
    Arrow("quick_transition", "early_release", 0.40, 0.00, 0.8,
          "haste throws the wrists' angle away"),
    Arrow("over_the_top", "steep", 0.60, 0.00, 0.8,
          "thrown outward the shaft stands up"),
    Arrow("over_the_top", "early_release", 0.25, 0.01, 0.7,
          "the throw of the shoulders is a throw of the wrists"),
    Arrow("steep", "early_extension", 0.35, 0.01, 0.7,
          "the body backs out to make room for a steep club"),
    Arrow("steep", "standing_up", 0.30, 0.01, 0.7,
          "a rise of the body saves the club from the turf"),
    Arrow("club_below_trail_forearm", "early_extension", 0.45, 0.00, 0.8,
          "the hips move in to lift a club that comes from below"),
    Arrow("club_below_trail_forearm", "slide", 0.25, 0.00, 0.6,
          "a slide of the hips brings the low point forward"),
    Arrow("sway", "slide", 0.40, 0.00, 0.8,
          "what went away must come back"),
    Arrow("sway", "hanging_back", 0.40, 0.00, 0.8,
          "what went away too far does not come back"),
    Arrow("sway", "reverse_tilt", 0.30, 0.01, 0.6,
          "the trunk leans back over hips that have gone"),
    Arrow("reverse_tilt", "hanging_back", 0.50, 0.00, 0.8,
          "weight that stayed forward falls back coming down"),
    Arrow("reverse_tilt", "over_the_top", 0.30, 0.00, 0.7,
          "from that lean the shoulders start down first"),
    Arrow("hanging_back", "early_release", 0.45, 0.00, 0.8,
          "from the trail foot the wrists must find the ball"),
    Arrow("slide", "early_release", 0.20, 0.00, 0.6,
          "hips that run ahead leave arms and wrists to catch up"),
    Arrow("loss_of_posture", "standing_up", 0.40, 0.00, 0.7,
          "a bend once lost is not found again"),
    Arrow("loss_of_posture", "steep", 0.25, 0.00, 0.6,
          "shoulders that turn level send the club down steeply"),
    Arrow("early_extension", "standing_up", 0.35, 0.01, 0.6,
          "hips that come in push the trunk up"),
)  # fmt: skip
"""cause, effect, chance, delay, gain, and why: all common practice."""

LEAST_SEVERITY = 0.15
GAIN_SPREAD, DELAY_SPREAD_S = 0.25, 0.012
DEEPEST = 3
"""Longest chain of effects after a root."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A fault in one swing."""

    name: str
    severity: float
    because: str | None = None
    delay_s: float = 0.0


def fault_of(name: str) -> Fault:
    """The fault of that name."""
    found = next((fault for fault in FAULTS if fault.name == name), None)
    if found is None:
        known = ", ".join(fault.name for fault in FAULTS)
        raise ValueError(f"no fault is called {name!r}; there are {known}")
    return found


def draw_effects(roots: dict[str, float], rng: np.random.Generator) -> tuple[Drawn, ...]:
    """The faults of a swing from its roots (name to severity): each may lead to others."""
    drawn = [Drawn(fault_of(name).name, severity) for name, severity in roots.items()]
    front = list(drawn)
    for _ in range(DEEPEST):
        front = [effect for cause in front for effect in _effects_of(cause, drawn, rng)]
        if not front:
            break
    return tuple(drawn)


def _effects_of(cause: Drawn, drawn: list[Drawn], rng: np.random.Generator) -> list[Drawn]:
    """New effects of one fault; they are added to `drawn`, each fault once."""
    new = []
    for arrow in ARROWS:
        lucky, spread, late = rng.random(), rng.normal(), rng.normal()
        if arrow.cause != cause.name or any(d.name == arrow.effect for d in drawn):
            continue
        severity = cause.severity * arrow.gain * float(np.exp(GAIN_SPREAD * spread))
        if lucky < arrow.chance and severity > LEAST_SEVERITY:
            delay = arrow.delay_s + DELAY_SPREAD_S * float(abs(late))
            new.append(Drawn(arrow.effect, min(severity, 1.0), cause.name, delay))
            drawn.append(new[-1])
    return new


def with_faults(swing: Swing, drawn: tuple[Drawn, ...]) -> Swing:
    """The swing with those faults in its curves and in its truth."""
    for one in drawn:
        fault = fault_of(one.name)
        part = Part(rows_of(fault.deltas), one.severity, one.delay_s)
        rounds = dict(swing.turn_round_s)
        for name, earlier in (fault.turn_round_s or {}).items():
            rounds[name] = rounds.get(name, 0.0) + one.severity * earlier
        swing = replace(
            swing,
            parts=(*swing.parts, part),
            turn_round_s=rounds,
            backswing_s=swing.backswing_s + one.severity * fault.backswing_s,
            downswing_s=swing.downswing_s + one.severity * fault.downswing_s,
        )
    return replace(swing, faults=(*swing.faults, *told(drawn)))


def told(drawn: tuple[Drawn, ...]) -> tuple[dict[str, Any], ...]:
    """The faults as the truth tells them: a root that led to something is a cause."""
    causes = {one.because for one in drawn}
    return tuple(
        {
            "name": one.name,
            "severity": round(one.severity, 3),
            "role": "effect" if one.because else "cause" if one.name in causes else "alone",
            "because": one.because,
        }
        for one in drawn
    )


def rows_of(deltas: Deltas) -> dict[str, tuple[float, ...]]:
    """A table's entry as rows over all stations."""
    return {
        name: tuple(at.get(station, 0.0) for station in STATIONS) for name, at in deltas.items()
    }
