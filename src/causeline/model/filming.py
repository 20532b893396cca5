"""Advice on how the clip was filmed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a fault of filming takes from the reading."""

    NOTE = "note"
    """Nothing is lost; the next clip could be better."""
    COSTS = "costs"
    """Some measures are wider or refused."""
    SPOILS = "spoils"
    """Most of the reading is unsure."""


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do better when filming next, in plain words."""

    name: str
    severity: Severity
    advice: str
