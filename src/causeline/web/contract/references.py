"""The coach's swings to compare with."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.web.contract.golfers import Choice


@dataclass(frozen=True, slots=True)
class ReferenceLine:
    """One swing that is kept."""

    id: str
    at: str
    """Its sheet; empty where it cannot be opened."""
    picture: str
    """The golfer at the top; empty where there is none."""
    wide: int
    high: int
    title: str
    facts: str
    moments: str
    """Which moments it is tagged with, in words."""


@dataclass(frozen=True, slots=True)
class ReferencePage:
    """The page."""

    views: tuple[Choice, ...]
    clubs: tuple[Choice, ...]
    lines: tuple[ReferenceLine, ...]
    told: str
