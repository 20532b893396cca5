"""How the clip was filmed: what its pictures tell, and advice."""

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


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """Light and sharpness inside a box. NaN where the box holds no picture."""

    luminance: float
    """Mean luma, 0 black to 1 white."""
    sharpness: float
    """Share of fine detail that one more blur takes away: near 0 blurred, 0.3 and more sharp."""
    clipped: float
    """Share of pixels that are pure black or pure white, 0 to 1."""
