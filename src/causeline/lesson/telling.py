"""Each measure as a clause to the golfer, its direction in words."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.lesson.voice import Voice
from causeline.model.findings import Evidence
from causeline.model.measures import Measure
from causeline.model.moments import MomentName as M
from causeline.model.words import msg


@dataclass(frozen=True, slots=True)
class Clause:
    """What a value says; `{amount}` is its size."""

    positive: str
    negative: str = ""
    """Empty where the value has no sign."""
    zero: float = 0.0
    """From where the size is counted."""
    same: str = ""
    """What a value says that its ± does not tell from zero; empty where that is worth no words."""


MOMENTS: dict[M | None, str] = {
    None: msg("in this swing"),
    M.ADDRESS: msg("at address"),
    M.START: msg("as the club leaves the ball"),
    M.SHAFT_LEVEL_BACK: msg("with the shaft level, going back"),
    M.ARM_LEVEL_BACK: msg("with your {lead} arm level, going back"),
    M.TOP: msg("at the top"),
    M.ARM_LEVEL_DOWN: msg("with your {lead} arm level, coming down"),
    M.SHAFT_LEVEL_DOWN: msg("with the shaft level, coming down"),
    M.IMPACT: msg("at impact"),
    M.SHAFT_LEVEL_THROUGH: msg("with the shaft level, going through"),
    M.FINISH: msg("at the finish"),
}

# fmt: off
CLAUSES: dict[str, Clause] = {
    "backswing_time": Clause(msg("your swing back takes {amount}")),
    "downswing_time": Clause(msg("your swing down takes {amount}")),
    "tempo_ratio": Clause(msg("your swing back takes {amount} times as long as your swing down")),
    "stance_width": Clause(msg("your ankles stand {amount} apart")),
    "trunk_forward_bend": Clause(
        msg("you lean {amount} toward the ball"), msg("you lean {amount} back from the ball")),
    "trunk_side_bend": Clause(
        msg("your upper body leans {amount} away from the target"),
        msg("your upper body leans {amount} toward the target")),
    "posture_change": Clause(
        msg("you are bent {amount} more than at address"),
        msg("you have come up {amount} out of the bend you had at address"),
        same=msg("your bend is the one you had at address")),
    "lead_arm_angle": Clause(
        msg("your {lead} arm has swung up {amount} from hanging down"),
        msg("your {lead} arm has swung {amount} past hanging down, toward the target")),
    "lead_elbow_angle": Clause(
        msg("your {lead} elbow stands at {amount}, where 180° is straight")),
    "hands_height": Clause(
        msg("your hands are {amount} above your shoulders"),
        msg("your hands are {amount} below your shoulders")),
    "head_toward_target": Clause(
        msg("your head has moved {amount} toward the target"),
        msg("your head has moved {amount} away from the target"),
        same=msg("your head is where it was at address")),
    "head_toward_ball": Clause(
        msg("your head has moved {amount} toward the ball"),
        msg("your head has moved {amount} back from the ball")),
    "head_rise": Clause(
        msg("your head is {amount} higher than at address"),
        msg("your head is {amount} lower than at address"),
        same=msg("your head is as high as at address")),
    "pelvis_toward_target": Clause(
        msg("your hips have moved {amount} toward the target"),
        msg("your hips have moved {amount} away from the target"),
        same=msg("your hips are where they were at address")),
    "pelvis_toward_ball": Clause(
        msg("your hips have come {amount} toward the ball"),
        msg("your hips have moved {amount} back from the ball"),
        same=msg("your hips are as far from the ball as at address")),
    "pelvis_rise": Clause(
        msg("your hips are {amount} higher than at address"),
        msg("your hips are {amount} lower than at address")),
    "lead_knee_toward_target": Clause(
        msg("your {lead} knee has moved {amount} toward the target"),
        msg("your {lead} knee has moved {amount} away from the target"),
        same=msg("your {lead} knee is where it was at address")),
    "shoulder_turn": Clause(msg("your shoulders have turned {amount}")),
    "shoulder_turn_level": Clause(msg("your shoulders have turned {amount}")),
    "pelvis_turn": Clause(msg("your hips have turned {amount}")),
    "separation": Clause(
        msg("your shoulders have turned {amount} more than your hips"),
        msg("your hips have turned {amount} more than your shoulders")),
    "shaft_angle": Clause(
        msg("the shaft has gone {amount} past level"), msg("the shaft is {amount} short of level"),
        zero=270),
    "head_off_plane": Clause(
        msg("the clubhead is {amount} outside the line that the shaft lay on at address"),
        msg("the clubhead is {amount} behind the line that the shaft lay on at address")),
    "shaft_steepening": Clause(
        msg("the shaft comes down {amount} steeper than it went up"),
        msg("the shaft comes down {amount} flatter than it went up")),
    "hands_loop": Clause(
        msg("your hands come down {amount} outside the way they went up"),
        msg("your hands come down {amount} inside the way they went up")),
    "head_loop": Clause(
        msg("the clubhead comes down {amount} outside the way it went up"),
        msg("the clubhead comes down {amount} inside the way it went up")),
    "wrist_hinge": Clause(
        msg("your {lead} forearm and the shaft stand at {amount}, where 180° is one line")),
    "shaft_lean": Clause(
        msg("your hands lead the clubhead: the shaft leans {amount} toward the target"),
        msg("your hands trail the clubhead: the shaft leans {amount} away from the target")),
    "ball_position": Clause(
        msg("the ball lies {amount} back of your {lead} ankle"),
        msg("the ball lies {amount} in front of your {lead} ankle")),
}
# fmt: on
"""By a measure's name without `_percent`."""

