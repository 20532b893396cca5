"""The list of golfers, and one golfer's days."""

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
class GolferList:
    """The coach's golfers."""

    named: str
    """What was looked for."""
    lines: tuple[GolferLine, ...]
