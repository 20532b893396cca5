"""Swings of one golfer over days, and what can be said of a change between them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort
from causeline.model.lesson import Checkpoint
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.practice import Word
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
    sem: float
    """What one swing differs by from the others of its session, one standard deviation: the
    golfer's own variation and the jitter of measuring together."""
    detectable: float
    """The smallest difference that swings as these would show (95 %)."""
    verdict: Verdict
    more_swings: int | None
    """How many more swings, filmed from the same spot, would settle it if they go on as they are;
    0 where it is settled, None where more swings alone would not."""
    more_days: int | None
    """How many more days as the last one, each from its own spot, would settle it; as above."""
    kept: bool | None
    """Whether the later swings were made on a day without practice before them; None with no change
    to keep."""


@dataclass(frozen=True, slots=True)
class Checked:
    """One day's answer to a checkpoint."""

    day: date
    word: Word
    value: Uncertain | None
    """Mean of the day's swings, with what their ± is together; None where it could not be seen."""
    swings: int
    practised: bool = False
    """After practice on that very day: whether it stays is not known yet."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a golfer stands in the picture at address, in shares of the picture's height."""

    x: float
    """The middle between the ankles, from the picture's own middle."""
    y: float
    size: float
    """From the ankles to the ears."""


@dataclass(frozen=True, slots=True)
class Swung:
    """One swing of a golfer, as progress looks at it."""

    day: date
    clip: str
    """Its SHA-256."""
    name: str
    """The clip's, to show."""
    number: int
    """Place among the swings of its reading, from 1."""
    view: View
    hand: Hand
    measures: tuple[Measure | Refusal, ...]
    club: ClubSort | None = None
    placed: Placed | None = None
    practised: bool = False
    struck: bool = True
    """False for a rehearsal: no ball."""

    def measure(self, name: str, moment: MomentName | None) -> Measure | None:
        """The measure of that name there; None where it is refused or not given."""
        wanted = (name, moment)
        found = (one for one in self.measures if (one.name, one.moment) == wanted)
        return next((one for one in found if isinstance(one, Measure)), None)


class Unfit(StrEnum):
    """Why a swing does not count in a comparison."""

    OTHER_VIEW = "filmed from the other side"
    OTHER_HAND = "swung with the other hand: somebody else, or a mirrored film"
    OTHER_CLUB = "another club"
    NO_BALL = "no ball was struck"
    SLOW = "slower than full speed"
    UNMEASURED = "could not be measured"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A swing that does not count, and why."""

    day: date
    name: str
    number: int
    why: Unfit
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Practised:
    """What came of a plan so far."""

    planned: int
    due: int
    """Practices whose day is over."""
    done: int
    missed: int
    """Of those that were due."""
    last: date | None
    """Day of the last tick."""


class Stage(StrEnum):
    """What comes next for a golfer."""

    PRACTISE = "practise"
    FILM = "film again"
    OVER = "the plan is over"
    """It was practised and filmed, and the target was not met: the coach has the word."""
    FURTHER = "the target moves"
    NEXT = "the next cause"
    """The checkpoint is done with: what to work at next is asked of the newest swing."""


@dataclass(frozen=True, slots=True)
class NextCause:
    """What the newest swing says comes first now."""

    name: str
    title: str
    probability: float
    sentence: str
    day: date
    again: bool
    """The same cause as before: it is better and still comes first."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a golfer stands with one lesson."""

    lesson: str
    title: str
    made: date
    checkpoint: Checkpoint | None
    before: tuple[Session, ...]
    after: tuple[Session, ...]
    """Everything filmed since, in order of days."""
    change: Change | None
    """None without a checkpoint, or without a swing that counts on either side."""
    others: tuple[Change, ...]
    """Other measures that changed."""
    checked: tuple[Checked, ...]
    """One for each day that was filmed since, in order."""
    met_on: tuple[date, ...]
    """Days on which the target was met."""
    left_out: tuple[LeftOut, ...]
    practice: Practised
    stage: Stage


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
