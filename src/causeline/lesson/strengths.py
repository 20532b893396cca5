"""What the golfer does well: measures that lie surely inside their band."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from causeline.lesson.telling import compose_measured
from causeline.lesson.voice import Voice
from causeline.model.clip import View
from causeline.model.findings import ClubSort, Findings
from causeline.model.lesson import Line, Part, Still
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName as M
from causeline.model.words import msg

Seen = Mapping[View, Sequence[Measure | Refusal]]

SURE = 0.9
"""Least probability that the value lies in the band, its ± taken as normal."""
MOST = 3
NOT_BESIDE: dict[str, tuple[str, ...]] = {
    "hips_over_feet": ("sway",),
    "tempo": ("quick_transition",),
    "steady_height": ("loss_of_posture",),
    "steady_head": ("sway", "reverse_tilt"),
    "width": ("bent_lead_arm",),
    "angle_kept": ("early_release",),
    "lead_side": ("hanging_back", "pressure_stays_back", "slide"),
    "hands_lead": ("hands_behind",),
    "on_the_way": ("over_the_top", "steep", "club_below_trail_forearm"),
    "hips_back": ("early_extension",),
    "posture_kept": ("early_extension", "standing_up", "loss_of_posture"),
    "posture_at_top": ("loss_of_posture",),
    "bend": ("too_upright_at_address", "bent_over_at_address"),
    "stance": ("stance_too_wide", "stance_too_narrow"),
    "stance_driver": ("stance_too_wide", "stance_too_narrow"),
    "onto_lead_foot": ("hanging_back", "pressure_stays_back"),
}
"""A strength → findings beside which it would contradict itself."""


@dataclass(frozen=True, slots=True)
class Strength:
    """A measure inside its band, and why that is worth having."""

    name: str
    topic: str
    """One strength of a topic is enough."""
    measure: str
    moment: M | None
    low: float
    high: float
    good: str
    """What is good, and what it gives: a sentence."""
    club: tuple[ClubSort, ...] = ()
    """Clubs for which it holds; empty for all."""


_INF = math.inf
_IRONS = (ClubSort.IRON, ClubSort.WEDGE)

# fmt: off
STRENGTHS: tuple[Strength, ...] = (
    Strength("lead_leg_back", "legs", "lead_knee_toward_target_percent", M.SHAFT_LEVEL_DOWN, -1.0, 8.0,
             msg("Your {lead} leg is under you again in time: you land on it before the club comes through.")),
    Strength("hips_over_feet", "sway", "pelvis_toward_target_percent", M.TOP, -1.4, 3.0,
             msg("Your hips turn over your feet and hardly slide, so the low point can stay where it is.")),
    Strength("tempo", "tempo", "tempo_ratio", None, 2.4, 3.9,
             msg("That is a tempo to keep: in tournament professionals it is near three to one.")),
    Strength("steady_height", "head", "head_rise_percent", M.TOP, -4.0, 2.0,
             msg("You keep your height while you swing back.")),
    Strength("steady_head", "head", "head_toward_target_percent", M.TOP, -3.4, 1.4,
             msg("Your head stays over the ball while the rest of you turns.")),
    Strength("width", "arms", "lead_elbow_angle", M.TOP, 158, 180,
             msg("Your {lead} arm keeps its width.")),
    Strength("angle_kept", "wrists", "wrist_hinge", M.ARM_LEVEL_DOWN, 40, 110,
             msg("You keep the angle between arm and club on the way down: the speed is saved for the ball.")),
    Strength("lead_side", "through", "pelvis_toward_target_percent", M.IMPACT, 3.0, 5.4,
             msg("Your weight is on its way to your {lead} foot when the club meets the ball.")),
    Strength("hands_lead", "through", "shaft_lean", M.IMPACT, 1, 14,
             msg("Your hands arrive before the clubhead."), _IRONS),
    Strength("on_the_way", "club", "shaft_steepening", M.ARM_LEVEL_DOWN, -13, -1.5,
             msg("The club comes down a little flatter than it went up, which gives your arms room.")),
    Strength("hips_back", "posture", "pelvis_toward_ball_percent", M.IMPACT, -6, 1.2,
             msg("Your hips keep their distance from the ball, and your arms have room.")),
    Strength("posture_kept", "posture", "posture_change", M.IMPACT, -8, 20,
             msg("You are still in your bend when the club meets the ball.")),
    Strength("posture_at_top", "posture", "posture_change", M.TOP, -8, 20,
             msg("You turn without coming up out of your bend.")),
    Strength("bend", "setup", "trunk_forward_bend", M.ADDRESS, 20, 50,
             msg("You stand to the ball with a bend that lets your arms hang.")),
    Strength("stance", "setup", "stance_width_percent", M.ADDRESS, 15, 28,
             msg("Your stance is wide enough to stand still on and narrow enough to turn on."), _IRONS),
    Strength("stance_driver", "setup", "stance_width_percent", M.ADDRESS, 19, 36,
             msg("Your stance is wide enough to stand still on and narrow enough to turn on."), (ClubSort.DRIVER,)),
    Strength("onto_lead_foot", "finish", "pelvis_toward_target_percent", M.FINISH, 5.5, _INF,
             msg("You finish on your {lead} foot.")),
)
# fmt: on
"""In the order in which they are worth saying. The bands lie a little inside those of the faults."""


def compose_strengths(
    voice: Voice, seen: Seen, findings: Findings, club: ClubSort | None
) -> list[Line]:
    """At most three, each of another topic, none that a finding speaks against."""
    against = {
        (one.measure, one.moment)
        for finding in findings.findings
        for one in finding.evidence
        if one.speaks_for
    }
    there = {finding.name for finding in findings.findings}
    lines: list[Line] = []
    topics: set[str] = set()
    for strength in STRENGTHS:
        if there.intersection(NOT_BESIDE.get(strength.name, ())):
            continue
        found = None if strength.topic in topics else _inside(strength, seen, club)
        if found is None or (strength.measure, strength.moment) in against:
            continue
        topics.add(strength.topic)
        lines.append(_line(voice, strength, *found))
        if len(lines) == MOST:
            break
    return lines or [_none(voice)]


def _none(voice: Voice) -> Line:
    text = msg(
        "Too little can be measured surely in this film to praise one thing by its number. That "
        "says nothing against your swing."
    )
    return Line("strengths.none", Part.STRENGTHS, voice.say(text))


def compose_chance_inside(value: float, sd: float, low: float, high: float) -> float:
    """Probability that the true value lies from `low` to `high`, a normal error taken."""
    if sd <= 0:
        return float(low <= value <= high)
    return _below((high - value) / sd) - _below((low - value) / sd)


def _inside(strength: Strength, seen: Seen, club: ClubSort | None) -> tuple[View, Measure] | None:
    if strength.club and club is not None and club not in strength.club:
        return None
    found = [
        (view, one)
        for view, measures in seen.items()
        for one in measures
        if isinstance(one, Measure)
        and (one.name, one.moment) == (strength.measure, strength.moment)
    ]
    if not found:
        return None
    view, best = min(found, key=lambda pair: pair[1].sd)
    sure = compose_chance_inside(best.value, best.sd, strength.low, strength.high)
    return (view, best) if sure >= SURE else None


def _line(voice: Voice, strength: Strength, view: View, one: Measure) -> Line:
    text = f"{compose_measured(voice, one)} {voice.say(strength.good)}"
    stills = () if one.moment is None else (Still(one.moment, view, (one.name,)),)
    return Line(f"strengths.{strength.name}", Part.STRENGTHS, text, (one.name,), stills)


def _below(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))