SAME = 1.5
"""In its own ±: a value this near to zero is not told from it in words."""
_FULL_TURN = 360.0


def compose_clause(voice: Voice, measure: str, value: float, unit: str) -> str | None:
    """The value in words, without moment and ±; None for a measure that is not spoken of."""
    clause = CLAUSES.get(compose_base(measure))
    if clause is None:
        return None
    text = clause.negative if value < clause.zero and clause.negative else clause.positive
    return voice.put(text, amount=voice.amount(value - clause.zero, unit))


def compose_same(voice: Voice, measure: str, value: float, unit: str) -> str:
    """That it is as at address, where its size would be spoken of as nothing; else empty."""
    clause = CLAUSES.get(compose_base(measure))
    if clause is None or not clause.same or voice.amount(value, unit) != voice.amount(0.0, unit):
        return ""
    return voice.put(clause.same)


def compose_told(voice: Voice, measure: str, moment: M | None, value: float, unit: str) -> str:
    """The same with its moment in front: `at the top your head has moved 4 cm away …`."""
    clause = compose_same(voice, measure, value, unit)
    clause = clause or compose_clause(voice, measure, value, unit) or ""
    if not clause:
        return ""
    return _placed(voice, moment, clause)


def compose_measured(voice: Voice, one: Measure | Evidence) -> str:
    """A measured value as a sentence with its moment and ±."""
    name = one.name if isinstance(one, Measure) else one.measure
    spread = voice.spread(one.sd, one.unit)
    clause = CLAUSES.get(compose_base(name))
    if clause is not None and clause.same and abs(one.value) <= SAME * one.sd:
        same = _placed(voice, one.moment, voice.put(clause.same))
        within = voice.amount(one.sd, one.unit)
        return f"{same} {voice.put(msg('(± {sd})'), sd=within)}."
    told = compose_told(voice, name, one.moment, one.value, one.unit)
    return f"{told} {voice.put(msg('(± {sd})'), sd=spread)}."


def _placed(voice: Voice, moment: M | None, clause: str) -> str:
    if moment is None:
        return voice.say(msg("{clause}"), clause=clause)
    when = voice.put(MOMENTS[moment])
    return voice.say(msg("{when}, {clause}"), when=when, clause=clause)


def compose_usual(voice: Voice, measure: str, value: float, end: float, unit: str) -> str:
    """How far it would be usual, where that can be said in the same direction."""
    clause = CLAUSES.get(compose_base(measure))
    zero = clause.zero if clause else 0.0
    if (value - zero) * (end - zero) <= 0:
        return ""
    amount = voice.amount(end - zero, unit)
    if amount == voice.amount(value - zero, unit):
        return ""
    if abs(value - zero) > abs(end - zero):
        return voice.say(msg("Up to {amount} is usual."), amount=amount)
    return voice.say(msg("{amount} or more is usual."), amount=amount)


def compose_base(measure: str) -> str:
    """A measure's name without what only says its unit."""
    return measure.removesuffix("_percent")


def compose_unwound(value: float, near: float, unit: str) -> float:
    """A direction counted in the turn that lies nearest to `near`; other units as they are."""
    if unit != "°":
        return value
    return value + _FULL_TURN * round((near - value) / _FULL_TURN)
