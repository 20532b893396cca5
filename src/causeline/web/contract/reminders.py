"""The golfer's reminders, and the page that stops the mail."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OwnReminder:
    """One reminder as its sentence."""

    said: str
    when: str
    """Day and hour, as far as they are set."""
    away_at: str


@dataclass(frozen=True, slots=True)
class RemindersPage:
    """Everything that a golfer reminds themselves of."""

    language: str
    style: str
    root: str
    labels: Mapping[str, str]
    reminders: tuple[OwnReminder, ...]
    days: tuple[str, ...]
    """Names of the days, Monday first."""
    amiss: bool
    """Whether what came had no words."""


@dataclass(frozen=True, slots=True)
class StopPage:
    """One button, or that it is done."""

    language: str
    style: str
    title: str
    words: str
    button: str
    """Empty where the mail is stopped."""
