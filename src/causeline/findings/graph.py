"""The cause-and-effect graph: which fault leads to which, and why.

All arrows are common practice: coaches draw them, no study measured their strength. The strengths
are judged, coarse on purpose, and say how likely the cause alone brings the effect about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from causeline.findings.catalogue import FAULTS
from causeline.findings.spec import Arrow, Fault
from causeline.model.moments import MomentName

FIRM, FAIR, WEAK = 0.55, 0.4, 0.25

ARROWS: tuple[Arrow, ...] = (
    # From the set-up
    Arrow("stance_too_wide", "short_of_turn", WEAK, "wide feet hold the hips back"),
    Arrow("stance_too_wide", "slide", WEAK, "hips that cannot turn slide"),
    Arrow("stance_too_narrow", "sway", WEAK, "there is no trail foot to turn against"),
    Arrow("too_upright_at_address", "club_inside", WEAK, "upright shoulders swing the club round"),
    Arrow("bent_over_at_address", "loss_of_posture", FAIR, "too much bend must be given up"),
    Arrow("ball_too_far_forward", "over_the_top", WEAK, "shoulders that reach for the ball open"),
    Arrow("ball_too_far_forward", "slide", WEAK, "the hips go after the ball"),
    Arrow("ball_too_far_back", "club_below_trail_forearm", WEAK,
          "the club must come from inside to reach it"),
    # Going back
    Arrow("club_inside", "across_the_line", FAIR, "from inside the arms lift and cross the line"),
    Arrow("club_inside", "over_the_top", FAIR,
          "from behind the body the club must be lifted over it"),
    Arrow("club_inside", "club_below_trail_forearm", FAIR, "a flat way back is a flat way down"),
    Arrow("club_outside", "laid_off", WEAK, "from outside the club falls back behind the line"),
    Arrow("club_outside", "over_the_top", WEAK, "what went out comes down out"),
    Arrow("club_outside", "steep", WEAK, "an upright way back is an upright way down"),
    Arrow("over_turn", "lead_knee_running_in", FIRM, "the turn pulls the lead side off its foot"),
    Arrow("over_turn", "club_inside", WEAK, "a body that spins round takes the club with it"),
    Arrow("over_turn", "bent_lead_arm", FAIR,
          "past the shoulders' turn only the elbow is left to give"),
    Arrow("over_turn", "past_level", FAIR, "the club goes on where the body went on"),
    Arrow("over_turn", "across_the_line", FIRM, "what goes too far round crosses the line"),
    Arrow("over_turn", "over_the_top", WEAK,
          "from too far round the shoulders must hurry back first"),
    Arrow("lead_knee_running_in", "over_the_top", WEAK,
          "with no lead leg to land on, the shoulders start down"),
    Arrow("sway", "reverse_tilt", FAIR, "the trunk leans back over hips that have gone"),
    Arrow("sway", "slide", FAIR, "what went away must come back"),
    Arrow("sway", "hanging_back", FAIR, "what went away too far does not come back"),
    Arrow("loss_of_posture", "steep", WEAK,
          "shoulders that turn level send the club down steeply"),
    Arrow("loss_of_posture", "standing_up", FAIR, "a bend once lost is not found again"),
    # From the top
    Arrow("short_of_turn", "over_the_top", FAIR,
          "without turn the shoulders have only out to go"),
    Arrow("short_of_turn", "bent_lead_arm", WEAK, "where the turn ends the arms go on alone"),
    Arrow("bent_lead_arm", "past_level", FAIR, "a folded arm lets the club hang"),
    Arrow("bent_lead_arm", "early_release", WEAK, "the arm's unfolding throws the wrists"),
    Arrow("past_level", "early_release", WEAK, "a club that hangs is thrown to catch up"),
    Arrow("across_the_line", "club_below_trail_forearm", FAIR,
          "the crossed shaft falls behind the hands"),
    Arrow("laid_off", "over_the_top", FAIR, "the shaft left of the line is pushed outward"),
    Arrow("reverse_tilt", "over_the_top", FAIR, "from that lean the shoulders start down first"),
    Arrow("reverse_tilt", "hanging_back", FIRM, "weight that stayed forward falls back"),
    Arrow("quick_transition", "over_the_top", FIRM, "haste starts with the shoulders"),
    Arrow("quick_transition", "early_release", FAIR, "haste throws the wrists' angle away"),
    # Coming down
    Arrow("over_the_top", "steep", FIRM, "thrown outward the shaft stands up"),
    Arrow("over_the_top", "early_release", WEAK, "a throw of the shoulders throws the wrists"),
    Arrow("steep", "early_extension", FAIR,
          "the body backs out to make room for a steep club"),
    Arrow("steep", "standing_up", FAIR, "a rise of the body saves the club from the turf"),
    Arrow("club_below_trail_forearm", "early_extension", FIRM,
          "the hips move in to lift a club that comes from below"),
    Arrow("club_below_trail_forearm", "slide", WEAK,
          "a slide of the hips brings the low point forward"),
    Arrow("slide", "early_release", WEAK,
          "hips that run ahead leave arms and wrists to catch up"),
    Arrow("hanging_back", "early_release", FAIR, "from the trail foot the wrists find the ball"),
    Arrow("hanging_back", "hands_behind", FAIR, "the hands stay back with the weight"),
    Arrow("early_release", "hands_behind", FAIR, "the clubhead has overtaken the hands"),
    Arrow("early_extension", "standing_up", FAIR, "hips that come in push the trunk up"),
    Arrow("early_extension", "lead_arm_folding", WEAK, "without room the lead arm folds"),
    Arrow("standing_up", "lead_arm_folding", WEAK, "the arm folds to take up the rise"),
    # What video does not show
    Arrow("weak_grip", "face_open", FIRM, "the hand turns back and the face opens"),
    Arrow("strong_grip", "face_shut", FIRM, "the hand turns back and the face closes"),
    Arrow("face_open", "over_the_top", FAIR,
          "a golfer whose ball goes right learns to swing left"),
    Arrow("face_shut", "club_below_trail_forearm", WEAK,
          "a golfer whose ball goes left learns to swing right"),
    Arrow("pressure_stays_back", "hanging_back", FIRM, "the body stays over the foot it stands on"),
    Arrow("face_open", "slice", FIRM, "an open face curves the ball"),
    Arrow("over_the_top", "slice", FAIR, "a path to the left curves the ball to the right"),
    Arrow("face_shut", "hook", FIRM, "a shut face curves the ball"),
    Arrow("club_below_trail_forearm", "hook", FAIR,
          "a path to the right curves the ball to the left"),
    Arrow("hanging_back", "fat", FIRM, "the low point lies behind the ball"),
    Arrow("early_release", "fat", FAIR, "the club is at its lowest too soon"),
    Arrow("steep", "fat", FAIR, "a steep club digs"),
    Arrow("standing_up", "thin", FAIR, "the club rises with the body"),
    Arrow("early_extension", "thin", WEAK, "the club rises with the body"),
    Arrow("lead_arm_folding", "thin", FAIR, "a shorter arm lifts the club"),
    Arrow("hands_behind", "thin", WEAK, "the club is already on its way up"),
)  # fmt: skip
"""Cause, effect, strength, why."""


def explain_order(faults: Sequence[Fault] = FAULTS) -> dict[str, int]:
    """Name to place in the order of the swing, those of one moment as the catalogue has them."""
    moments = list(MomentName)
    ranked = sorted(faults, key=lambda fault: moments.index(fault.first))
    return {fault.name: place for place, fault in enumerate(ranked)}


def explain_effects_first(
    faults: Sequence[Fault] = FAULTS, arrows: Sequence[Arrow] = ARROWS
) -> list[Fault]:
    """The faults so that each stands before everything that can lead to it."""
    below = explain_descendants(arrows)
    return sorted(faults, key=lambda fault: len(below.get(fault.name, ())))


def explain_mistakes(
    faults: Sequence[Fault] = FAULTS, arrows: Sequence[Arrow] = ARROWS
) -> list[str]:
    """What is wrong with a graph, in words: unknown names, doubles, cycles, effects before causes.

    Empty for a sound one.
    """
    first = {fault.name: list(MomentName).index(fault.first) for fault in faults}
    wrong = [f"two faults are called {name}" for name in _doubles([f.name for f in faults])]
    pairs = [f"{arrow.cause} → {arrow.effect}" for arrow in arrows]
    wrong += [f"{pair} is drawn twice" for pair in _doubles(pairs)]
    for arrow, pair in zip(arrows, pairs, strict=True):
        unknown = [name for name in (arrow.cause, arrow.effect) if name not in first]
        wrong += [f"{pair}: no fault is called {name}" for name in unknown]
        if not unknown and first[arrow.cause] > first[arrow.effect]:
            wrong.append(f"{pair}: the cause is later than its effect")
        if not 0 < arrow.strength < 1:
            wrong.append(f"{pair}: strength {arrow.strength} is not between 0 and 1")
    below = explain_descendants(arrows)
    return wrong + [f"{name} leads to itself" for name in below if name in below[name]]


def explain_descendants(arrows: Sequence[Arrow] = ARROWS) -> Mapping[str, frozenset[str]]:
    """Each cause with everything that can follow from it, directly or not."""
    children: dict[str, set[str]] = {}
    for arrow in arrows:
        children.setdefault(arrow.cause, set()).add(arrow.effect)
    below: dict[str, frozenset[str]] = {}
    for name in children:
        seen: set[str] = set()
        front = set(children[name])
        while front:
            seen |= front
            front = {far for near in front for far in children.get(near, ())} - seen
        below[name] = frozenset(seen)
    return below


def _doubles(names: Sequence[str]) -> list[str]:
    return sorted({name for name in names if names.count(name) > 1})
