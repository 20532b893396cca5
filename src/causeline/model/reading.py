"""Everything measured from one clip: one record for each swing in it."""

from __future__ import annotations

from dataclasses import dataclass, field

from causeline.model.clip import Called, Clip
from causeline.model.filming import Advice
from causeline.model.findings import Findings
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moments
from causeline.model.motion import Motion
from causeline.model.tracks import BodyTrack, ClubTrack

SCHEMA = "causeline.reading/1"


@dataclass(frozen=True, slots=True, eq=False)
class Swing:
    """One swing of a clip."""

    first_frame: int
    last_frame: int
    """Both ends belong to the swing's window."""
    rehearsal: bool
    """A practice swing: no ball was struck."""
    moments: Moments
    measures: tuple[Measure | Refusal, ...]
    body: BodyTrack
    club: ClubTrack | None = None
    findings: Findings | None = None
    """None where nobody looked for faults, as in a rehearsal."""
    motion: Motion | None = None
    """The body in three dimensions; None where it could not be followed there."""


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """One clip, read."""

    clip: Clip
    view: Called
    hand: Called
    swings: tuple[Swing, ...]
    filming: tuple[Advice, ...] = ()
    engine: dict[str, str] = field(default_factory=dict)
    """Names and versions of what made the reading."""
