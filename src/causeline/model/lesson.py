"""What a golfer takes home: strengths, one cause, drills, a checkpoint and a plan.

Every sentence is a `Line` with an id, so that a coach edits one without losing where it came from.
Pictures are named by moment and measure, never held.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from causeline.model.clip import View
from causeline.model.moments import MomentName

MOST_DRILLS = 2


class Part(StrEnum):
    """Parts of a lesson, in the order in which they are read."""

    STRENGTHS = "strengths"
    CAUSE = "cause"
    ANSWER = "answer"
    DRILLS = "drills"
    CHECKPOINT = "checkpoint"
    PLAN = "plan"
    EXPECT = "expect"
    CARE = "care"


@dataclass(frozen=True, slots=True)
class Still:
    """A frame to show beside a line."""

    moment: MomentName
    view: View
    measures: tuple[str, ...] = ()
    """Names of the measures to draw on it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One sentence or short paragraph of the lesson."""

    id: str
    part: Part
    text: str
    source: tuple[str, ...] = ()
    """Names of the measures, findings or drills that it speaks from."""
    stills: tuple[Still, ...] = ()
    written: str | None = None
    """What the template wrote, where somebody has since edited the text."""
    edited_by: str | None = None


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """How the golfer knows that it worked: one measure, one moment, one view."""

    measure: str
    moment: MomentName | None
    view: View
    unit: str
    now: float
    target: float
    """A step from now towards the band, not an ideal."""
    upward: bool


@dataclass(frozen=True, slots=True)
class PracticeSession:
    """One short practice on a day."""

    uid: str
    """Stays the same when the session moves."""
    starts: datetime
    minutes: int
    drills: tuple[str, ...]

    def __post_init__(self) -> None:
        if self.starts.tzinfo is None:
            raise ValueError(
                f"got a practice at {self.starts} without a time zone; expected one: "
                "give the golfer's own time zone"
            )


@dataclass(frozen=True, slots=True)
class Lesson:
    """One thing to change, and how."""

    id: str
    made: date
    cause: str | None
    """Name of the finding; None where none was sure enough to name."""
    lines: tuple[Line, ...]
    drills: tuple[str, ...]
    later: str | None
    """A drill for when these are done."""
    checkpoint: Checkpoint | None
    sessions: tuple[PracticeSession, ...]
    film_again: date
    sequence: int = 0
    """Counts the changes to the plan since it was first sent (RFC 5545, SEQUENCE)."""

    def __post_init__(self) -> None:
        if len(self.drills) > MOST_DRILLS:
            raise ValueError(
                f"got {len(self.drills)} drills in one lesson; expected {MOST_DRILLS} at most: "
                "keep the rest for later"
            )
        ids = [line.id for line in self.lines]
        if len(set(ids)) < len(ids):
            raise ValueError(f"got lines {ids}; expected each id once: rename the second")

    def part(self, part: Part) -> tuple[Line, ...]:
        """Lines of one part, in reading order."""
        return tuple(line for line in self.lines if line.part is part)
