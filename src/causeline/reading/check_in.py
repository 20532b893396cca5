"""A golfer's new clip is asked one thing: whether the checkpoint is there.

Only the ± of measuring decides the word. Whether the golfer's swing has changed for good is another
question, asked over several days (`progress`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from causeline.lesson.adapt import compose_voice
from causeline.lesson.check_in import (
    compose_better,
    compose_not_measured,
    compose_old,
    compose_other_hand,
    compose_outcome,
    compose_same,
    compose_unseen,
    compose_unsure,
    compose_why,
    compose_wrong_view,
)
from causeline.lesson.practice_labels import compose_practice_labels
from causeline.lesson.telling import compose_unwound
from causeline.lesson.told_change import compose_change, compose_next
from causeline.lesson.voice import Voice
from causeline.model.clip import Hand, View
from causeline.model.lesson import Checkpoint, Lesson, Still
from causeline.model.library import State
from causeline.model.measures import Measure, Refusal
from causeline.model.practice import Moved, Outcome, Why, Word
from causeline.model.progress import Change, NextCause
from causeline.model.reading import Reading, Swing
from causeline.model.words import Words
from causeline.progress.change import SETUP_SHARE
from causeline.quantities.uncertain import Uncertain

MOVED_SURELY = 1.2815515655446004
"""Difference from the lesson's swing, in its own ±, from which it counts as moved: chance 0.9."""


@dataclass(frozen=True, slots=True, eq=False)
class CheckInClip:
    """A clip that was checked in, and what the library knows of it."""

    sha256: str
    state: State
    """Of its reading."""
    reading: Reading | None = None
    filmed_on: date | None = None
    """As the file itself says; None where it does not."""
    sent_before: date | None = None
    """The day of an earlier check-in with the very same file."""


@dataclass(frozen=True, slots=True)
class _Counted:
    """The swings in which the checkpoint was measured, by their number from 1."""

    values: dict[int, Uncertain] = field(default_factory=dict)

    @property
    def mean(self) -> Uncertain:
        """Their mean. What the set-up does to all of them alike does not grow less with number."""
        values = list(self.values.values())
        count = len(values)
        stated = sum(one.sd**2 for one in values) / count
        variance = stated * (SETUP_SHARE + (1 - SETUP_SHARE) / count)
        return Uncertain(sum(one.value for one in values) / count, math.sqrt(variance))

    @property
    def nearest(self) -> int:
        """Number of the swing nearest their mean: the one to show."""
        mean = self.mean.value
        return min(self.values, key=lambda number: abs(self.values[number].value - mean))


def run_check_in(
    lesson: Lesson, clip: CheckInClip, words: Words, there_before: bool = False
) -> Outcome:
    """The checkpoint of a lesson in a new clip.

    `there_before` says that it was there on an earlier day. Every way in which a clip cannot answer
    is an outcome too, with a clear word; nothing is raised for it.
    """
    voice = compose_voice(lesson, words)
    unseen = _not_to_be_read(voice, lesson, clip)
    if unseen is not None:
        return unseen
    assert clip.reading is not None and lesson.checkpoint is not None  # noqa: S101, PT018
    return _seen_in(voice, lesson, clip.reading, there_before) or _unmeasured(
        voice, lesson.checkpoint, clip.reading
    )


def run_practice_labels(lesson: Lesson, words: Words) -> dict[str, str]:
    """The words of the golfer's page beside the lesson's own, in the lesson's language."""
    return compose_practice_labels(Voice(words, lesson.golfer), lesson.coach)


def run_change_told(
    lesson: Lesson, change: Change, next_cause: NextCause | None, words: Words
) -> tuple[str, ...]:
    """What has changed since the lesson, to the golfer; empty where it has no checkpoint."""
    if lesson.checkpoint is None:
        return ()
    voice = compose_voice(lesson, words)
    told = compose_change(voice, lesson.checkpoint, change)
    return told if next_cause is None else (*told, compose_next(voice, next_cause))


def run_word(checkpoint: Checkpoint, value: Uncertain) -> tuple[Word, Moved]:
    """The word for a value, and where it has moved; the ± of both decides.

    There: at the target or past it, and surely moved since the lesson's swing. Nearly: past it
    without being told from that swing, or short of it by no more than the ±. Not yet: the rest.
    """
    way = 1.0 if checkpoint.upward else -1.0
    gone = way * (value.value - checkpoint.now.value)
    noise = math.hypot(value.sd, checkpoint.now.sd)
    moved = Moved.NOT_TOLD
    if abs(gone) >= MOVED_SURELY * noise:
        moved = Moved.RIGHT_WAY if gone > 0 else Moved.OTHER_WAY
    past = way * (value.value - checkpoint.target)
    if past >= 0 and moved is Moved.RIGHT_WAY:
        return Word.THERE, moved
    return (Word.NEARLY if past >= -value.sd else Word.NOT_YET), moved


