"""What a golfer's new clip says of the checkpoint, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from causeline.model.lesson import Still
from causeline.quantities.uncertain import Uncertain


class Word(StrEnum):
    """The answer in a word."""

    THERE = "there"
    NEARLY = "nearly"
    NOT_YET = "not yet"
    UNSEEN = "could not be seen"


class Why(StrEnum):
    """Why a clip could not answer."""

    SAME_CLIP = "the same clip"
    OLD = "filmed before the lesson"
    UNREADABLE = "no swing could be read"
    FAILED = "reading it went wrong here"
    NO_CHECKPOINT = "the lesson has no checkpoint that a film shows"
    WRONG_VIEW = "filmed from the other place"
    OTHER_HAND = "plays with the other hand"
    NO_BALL = "practice swings only"
    NOT_MEASURED = "the measure was refused"
    UNSURE = "its ± is larger than the step"


class Moved(StrEnum):
    """Where it has gone since the lesson, as far as measuring can tell."""

    RIGHT_WAY = "the right way"
    OTHER_WAY = "the other way"
    NOT_TOLD = "cannot be told from before"


@dataclass(frozen=True, slots=True)
class Outcome:
    """The checkpoint in one clip."""

    word: Word
    lines: tuple[str, ...]
    """Sentences to the golfer, in their language; the word itself comes first."""
    why: Why | None = None
    """None where the checkpoint was seen."""
    value: Uncertain | None = None
    """The mean of the swings with the ± of measuring, in the checkpoint's own unit."""
    moved: Moved | None = None
    swings: int = 0
    """How many of them counted."""
    swing: int = 0
    """The one to show, from 1; 0 where there is none."""
    still: Still | None = None
    """The picture that goes with it."""
