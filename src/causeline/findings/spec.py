"""What a fault, a band and an arrow are: rows of the tables in this room."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.moments import MomentName

COMMON_PRACTICE = "common practice"
ANY_VIEW = (View.FACE_ON, View.DOWN_THE_LINE)


@dataclass(frozen=True, slots=True)
class Beside:
    """Another measure that moves a band's ends: a shorter swing of the arms needs less turn.

    It moves them while it is below its usual value; above, the ends stay.
    """

    measure: str
    moment: MomentName | None
    per: float
    """How far the ends move for each unit of the other measure."""
    usual: float
    """Value of the other measure at which the ends stand as they are written."""
    differs: float
    """Standard deviation of the other measure among sound swings: what is not known without it."""


@dataclass(frozen=True, slots=True)
class Band:
    """The width within which good golfers' values lie: wide, for there is no one ideal.

    `low` or `high` is None where that side says nothing.
    """

    measure: str
    moment: MomentName | None
    low: float | None
    high: float | None
    usual: float
    """What most good golfers show: two standard deviations of theirs lie from here to an end."""
    full: float
    """How far outside the band severity is 1."""
    views: tuple[View, ...] = ANY_VIEW
    """Whose picture gives the measure this meaning."""
    by_club: Mapping[ClubSort, tuple[float | None, float | None]] = field(default_factory=dict)
    """Ends for clubs that differ."""
    source: str = COMMON_PRACTICE
    rare: float = 0.01
    """How often a sound swing lies outside, on one side. Judged."""
    beside: Beside | None = None
    turns_at: float | None = None
    """For a direction: the middle of the range of 360° in which it is counted."""

    def ends(self, club: ClubSort | None) -> tuple[float | None, float | None]:
        """Low and high end for a club; those of most clubs where it is not known."""
        return self.by_club.get(club, (self.low, self.high)) if club else (self.low, self.high)

    def reach(self, side: str) -> float:
        """From the usual value to an end, the same for every club; 0 where there is none."""
        end = self.low if side == "low" else self.high
        return 0.0 if end is None else abs(end - self.usual)


@dataclass(frozen=True, slots=True)
class Watched:
    """A measure without a band: no fault by itself, but it helps to tell one from another."""

    measure: str
    moment: MomentName | None
    views: tuple[View, ...] = ANY_VIEW
    turns_at: float | None = None


@dataclass(frozen=True, slots=True)
class Sign:
    """A fault shows as a value outside a band, on one side."""

    band: str
    """Key of the table of bands."""
    side: str
    """`low` or `high`."""
    shows: float
    """Probability that this fault alone puts the value there."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault, as coaches name it."""

    name: str
    title: str
    first: MomentName
    """When it is first there: no effect of it may come earlier."""
    looks: str
    costs: str
    prior: float
    """How often it comes of itself, in swings that are sent to a coach. Judged."""
    signs: tuple[Sign, ...] = ()
    """Empty: video does not show it, somebody has to tell."""
    told_by: str = ""
    """Who can tell, of a fault without signs."""
    source: str = COMMON_PRACTICE


@dataclass(frozen=True, slots=True)
class Arrow:
    """A fault leads to another."""

    cause: str
    effect: str
    strength: float
    """Probability that the cause alone brings it about. Judged."""
    why: str
    source: str = COMMON_PRACTICE


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected of a band's value in a swing, in the measure's unit."""

    mean: float
    """Without a fault."""
    by_club: Mapping[ClubSort, float]
    """What is added for clubs that differ."""
    moved: Mapping[str, float]
    """What each fault adds at severity 1."""
    spread: tuple[float, ...]
    """How it varies with the factors that values have in common: golfers are not alike."""
    alone: float
    """Standard deviation of what is its own."""

    def usual(self, club: ClubSort | None) -> float:
        """The mean for a club; that of most clubs where it is not known."""
        return self.mean + (self.by_club.get(club, 0.0) if club else 0.0)


@dataclass(frozen=True, slots=True)
class Error:
    """How far off what is read of a band in a view is, in the value's own ±."""

    off: float
    """Read too high, on average."""
    alone: float
    """Standard deviation of what is its own."""
    shared: tuple[float, ...]
    """How it errs with the factors that the measures of a view have in common."""