def _not_to_be_read(voice: Voice, lesson: Lesson, clip: CheckInClip) -> Outcome | None:
    """What stands in the way before any number is looked at, the plainest first."""
    own = {swing.sha256 for swing in lesson.swings}
    if clip.sent_before is not None or clip.sha256 in own:
        day = None if clip.sha256 in own else clip.sent_before
        return _unseen(voice, Why.SAME_CLIP, compose_same(voice, day))
    if clip.filmed_on is not None and clip.filmed_on < lesson.made:
        return _unseen(voice, Why.OLD, compose_old(voice, clip.filmed_on, lesson.made))
    if clip.reading is None or not clip.reading.swings:
        why = Why.FAILED if clip.state is State.FAILED else Why.UNREADABLE
        return _unseen(voice, why, compose_why(voice, why))
    if lesson.checkpoint is None:
        return _unseen(voice, Why.NO_CHECKPOINT, compose_why(voice, Why.NO_CHECKPOINT))
    return _not_that_golfer(voice, lesson, clip.reading)


def _not_that_golfer(voice: Voice, lesson: Lesson, reading: Reading) -> Outcome | None:
    assert lesson.checkpoint is not None  # noqa: S101
    view, hand = View(reading.view.name), Hand(reading.hand.name)
    if hand is not lesson.golfer.hand:
        return _unseen(voice, Why.OTHER_HAND, compose_other_hand(voice, hand))
    if view is not lesson.checkpoint.view:
        told = compose_wrong_view(voice, view, lesson.checkpoint.view)
        return _unseen(voice, Why.WRONG_VIEW, told)
    if all(swing.rehearsal for swing in reading.swings):
        return _unseen(voice, Why.NO_BALL, compose_why(voice, Why.NO_BALL))
    return None


def _seen_in(voice: Voice, lesson: Lesson, reading: Reading, again: bool) -> Outcome | None:
    """The answer with its number; None where no swing gives one that is sure enough."""
    checkpoint = lesson.checkpoint
    assert checkpoint is not None  # noqa: S101
    counted = _counted(checkpoint, reading.swings)
    if not counted.values or _is_unsure(checkpoint, counted.mean):
        return None
    mean, count = counted.mean, len(counted.values)
    word, moved = run_word(checkpoint, mean)
    return Outcome(
        word=word,
        lines=compose_outcome(voice, checkpoint, (word, moved, mean, count), again),
        value=mean,
        moved=moved,
        swings=count,
        swing=counted.nearest,
        still=_still(checkpoint),
    )


def _unmeasured(voice: Voice, checkpoint: Checkpoint, reading: Reading) -> Outcome:
    """Refused in every swing, or measured too unsurely to tell a step."""
    counted = _counted(checkpoint, reading.swings)
    better = compose_better(voice, reading.filming)
    if counted.values:
        told = compose_unsure(voice, checkpoint, counted.mean.sd)
        return _unseen(voice, Why.UNSURE, told, *better)
    refused = next(
        (one.refused for swing in _struck(reading.swings) for one in _refusals(swing, checkpoint)),
        "",
    )
    return _unseen(
        voice, Why.NOT_MEASURED, *compose_not_measured(voice, checkpoint, refused), *better
    )


def _is_unsure(checkpoint: Checkpoint, mean: Uncertain) -> bool:
    """Whether the ± is larger than the whole step, and the value tells nothing of it."""
    return mean.sd > abs(checkpoint.target - checkpoint.now.value)


def _counted(checkpoint: Checkpoint, swings: Sequence[Swing]) -> _Counted:
    values = {}
    for number, swing in enumerate(swings, 1):
        for one in () if swing.rehearsal else swing.measures:
            if isinstance(one, Measure) and _is_it(one, checkpoint):
                value = compose_unwound(one.value, checkpoint.now.value, one.unit)
                values[number] = Uncertain(value, one.sd)
    return _Counted(values)


def _refusals(swing: Swing, checkpoint: Checkpoint) -> list[Refusal]:
    return [one for one in swing.measures if isinstance(one, Refusal) and _is_it(one, checkpoint)]


def _is_it(one: Measure | Refusal, checkpoint: Checkpoint) -> bool:
    return (one.name, one.moment) == (checkpoint.measure, checkpoint.moment)


def _struck(swings: Sequence[Swing]) -> list[Swing]:
    return [swing for swing in swings if not swing.rehearsal]


def _still(checkpoint: Checkpoint) -> Still | None:
    if checkpoint.moment is None:
        return None
    return Still(checkpoint.moment, checkpoint.view, (checkpoint.measure,))


def _unseen(voice: Voice, why: Why, *reasons: str) -> Outcome:
    return Outcome(Word.UNSEEN, compose_unseen(voice, *reasons), why)
