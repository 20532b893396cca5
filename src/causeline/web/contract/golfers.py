"""The list of golfers, one golfer's days, and the form that says who they are."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class GolferLine:
    """One golfer of the list."""

    at: str
    """Address of the golfer's page."""
    name: str
    hand: str
    clips: str
    lessons: str
    last: str
    """When the last clip came; empty where none did."""
    waiting: str
    """Check-ins without an answer, in words; empty where there is none."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several."""

    value: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class GolferList:
    """The coach's golfers."""

    named: str
    """What was looked for."""
    orders: tuple[Choice, ...]
    """Ways to sort."""
    lines: tuple[GolferLine, ...]
    archived: tuple[GolferLine, ...]


@dataclass(frozen=True, slots=True)
class GolferForm:
    """Who a golfer is, to be written down or corrected."""

    to: str
    """Where the form goes."""
    title: str
    back_to: str
    version: int
    name: str
    hands: tuple[Choice, ...]
    stature_cm: str
    units: tuple[Choice, ...]
    languages: tuple[Choice, ...]
    time_zone: str
    back: tuple[Choice, ...]
    """What is known of the golfer's back."""
    junior: bool
    guardian: str
    guardian_mail: str
    note: str
    archived: bool
    told: str
    """What somebody else saved meanwhile, or what is amiss; empty where nothing is."""


@dataclass(frozen=True, slots=True)
class SwingLink:
    """One swing that can be opened."""

    at: str
    words: str
    cause: str
    """Its first finding, in words; empty where nothing was found."""


@dataclass(frozen=True, slots=True)
class DayClip:
    """A clip on the golfer's timeline."""

    name: str
    picture: str
    """Address of its first picture."""
    facts: str
    said: str
    state: str
    """`ready`, `waiting` …: sets its sign."""
    state_words: str
    why: str
    """Why it cannot be read; empty where it can."""
    swings: tuple[SwingLink, ...]
    again: str
    """Where to ask for its reading again; empty where that would change nothing."""


@dataclass(frozen=True, slots=True)
class DayLesson:
    """A lesson on the timeline."""

    at: str
    title: str
    facts: str


@dataclass(frozen=True, slots=True)
class DayCheckIn:
    """A check-in, or ticked practice, on the timeline."""

    words: str
    said: str
    answered: str


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the timeline."""

    words: str
    clips: tuple[DayClip, ...]
    lessons: tuple[DayLesson, ...]
    check_ins: tuple[DayCheckIn, ...]
    ticks: str
    """Practices that were ticked, in words; may be empty."""


@dataclass(frozen=True, slots=True)
class GolferPage:
    """One golfer with their days, the newest first."""

    id: str
    name: str
    facts: str
    note: str
    archived: bool
    edit_at: str
    add_at: str
    """Where to add clips for them."""
    days: tuple[Day, ...]
