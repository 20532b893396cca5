"""The named instants of a swing, in the order in which they come."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class MomentName(StrEnum):
    """Ten instants. Shaft and arm are level when they lie along the ground, as the view shows."""

    ADDRESS = "address"
    """The last instant at which the golfer stands still over the ball."""
    START = "start"
    """The club leaves the ball."""
    SHAFT_LEVEL_BACK = "shaft_level_back"
    ARM_LEVEL_BACK = "arm_level_back"
    """The lead arm is level with the ground, going back."""
    TOP = "top"
    """The lead arm stops going back."""
    ARM_LEVEL_DOWN = "arm_level_down"
    SHAFT_LEVEL_DOWN = "shaft_level_down"
    IMPACT = "impact"
    SHAFT_LEVEL_THROUGH = "shaft_level_through"
    FINISH = "finish"
    """The hands come to rest after the swing."""


@dataclass(frozen=True, slots=True)
class Moment:
    """One found instant."""

    name: MomentName
    time_s: float
    """Real seconds from the clip's first frame; between frames where the rule can tell."""
    sd_s: float
    """One standard deviation of `time_s`, the frame interval's share included."""
    frame: int
    """The frame nearest to it."""
    rule: str
    """In words: what was looked for."""


@dataclass(frozen=True, slots=True)
class Moments:
    """The instants that were found, in order of the swing. A missing one is absent."""

    found: tuple[Moment, ...]
    missing: tuple[tuple[MomentName, str], ...] = ()
    """Names that were not found, each with the reason."""

    def get(self, name: MomentName) -> Moment | None:
        """The instant of that name, or None when it was not found."""
        return next((moment for moment in self.found if moment.name == name), None)

    def why_missing(self, name: MomentName) -> str:
        """Why that instant was not found."""
        return dict(self.missing).get(name, f"{name} was not looked for")


@dataclass(frozen=True, slots=True)
class SwingWindow:
    """The frames of one swing in a clip, from before address to after finish: both ends belong."""

    first_frame: int
    last_frame: int
    top_s: float
    impact_s: float
    """Rough times of the track that was searched; NaN where that part is not in the clip."""
    rise_s: float
    """Rough time that the hands take from hip height to the top, NaN where not in the clip."""
    fall_s: float
    """Rough time from the top back to hip height, NaN where not in the clip."""
    confidence: float
    """Probability that this is a full swing, 0 to 1."""
    lacks: str = ""
    """What the clip does not show of it, in words; empty for a whole swing."""

    @property
    def whole(self) -> bool:
        """Whether the clip shows all of it."""
        return not self.lacks


@dataclass(frozen=True, slots=True)
class ScaleGuess:
    """How much slower than real time a clip plays, judged from the swing, and how surely."""

    scale: Fraction
    confidence: float
