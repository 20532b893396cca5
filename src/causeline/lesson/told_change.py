"""What has changed, said to the golfer: warm, short, and never more than the numbers hold."""

from __future__ import annotations

from causeline.lesson.telling import MOMENTS, compose_clause, compose_same
from causeline.lesson.voice import Voice
from causeline.model.lesson import Checkpoint
from causeline.model.progress import Change, NextCause, Verdict
from causeline.model.words import msg

VERDICTS: dict[Verdict, str] = {
    Verdict.CHANGED: msg("It has changed, and it is real."),
    Verdict.NOT_TOLD_APART: msg("Not yet told apart from before."),
    Verdict.OTHER_WAY: msg("It has moved the other way."),
    Verdict.SOMETHING_ELSE: msg("Something else has changed."),
}


def compose_change(voice: Voice, checkpoint: Checkpoint, change: Change) -> tuple[str, ...]:
    """The verdict, the numbers behind it, and what would settle it: one sentence or two each."""
    said = [voice.say(VERDICTS[change.verdict]), _numbers(voice, checkpoint, change)]
    if change.verdict is Verdict.CHANGED:
        said.append(_kept(voice, change))
    elif change.verdict is Verdict.OTHER_WAY:
        said.append(voice.say(msg("That happens while something new is learned. Your coach looks "
                                  "at it before you practise on.")))  # fmt: skip
    else:
        said.append(_settles(voice, change))
    return tuple(said)


def compose_next(voice: Voice, cause: NextCause) -> str:
    """That this is done with, and something new begins: what it is, the coach says."""
    if cause.again:
        return voice.say(msg("The step is done. The same thing goes on, one step further."))
    return voice.say(msg("That is done. Your coach has the next thing for you."))


def _numbers(voice: Voice, checkpoint: Checkpoint, change: Change) -> str:
    unit = checkpoint.unit
    return voice.say(
        msg("{when}, {now}; before, {before}. The difference is {amount}; less than {least} could "
            "be chance, from filming and from one swing to the next."),
        when=voice.put(MOMENTS[checkpoint.moment]),
        now=_clause(voice, checkpoint, change.after.value),
        before=_clause(voice, checkpoint, change.before.value),
        amount=voice.amount(change.difference.value, unit),
        least=voice.amount(change.detectable, unit),
    )  # fmt: skip


def _kept(voice: Voice, change: Change) -> str:
    if change.kept:
        return voice.say(msg("It was there on a day on which you had not practised before: it has "
                             "stayed."))  # fmt: skip
    return voice.say(msg("It was filmed after practice. Whether it stays shows on another day."))


def _settles(voice: Voice, change: Change) -> str:
    if change.more_swings:
        return voice.count(
            msg("If it stays like this, {number} more swing from the same spot would settle it."),
            msg("If it stays like this, {number} more swings from the same spot would settle it."),
            change.more_swings,
        )
    if change.more_days:
        return voice.count(
            msg("If it stays like this, filming on {number} more day would settle it."),
            msg("If it stays like this, filming on {number} more days would settle it."),
            change.more_days,
        )
    return voice.say(msg("With what was filmed before, a difference of this size cannot be told "
                         "from chance, however much is filmed now."))  # fmt: skip


def _clause(voice: Voice, checkpoint: Checkpoint, value: float) -> str:
    same = compose_same(voice, checkpoint.measure, value, checkpoint.unit)
    told = compose_clause(voice, checkpoint.measure, value, checkpoint.unit)
    return same or told or voice.amount(value, checkpoint.unit)
