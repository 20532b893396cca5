"""What is around every page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the workbench, as the head of every page names it."""

    at: str
    """Where its addresses begin."""
    name: str


PLACES = (
    Place("/morning", "Morning"),
    Place("/check-ins", "Check-ins"),
    Place("/golfers", "Golfers"),
    Place("/in", "Clips in"),
    Place("/references", "References"),
)


@dataclass(frozen=True, slots=True)
class Shell:
    """Around every page."""

    token: str
    """For forms and for scripts, so that only pages of this app change anything."""
    theme: str
    """`auto`, `light` or `dark`."""
    here: str
    """`at` of the place that the page belongs to; may be empty."""
    path: str
    coach: str
    """Name of who is at work; empty where nobody is."""
    places: tuple[Place, ...]
