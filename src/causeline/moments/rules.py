"""The ten moments as literal rules: a signal, what is looked for in it, and between which instants.

The rules of a view are tried in the order in which they are written; a later rule may lean on what
an earlier one found. Where there is a track of the club, its rules come first, and the body's rule
of the same moment is the fallback.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from causeline.model.clip import View
from causeline.model.moments import MomentName as M
from causeline.moments import signals
from causeline.moments.finder import Kind
from causeline.moments.signals import Evidence, Signal
from causeline.moments.stirring import TRUNK_AND_KNEES, WHOLE, settling, stirring


@dataclass(frozen=True, slots=True)
class Rule:
    """How one moment is found."""

    name: M
    words: str
    signal: Callable[[Evidence], Signal]
    kind: Kind
    after: M | None
    """The search begins at this instant; None: at the first frame."""
    before: M | None
    """The search ends there; None: at the last frame."""
    spread_s: float
    """What the rule is worth with perfect landmarks: one standard deviation over golfers."""
    later_s: float = 0.0
    """Added to what is found: how much earlier the sign comes than the moment."""
    needs: tuple[M, ...] = ()
    """Instants that the signal leans on, beside those of the window."""
    open_end: bool = False
    """Where `before` is not in the clip, the search runs on to the last frame."""


def _share(first: M, last: M, share: float) -> Callable[[Evidence], Signal]:
    return partial(signals.time_share, first=first, last=last, share=share)


def _arms(height: Callable[[Evidence], Signal]) -> tuple[Rule, Rule]:
    return (
        Rule(
            M.ARM_LEVEL_BACK, "in the picture, the lead wrist rises to the height of its shoulder",
            height, Kind.STIRS, None, M.TOP, 0.008,
        ),
        Rule(
            M.ARM_LEVEL_DOWN, "in the picture, the lead wrist falls to the height of its shoulder",
            height, Kind.SETTLES, M.TOP, M.IMPACT, 0.005, open_end=True,
        ),
    )  # fmt: skip


_ARMS_FACE_ON = _arms(partial(signals.arm_height, above=signals.SHOULDER_ABOVE_FACE_ON))
_ARMS_DOWN_THE_LINE = _arms(signals.arm_height)

_TOP_WORDS = "the hands stop going back along the way that they take about the top"

_TOP_FACE_ON = Rule(
    M.TOP, f"{_TOP_WORDS}; 10 ms are added, for the trunk turns round first",
    signals.reach_back, Kind.PEAKS, M.ARM_LEVEL_BACK, M.ARM_LEVEL_DOWN, 0.016, later_s=0.010,
    open_end=True,
)  # fmt: skip

_TOP_DOWN_THE_LINE = Rule(
    M.TOP, f"{_TOP_WORDS}; 20 ms are added, for the trunk turns round first",
    signals.reach_back, Kind.PEAKS, M.ARM_LEVEL_BACK, M.ARM_LEVEL_DOWN, 0.020, later_s=0.020,
    open_end=True,
)  # fmt: skip

_START_FACE_ON = Rule(
    M.START, "the instant from which shoulders, arms, hips and knees are seen to move, less 28 ms",
    partial(stirring, parts=WHOLE), Kind.PEAKS, None, M.TOP, 0.022, later_s=-0.028,
    needs=(M.START,),
)  # fmt: skip

_START_DOWN_THE_LINE = Rule(
    M.START, "the instant from which shoulders, hips and knees are seen to move",
    partial(stirring, parts=TRUNK_AND_KNEES), Kind.PEAKS, None, M.TOP, 0.045,
    needs=(M.START,),
)  # fmt: skip

_BALL = (
    Rule(
        M.IMPACT, "the lead arm hangs longest below its shoulder; 14 ms are added",
        signals.arm_hang, Kind.PEAKS, M.TOP, M.FINISH, 0.012, later_s=0.014,
    ),
    Rule(
        M.IMPACT, "the hands are back nearest to address and the lead arm hangs longest, taken "
        "together; 17 ms are added",
        signals.homecoming, Kind.PEAKS, M.TOP, M.FINISH, 0.008, later_s=0.017, needs=(M.START,),
    ),
    Rule(
        M.ADDRESS, "40 ms before the start: the last that is surely still",
        _share(M.START, M.TOP, 0.0), Kind.RISES, None, M.TOP, 0.060, later_s=-0.04,
        needs=(M.START,),
    ),
    Rule(
        M.SHAFT_LEVEL_BACK, "judged without the club: two thirds of the time from the start to "
        "the level arm",
        _share(M.START, M.ARM_LEVEL_BACK, 0.66), Kind.RISES, M.START, M.TOP, 0.030,
        needs=(M.ARM_LEVEL_BACK,),
    ),
    Rule(
        M.SHAFT_LEVEL_DOWN, "judged without the club: five sixths of the time from top to impact",
        _share(M.TOP, M.IMPACT, 0.84), Kind.RISES, M.TOP, M.IMPACT, 0.008,
    ),
    Rule(
        M.SHAFT_LEVEL_THROUGH, "judged without the club: a sixth of the downswing after impact",
        _share(M.TOP, M.IMPACT, 1.175), Kind.RISES, M.IMPACT, None, 0.008, needs=(M.TOP,),
    ),
)  # fmt: skip

_FINISH_FACE_ON = Rule(
    M.FINISH, "the instant after impact at which shoulders, arms and hips are seen to rest",
    settling, Kind.PEAKS, M.IMPACT, None, 0.140, later_s=0.03,
)  # fmt: skip

_FINISH_DOWN_THE_LINE = Rule(
    M.FINISH, "the instant after impact at which shoulders, arms and hips are seen to rest; 0.12 s "
    "are added, for the last of it goes away from the camera",
    settling, Kind.PEAKS, M.IMPACT, None, 0.115, later_s=0.12,
)  # fmt: skip

_CLUB_START_FACE_ON = Rule(
    M.START, "the end of the shaft strays by 3 % of the shaft's length, for the last time after "
    "0.15 s of rest; 7 ms are taken off",
    partial(signals.shaft_stirs, over_s=0.15, most=0.03), Kind.STIRS, None, M.ARM_LEVEL_BACK,
    0.015, later_s=-0.007,
)  # fmt: skip

_CLUB_START_DOWN_THE_LINE = Rule(
    M.START, "the end of the shaft strays by 3 % of the shaft's length, for the last time after "
    "0.25 s of rest; 60 ms are taken off, for it sets off toward the camera",
    partial(signals.shaft_stirs, over_s=0.25, most=0.03), Kind.STIRS, None, M.ARM_LEVEL_BACK,
    0.060, later_s=-0.060,
)  # fmt: skip

_SHAFT_FACE_ON = (
    Rule(
        M.SHAFT_LEVEL_BACK, "the shaft rises to the level",
        signals.shaft_rise, Kind.RISES, M.START, M.TOP, 0.004,
    ),
    Rule(
        M.SHAFT_LEVEL_DOWN, "the shaft falls to the level",
        signals.shaft_rise, Kind.SETTLES, M.TOP, M.IMPACT, 0.003,
    ),
    Rule(
        M.SHAFT_LEVEL_THROUGH, "the shaft rises to the level after impact",
        signals.shaft_rise, Kind.RISES, M.IMPACT, M.FINISH, 0.003,
    ),
)  # fmt: skip

_SHAFT_DOWN_THE_LINE = (
    Rule(
        M.SHAFT_LEVEL_BACK, "the shaft rises to the level in the picture; 20 ms are taken off, for "
        "the nearer end looks lower than it is",
        signals.shaft_rise, Kind.RISES, M.START, M.TOP, 0.014, later_s=-0.020,
    ),
    Rule(
        M.SHAFT_LEVEL_DOWN, "the shaft falls to the level in the picture; 8 ms are added, for the "
        "nearer end looks lower than it is",
        signals.shaft_rise, Kind.SETTLES, M.TOP, M.IMPACT, 0.009, later_s=0.008,
    ),
    Rule(
        M.SHAFT_LEVEL_THROUGH, "the shaft rises to the level in the picture after impact; 5 ms are "
        "taken off",
        signals.shaft_rise, Kind.RISES, M.IMPACT, M.FINISH, 0.007, later_s=-0.005,
    ),
)  # fmt: skip

_CLUB_IMPACT_FACE_ON = Rule(
    M.IMPACT, "the clubhead comes past its place at address",
    signals.head_past_ball, Kind.RISES, M.ARM_LEVEL_DOWN, M.FINISH, 0.003, needs=(M.START,),
)  # fmt: skip

_CLUB_IMPACT_DOWN_THE_LINE = Rule(
    M.IMPACT, "the clubhead comes back nearest to its place at address; 2 ms are added",
    signals.head_near_ball, Kind.PEAKS, M.ARM_LEVEL_DOWN, M.FINISH, 0.006, later_s=0.002,
    needs=(M.START,),
)  # fmt: skip

CLUB_RULES: dict[View, tuple[Rule, ...]] = {
    View.FACE_ON: (_CLUB_START_FACE_ON, *_SHAFT_FACE_ON, _CLUB_IMPACT_FACE_ON),
    View.DOWN_THE_LINE: (
        _CLUB_START_DOWN_THE_LINE,
        *_SHAFT_DOWN_THE_LINE,
        _CLUB_IMPACT_DOWN_THE_LINE,
    ),
}

RULES: dict[View, tuple[Rule, ...]] = {
    View.FACE_ON: (*_ARMS_FACE_ON, _TOP_FACE_ON, _START_FACE_ON, *_BALL, _FINISH_FACE_ON),
    View.DOWN_THE_LINE: (
        *_ARMS_DOWN_THE_LINE,
        _TOP_DOWN_THE_LINE,
        _START_DOWN_THE_LINE,
        *_BALL,
        _FINISH_DOWN_THE_LINE,
    ),
}
