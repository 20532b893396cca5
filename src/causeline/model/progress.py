"""Swings of one golfer over days, and what can be said of a change between them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from causeline.quantities.uncertain import Uncertain


@dataclass(frozen=True, slots=True)
class Session:
    """Swings of one day, filmed from one spot, each with its value of one measure."""

    day: date
    spot: str
    """Where the camera stood: two sessions with the same word share one set-up."""
    values: tuple[Uncertain, ...]
    """One for each swing, in the order in which they were made."""
    practised: bool = False
    """The drill was practised on this day, before these swings: it is not yet kept."""


class Verdict(StrEnum):
    """What a coach can tell the golfer."""

    CHANGED = "changed"
    NOT_TOLD_APART = "not yet told apart"
    OTHER_WAY = "changed the other way"
    SOMETHING_ELSE = "changed in something else"


@dataclass(frozen=True, slots=True)
class Aim:
    """What was practised: one measure, and the way it should go."""

    measure: str
    upward: bool
    """True where more of it is wanted."""


@dataclass(frozen=True, slots=True)
class Change:
    """The difference between two times, after − before, in the measure's unit."""

    measure: str
    before: Uncertain
    after: Uncertain
    difference: Uncertain
    low: float
    """Ends of the 95 % interval of the difference."""
    high: float
    freedom: float
    """Degrees of freedom of that interval."""
    detectable: float
    """The smallest difference that swings as these would show (95 %)."""
    verdict: Verdict
    more_swings: int | None
    """How many more swings, filmed from the same spot, would settle it if they go on as they are;
    0 where it is settled, None where more swings alone would not."""
    kept: bool | None
    """Whether the later swings were made on a day without practice before them; None with no change
    to keep."""


@dataclass(frozen=True, slots=True)
class Repeats:
    """How far repeated measuring of the same thing agrees (Weir 2005)."""

    icc_2_1: float
    """Intraclass correlation with the trials' own offsets counted as error, at most 1."""
    icc_3_1: float
    """The same without them."""
    sem: float
    """Standard error of measurement, in the measure's unit: root of the error mean square."""
    detectable: float
    """Smallest difference between two single values that is more than error (95 %)."""
    bias: float
    """Mean of the last trial − mean of the first."""
