"""What a golfer takes home: strengths, one cause, drills, a checkpoint and a plan.

Every sentence is a `Line` with an id, so that a coach edits one without losing where it came from.
Texts stand in the golfer's language and units. Pictures are named by moment and measure, never
held.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from causeline.model.clip import Hand, View
from causeline.model.drill import Drill
from causeline.model.filming import Advice
from causeline.model.findings import ClubSort, Findings
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.uncertain import Uncertain

MOST_DRILLS = 2


class Part(StrEnum):
    """Parts of a lesson, in the order in which they are read."""

    OPENING = "opening"
    STRENGTHS = "strengths"
    CAUSE = "cause"
    ANSWER = "answer"
    """To what the golfer said."""
    DRILLS = "drills"
    CHECKPOINT = "checkpoint"
    PLAN = "plan"
    EXPECT = "expect"
    FILM = "film"
    """How to film again."""
    CARE = "care"
    CLOSING = "closing"


class Units(StrEnum):
    """Units in which a golfer thinks of lengths and speeds."""

    METRIC = "metric"
    IMPERIAL = "imperial"


class Back(StrEnum):
    """What is known of the golfer's back."""

    NOT_ASKED = "not asked"
    WELL = "well"
    TROUBLED = "troubled"


@dataclass(frozen=True, slots=True)
class Golfer:
    """Who the lesson is for, and how to speak to them."""

    name: str = ""
    """As they are addressed; may be empty."""
    hand: Hand = Hand.RIGHT
    units: Units = Units.METRIC
    language: str = "en"
    time_zone: str = "UTC"
    """A name of the IANA database, such as Europe/Berlin."""
    said: str = ""
    """What they wrote that they were working on, in their own words."""
    stature_cm: float | None = None
    junior: bool = False
    back: Back = Back.NOT_ASKED


@dataclass(frozen=True, slots=True)
class SwingRef:
    """One swing in one clip, by what finds it again."""

    clip: str
    """The file's own name."""
    sha256: str
    view: View
    number: int
    """Place among the swings of its reading, from 1."""


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
class Brief:
    """Everything that a lesson is composed from."""

    golfer: Golfer
    swings: tuple[SwingRef, ...]
    measures: Mapping[View, tuple[Measure | Refusal, ...]]
    """Of that swing, by the view that gave them."""
    findings: Findings
    drills: tuple[Drill, ...]
    """All that the coach has, their own included."""
    made: date
    starts: datetime
    """The first practice, in the golfer's time zone."""
    coach: str = ""
    club: ClubSort | None = None
    references: tuple[SwingRef, ...] = ()
    whys: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """Why the first of two faults leads to the second, in a clause."""
    filming: tuple[Advice, ...] = ()
    """How the clips could have been filmed better."""

    def __post_init__(self) -> None:
        if self.starts.tzinfo is None:
            raise ValueError(
                f"got a first practice at {self.starts} without a time zone; expected one: "
                "give the golfer's own time zone"
            )


@dataclass(frozen=True, slots=True)
class Link:
    """One fault of the chain, in the order of the swing, the cause first."""

    name: str
    title: str
    because: str | None
    """The name of the one that it follows from; None for the cause."""


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """How the golfer knows that it worked: one measure, one moment, one view."""

    measure: str
    moment: MomentName | None
    view: View
    unit: str
    now: Uncertain
    target: float
    """A step from now towards the band, not an ideal."""
    low: float | None
    high: float | None
    """Ends of the band; None where that side is open."""
    upward: bool
    detectable: float
    """The smallest change that filming again could show."""
    title: str = ""
    shown_unit: str = ""
    """The unit of a reader's number: `unit` where they are the same."""
    shown_factor: float = 1.0
    """Reader's numbers are the measure's own times this."""


@dataclass(frozen=True, slots=True)
class PracticeSession:
    """One short practice on a day."""

    uid: str
    """Stays the same when the session moves."""
    starts: datetime
    minutes: int
    drills: tuple[str, ...]
    title: str = ""
    note: str = ""
    """What this one is for, in a sentence or two."""

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
    coach: str
    golfer: Golfer
    club: ClubSort | None
    swings: tuple[SwingRef, ...]
    """The swing that is spoken of, once for each view."""
    cause: str | None
    """Name of the finding; None where none was sure enough to name."""
    chain: tuple[Link, ...]
    lines: tuple[Line, ...]
    drills: tuple[Drill, ...]
    """Texts resolved: in the golfer's own sides, and language where they have one."""
    later: Drill | None
    """For when these are done."""
    checkpoint: Checkpoint | None
    sessions: tuple[PracticeSession, ...]
    film_again: date
    references: tuple[SwingRef, ...] = ()
    for_coach: tuple[str, ...] = ()
    """What only the coach can answer; not for the golfer's eyes."""
    labels: Mapping[str, str] = field(default_factory=dict)
    """Headings and captions of the page, in the golfer's language."""
    sequence: int = 0
    """Counts the changes to the plan since it was first sent (RFC 5545, SEQUENCE)."""
    dropped: tuple[PracticeSession, ...] = ()
    """Practices that were sent and are no longer asked for: a calendar has to be told."""

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

    def line(self, name: str) -> Line | None:
        """The line of that id, or None."""
        return next((line for line in self.lines if line.id == name), None)

    def label(self, key: str) -> str:
        """A heading or caption; the key itself where there is none."""
        return self.labels.get(key, key)
