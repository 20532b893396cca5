"""What a person set right of club and moments; a landmark's correction is `motion.Correction`."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.model.moments import MomentName

CLUB_ENDS = ("grip", "hosel", "head")
BY_HAND = "set by hand"
"""The rule of a moment that a person set."""


@dataclass(frozen=True, slots=True)
class ClubMark:
    """An end of the club that a person set right, or looked at and accepted."""

    end: str
    """One of `CLUB_ENDS`."""
    frame: int
    x: float
    """Pixels of the clip as it is shown."""
    y: float
    sd_px: float

    def __post_init__(self) -> None:
        if self.end not in CLUB_ENDS:
            raise ValueError(f"got the club's end {self.end!r}; expected one of {CLUB_ENDS}")


@dataclass(frozen=True, slots=True)
class MomentMark:
    """A moment that a person set; it belongs to the swing whose frames hold its instant."""

    name: MomentName
    time_s: float
    """Real seconds from the clip's first frame."""
    sd_s: float
    """How well a person sets it."""
