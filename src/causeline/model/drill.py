"""A drill: something to practise, for the causes that it treats.

Texts may hold `{lead}` and `{trail}`: the golfer's own side, put in when a lesson is composed.
A drill's picture is kept as data: what lies where, drawn by the door that shows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from causeline.model.clip import View
from causeline.model.moments import MomentName


class Place(StrEnum):
    """Where a drill can be done."""

    INDOORS = "indoors"
    """Without a ball, or with a soft one, and with room for what is swung."""
    OUTDOORS = "outdoors"
    EITHER = "either"


class Seen(StrEnum):
    """From where a drill's picture is drawn."""

    ABOVE = "above"
    """The target to the right, the golfer at the bottom looking up at the ball."""
    FACE_ON = "face-on"
    """The target to the right, as a camera square to the chest sees it."""
    BEHIND = "behind"
    """The ball to the right, as a camera behind the hands sees it."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing in a drill's picture, in centimetres on the ground or in the air.

    Zero is the middle of the feet. x grows to the right of the picture. y grows away from the
    golfer's toes as seen from above, and upward in the other two.
    """

    kind: str
    """A word of the drawing vocabulary: foot, ball, stick, club, arrow, golfer, wall …"""
    at: tuple[float, float]
    to: tuple[float, float] | None = None
    """The other end, for what has two."""
    bend: float = 0.0
    """How far an arrow's middle lies to the left of its straight line, in its own lengths."""
    label: str = ""
    pose: str = ""
    """For a golfer: the stance or the place in the swing that is drawn."""


@dataclass(frozen=True, slots=True)
class Diagram:
    """A drill's picture as data, drawn for a right-handed golfer and mirrored for a left-handed."""

    seen: Seen
    caption: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Dose:
    """How many: sets of repeats, and the minutes they take."""

    sets: int
    repeats: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Aim:
    """What tells whether a drill works: one measure at one moment, and where it should lie."""

    measure: str
    moment: MomentName | None
    """None for a measure of the whole swing."""
    view: View
    unit: str
    low: float | None
    high: float | None
    """Ends of the band in which it counts as done; None where that side is open."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One rung of a drill: feet together then wider, no ball then a ball, half speed then full."""

    name: str
    how: str
    move_on: str
    """What it takes to go to the next; of the last one, what it takes to be done."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A way in which a drill goes wrong, and what to do then."""

    what: str
    instead: str


@dataclass(frozen=True, slots=True)
class Drill:
    """One drill, in the words of whoever wrote it."""

    name: str
    """The file's name without its ending."""
    title: str
    treats: tuple[str, ...]
    """Names of faults, the one that it was made for first."""
    purpose: str
    equipment: tuple[str, ...]
    place: Place
    setup: tuple[str, ...]
    diagram: Diagram
    steps: tuple[str, ...]
    dose: Dose
    feel: str
    cue: str
    """One thing outside the body to attend to."""
    aim: Aim | None
    """None where video does not show whether it works: then it is counted."""
    slips: tuple[Slip, ...]
    cautions: tuple[str, ...]
    rotation: bool
    """Whether it works the turning back: asked about before it is given."""
    stages: tuple[Stage, ...]
    source: str
    by: str = ""
    """Who wrote it; empty for those that come with Causeline."""
