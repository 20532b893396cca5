"""Which drills go with a cause, and the step that is asked of its checkpoint."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from causeline.lesson.step import compose_target
from causeline.lesson.telling import compose_unwound
from causeline.lesson.voice import Voice
from causeline.model.clip import View
from causeline.model.drill import Aim, Diagram, Drill, Slip, Stage
from causeline.model.findings import Finding, Findings
from causeline.model.lesson import MOST_DRILLS, Back, Checkpoint
from causeline.model.measures import Measure, Refusal
from causeline.quantities.uncertain import Uncertain

Seen = Mapping[View, Sequence[Measure | Refusal]]

AGAIN = 5
"""Swings to film again: their mean is set beside the one swing of now."""
TELLS_95 = 1.96


@dataclass(frozen=True, slots=True)
class Choice:
    """What a lesson prescribes."""

    drills: tuple[Drill, ...] = ()
    later: Drill | None = None
    checkpoint: Checkpoint | None = None
    left_out: bool = False
    """A drill that turns the back would have fitted, and the golfer's back is troubled."""


def compose_choice(
    voice: Voice, cause: Finding, findings: Findings, drills: Sequence[Drill], seen: Seen
) -> Choice:
    """At most two drills for the cause, one for later, and the step of the first one's checkpoint.

    The drill comes first whose aim was measured furthest outside its band, then the one that was
    made for the cause.
    """
    drills = [_with_bands(drill, findings) for drill in drills]
    fitting = [drill for drill in drills if cause.name in drill.treats]
    spared = voice.golfer.back is Back.TROUBLED
    given = [drill for drill in fitting if not (spared and drill.rotation)]
    ranked = sorted(given, key=lambda drill: _rank(drill, cause.name, seen))
    now = ranked[:MOST_DRILLS]
    return Choice(
        tuple(now),
        _later(cause, findings, [d for d in drills if not (spared and d.rotation)], now),
        _first(_checkpoint(voice, drill.aim, seen) for drill in now),
        left_out=len(given) < len(fitting),
    )


def compose_resolved(voice: Voice, drill: Drill) -> Drill:
    """The drill in the golfer's language, with their own sides put in."""

    def each(texts: Iterable[str]) -> tuple[str, ...]:
        return tuple(voice.put(text) for text in texts)

    return replace(
        drill,
        title=voice.put(drill.title),
        purpose=voice.put(drill.purpose),
        equipment=each(drill.equipment),
        setup=each(drill.setup),
        diagram=_diagram(voice, drill.diagram),
        steps=each(drill.steps),
        feel=voice.put(drill.feel),
        cue=voice.put(drill.cue),
        slips=tuple(Slip(voice.put(one.what), voice.put(one.instead)) for one in drill.slips),
        cautions=each(drill.cautions),
        stages=tuple(
            Stage(voice.put(one.name), voice.put(one.how), voice.put(one.move_on))
            for one in drill.stages
        ),
    )


def _diagram(voice: Voice, diagram: Diagram) -> Diagram:
    marks = tuple(
        replace(mark, label=voice.put(mark.label)) if mark.label else mark for mark in diagram.marks
    )
    return replace(diagram, caption=voice.put(diagram.caption), marks=marks)


def _with_bands(drill: Drill, findings: Findings) -> Drill:
    """The drill with its aim's ends as the findings have them: those of the golfer's club."""
    aim = drill.aim
    if aim is None:
        return drill
    for finding in findings.findings:
        for one in finding.evidence:
            if (one.measure, one.moment, one.view) == (aim.measure, aim.moment, aim.view):
                low = aim.low if aim.low is None or one.low is None else one.low
                high = aim.high if aim.high is None or one.high is None else one.high
                return replace(drill, aim=replace(aim, low=low, high=high))
    return drill


def _later(
    cause: Finding, findings: Findings, drills: Sequence[Drill], now: Sequence[Drill]
) -> Drill | None:
    """One for the first effect that has a drill of its own, else another for the cause."""
    for name in (*_first_effects(cause, findings), cause.name):
        for drill in drills:
            if drill.treats[0] == name and drill not in now:
                return drill
    return None


def _first_effects(cause: Finding, findings: Findings) -> list[str]:
    return [name for name in cause.explains if findings.get(name) is not None]


def _rank(drill: Drill, cause: str, seen: Seen) -> tuple[float, int]:
    return -_outside(drill.aim, seen), drill.treats.index(cause)


def _outside(aim: Aim | None, seen: Seen) -> float:
    """How far outside its band the aim is now, in its own ±; 0 inside or where not measured."""
    one = _measured(aim, seen)
    if aim is None or one is None:
        return 0.0
    value = _in_turn(aim, one)
    beyond = max(_low(aim) - value, value - _high(aim), 0.0)
    return beyond / max(one.sd, 1e-9)


def _checkpoint(voice: Voice, aim: Aim | None, seen: Seen) -> Checkpoint | None:
    """The step of an aim; None where it was not measured or is there already."""
    one = _measured(aim, seen)
    if aim is None or one is None:
        return None
    value = _in_turn(aim, one)
    detectable = TELLS_95 * one.sd * math.sqrt(1 + 1 / AGAIN)
    target = compose_target(value, _low(aim), _high(aim), detectable)
    if target is None:
        return None
    reader = voice.reader(one.unit)
    return Checkpoint(
        measure=aim.measure,
        moment=aim.moment,
        view=aim.view,
        unit=one.unit,
        now=Uncertain(value, one.sd),
        target=target,
        low=aim.low,
        high=aim.high,
        upward=target > value,
        detectable=detectable,
        shown_unit=reader.unit,
        shown_factor=reader.factor,
    )


def _first(checkpoints: Iterable[Checkpoint | None]) -> Checkpoint | None:
    return next((one for one in checkpoints if one is not None), None)


def _measured(aim: Aim | None, seen: Seen) -> Measure | None:
    if aim is None:
        return None
    wanted = (aim.measure, aim.moment)
    found = (one for one in seen.get(aim.view, ()) if (one.name, one.moment) == wanted)
    return next((one for one in found if isinstance(one, Measure)), None)


def _in_turn(aim: Aim, one: Measure) -> float:
    near = aim.low if aim.low is not None else aim.high
    return compose_unwound(one.value, near if near is not None else 0.0, one.unit)


def _low(aim: Aim) -> float:
    return -math.inf if aim.low is None else aim.low


def _high(aim: Aim) -> float:
    return math.inf if aim.high is None else aim.high
