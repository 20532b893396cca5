"""How the golfer knows that it worked, said in their units."""

from __future__ import annotations

from dataclasses import replace

from causeline.lesson.telling import (
    MOMENTS,
    compose_clause,
    compose_measured,
    compose_same,
    compose_told,
)
from causeline.lesson.voice import Voice
from causeline.model.lesson import Checkpoint, Line, Part, Still
from causeline.model.measures import Measure
from causeline.model.words import msg


def compose_titled(voice: Voice, checkpoint: Checkpoint | None) -> Checkpoint | None:
    """The checkpoint with its title: what is to be seen, and when."""
    if checkpoint is None:
        return None
    title = compose_told(
        voice, checkpoint.measure, checkpoint.moment, checkpoint.target, checkpoint.unit
    )
    return replace(checkpoint, title=title)


def compose_checkpoint_lines(
    voice: Voice, checkpoint: Checkpoint | None, *, practised: bool
) -> list[Line]:
    """Where it is now, the next step, and that a step is enough."""
    if checkpoint is None:
        return _by_eye(voice) if practised else []
    unit, moment = checkpoint.unit, checkpoint.moment
    value, sd = checkpoint.now.value, checkpoint.now.sd
    now = compose_measured(voice, Measure(checkpoint.measure, moment, value, sd, unit, ""))
    says = {
        "now": voice.say(msg("Now: {told}"), told=now[:1].lower() + now[1:]),
        "target": _target(voice, checkpoint),
        "step": _step(voice, checkpoint),
    }  # fmt: skip
    stills = () if moment is None else (Still(moment, checkpoint.view, (checkpoint.measure,)),)
    source = (checkpoint.measure,)
    return [
        Line(f"checkpoint.{key}", Part.CHECKPOINT, text, source, stills if key == "now" else ())
        for key, text in says.items()
    ]


def _target(voice: Voice, checkpoint: Checkpoint) -> str:
    """The step in words: less of it, more of it, or the other side of zero."""
    now, target, unit = checkpoint.now.value, checkpoint.target, checkpoint.unit
    when = voice.put(MOMENTS[checkpoint.moment])
    same = compose_same(voice, checkpoint.measure, target, unit)
    if same:
        return voice.say(msg("Next: {when}, {clause}."), when=when, clause=same)
    clause = compose_clause(voice, checkpoint.measure, target, unit) or ""
    text = msg("Next: {when}, {clause}, or more.")
    if abs(target) < abs(now) and now * target > 0:
        text = msg("Next: {when}, {clause}, or less.")
    return voice.say(text, when=when, clause=clause)


def _step(voice: Voice, checkpoint: Checkpoint) -> str:
    """That it is a step, and whether one film could show it."""
    if abs(checkpoint.target - checkpoint.now.value) >= checkpoint.detectable:
        return voice.say(
            msg("That is a step, not an ideal, and large enough for a new film to show it. The "
                "mean of five swings counts, not the best one.")
        )  # fmt: skip
    return voice.say(
        msg("That is a step, not an ideal. It is small for one film: five swings from the same "
            "spot, on two different days, would show it. Their mean counts, not the best one.")
    )  # fmt: skip


def _by_eye(voice: Voice) -> list[Line]:
    text = voice.say(
        msg("No number in this film tells how it goes. Count instead: how many of ten go as the "
            "drill says, on two different days.")
    )  # fmt: skip
    return [Line("checkpoint.count", Part.CHECKPOINT, text)]
