"""The coach's queue of check-ins."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CheckInCard:
    """One check-in as the coach sees it."""

    id: str
    name: str
    golfer_at: str
    when: str
    waited: str
    """How long it has waited, in words; empty once it is answered."""
    lesson: str
    """Title of the lesson that it belongs to; empty where that is gone."""
    felt: str
    word: str
    """What the clip said of the checkpoint; empty without a clip, or until it is read."""
    why: str
    """Why it could not be seen; empty where it was."""
    lines: tuple[str, ...]
    """What the golfer reads of it, in their language."""
    state: str
    """How far the clip's reading is; empty without a clip."""
    state_words: str
    picture: str
    swing_at: str
    """Where the swing is looked at; empty where there is none."""
    talk_at: str
    """Where a talk-through is made that answers it."""
    not_me: bool
    answer: str
    version: int
    mistake: str
    """What was answered meanwhile by somebody else; empty otherwise."""
    draft: str
    """What was written and not kept."""


@dataclass(frozen=True, slots=True)
class CheckInPage:
    """Those that wait, the longest waiting first, then the last that were answered."""

    title: str
    waiting: tuple[CheckInCard, ...]
    answered: tuple[CheckInCard, ...]
