"""The coach's morning, and where one golfer stands."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.render.progress_lines import ProgressLines


@dataclass(frozen=True, slots=True)
class Act:
    """Something to do: a link, or a button that changes something."""

    words: str
    at: str
    changes: bool
    """True for a form that posts."""


@dataclass(frozen=True, slots=True)
class MorningLine:
    """One golfer in one matter."""

    name: str
    at: str
    """Where to read on."""
    when: str
    """How long it has been so; may be empty."""
    headline: str
    told: tuple[str, ...]
    said: str
    """The golfer's own words; may be empty."""
    bar: str
    """The change drawn, an SVG; empty where there is none."""
    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class MorningPart:
    """One matter, with everybody whom it concerns."""

    title: str
    sign: str
    """Which sign stands before the title."""
    lines: tuple[MorningLine, ...]


@dataclass(frozen=True, slots=True)
class MorningPage:
    """What a coach should hear of today."""

    day: str
    summary: str
    parts: tuple[MorningPart, ...]
    going: tuple[MorningLine, ...]
    """Who practises, and nothing is to be said."""
    nobody: bool
    """No golfer at all yet."""


@dataclass(frozen=True, slots=True)
class LessonStanding:
    """Where the golfer stands with one lesson."""

    at: str
    lines: ProgressLines
    sign: str
    """Which sign stands before the verdict."""
    chart: str
    """An SVG; empty where nothing is to be drawn."""
    small_chart: str
    """The same for a phone."""
    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class MailPart:
    """Whether mail goes to a golfer, and what they remind themselves of."""

    address: str
    """Empty where nobody agreed."""
    agreed: str
    """Who agreed and when; empty where nobody did."""
    at: str
    """Where the form goes."""
    stop_at: str
    guardian: str
    """Who has to agree for a junior; empty for others."""
    reminders: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProgressPage:
    """One golfer's lessons, the newest first."""

    name: str
    at: str
    next: str
    """What comes first now, in words; may be empty."""
    lessons: tuple[LessonStanding, ...]
    mail: MailPart
    report_at: str
    json_at: str
    csv_at: str
