"""The golfer in three dimensions over a swing, with how sure each number is.

Body frame, metres: x from the golfer toward the ball, y toward the target, z up; the origin lies on
the ground, midway between the ankles at address. Always a right-handed golfer: a left-handed one's
picture was mirrored on the way in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import View
from causeline.model.moments import Moments
from causeline.model.shapes import check_shapes
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats

TURNS = ("shoulder_turn", "shoulder_turn_level", "pelvis_turn")
"""Turns in degrees, zero at address, positive away from the target: of the shoulder line about the
trunk's long axis (middle of the hips to middle of the shoulders); of the shoulder line seen from
straight above; of the hip line about the vertical."""

POINTS = (*BODY_LANDMARKS, "butt", "hosel")
"""What a motion prior moves: the joints, the grip end of the club, and where its shaft ends."""


Lift = Callable[[BodyTrack, ClubTrack | None, Moments, View, float | None], "Motion | None"]
"""From what was seen, the view and the stature in metres to a body; None where it cannot tell."""


@dataclass(frozen=True, slots=True, eq=False)
class MotionPrior:
    """How golfers move, learned: motions on a clock of P phases, a mean and K ways to differ.

    In shares of the stature, body frame. A motion is `mean + z @ basis`, each z a unit normal.
    """

    mean: Floats
    """(P, Q, 3), points in the order of `POINTS`."""
    basis: Floats
    """(K, P, Q, 3)."""
    rest: Floats
    """(P, Q, 3) one standard deviation of what the K ways do not hold."""
    offsets: Floats | None = None
    """(2, P, Q, 2) shares of the stature in pixels: where the engine sees a point, less where it
    is, face-on and down the line. None is none."""
    figures: Floats | None = None
    """(2, P, J, 2) shares of the stature: the joints as the engine usually sees them, from where
    the golfer stands."""
    figures_sd: Floats | None = None
    """(2, P, J, 2) one standard deviation of them."""
    slopes: Floats | None = None
    """(2, P, 2 J, 2 J) change of the joints' offsets with the figure: rows the figure's numbers,
    columns the offsets'."""
    spread: Floats | None = None
    """(2, P, Q, 2) how far it errs from that, as a share of what its ± says: sums of pairs in the
    lead point's place, differences in the trail point's, along and across. None is 1."""
    lift: Lift | None = None
    """A learned lifter, whose turns the fit also has to explain."""

    def __post_init__(self) -> None:
        points = self.mean.shape[1:]
        if (
            points != (len(POINTS), 3)
            or self.basis.shape[1:] != self.mean.shape
            or self.rest.shape != self.mean.shape
        ):
            raise ValueError(
                f"a motion prior of shapes {self.mean.shape}, {self.basis.shape}, "
                f"{self.rest.shape} came; expected (P, {len(POINTS)}, 3), (K, P, Q, 3), (P, Q, 3)"
            )


@dataclass(frozen=True, slots=True)
class Correction:
    """A landmark that a person set right, or looked at and accepted."""

    landmark: str
    frame: int
    x: float
    """Pixels of the body track: mirrored where the track is."""
    y: float
    sd_px: float


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """How the body moved and how it may differ from that: what every ± from it rests on.

    P samples of a clock, W independent ways to be wrong, each one standard deviation.
    """

    time_s: Floats
    """(P,) seconds."""
    points: Floats
    """(P, Q, 3) metres, in the order of `POINTS`."""
    ways: Floats
    """(W, P, Q, 3) metres."""
    stature_m: float
    stature_ways: Floats
    """(W,) metres."""
    views: tuple[View, ...]
    """From where it was seen."""
    values: Floats
    """What the fit found, to start from when little has changed."""
    begun: Floats
    """(3,) degrees that the golfer had turned by the first sample, in the order of `TURNS`."""

    def at(self, time_s: float) -> tuple[Floats, Floats]:
        """Points (Q, 3) and ways (W, Q, 3), straight between samples; NaN outside the clock."""
        after = int(np.searchsorted(self.time_s, time_s))
        if not self.time_s[0] <= time_s <= self.time_s[-1]:
            return np.full(self.points.shape[1:], np.nan), np.full_like(self.ways[:, 0], np.nan)
        before = max(after - 1, 0)
        gap = self.time_s[after] - self.time_s[before]
        share = (time_s - self.time_s[before]) / gap if gap > 0 else 0.0
        points = self.points[before] * (1 - share) + self.points[after] * share
        ways = self.ways[:, before] * (1 - share) + self.ways[:, after] * share
        return points, ways


@dataclass(frozen=True, slots=True)
class SecondView:
    """The clip that saw the golfer from the other side."""

    clip: str
    """Its name."""
    sha256: str
    view: View
    one_swing: bool
    """Whether both clips show one swing, filmed by two phones, and not two swings of a session."""


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """Where the joints are in space. `J` is `len(BODY_LANDMARKS)`, n frames; NaN is missing."""

    frames: NDArray[np.int64]
    time_s: Floats
    joints: Floats
    """(n, J, 3) metres, in `BODY_LANDMARKS` order."""
    joint_sd: Floats
    """(n, J, 3) one standard deviation along each axis, metres."""
    turns: Floats
    """(n, 3) degrees, in `TURNS` order."""
    turn_sd: Floats
    """(n, 3) degrees."""
    method: str
    """In words: what it was made from."""
    known: Known | None = None
    """None where only the curves were kept."""
    second: SecondView | None = None
    """None where one view was all there was."""

    def __post_init__(self) -> None:
        n, joints = len(self.frames), (len(self.frames), len(BODY_LANDMARKS), 3)
        check_shapes(
            f"motion of {n} frames",
            {
                "time_s": (self.time_s, (n,)),
                "joints": (self.joints, joints),
                "joint_sd": (self.joint_sd, joints),
                "turns": (self.turns, (n, len(TURNS))),
                "turn_sd": (self.turn_sd, (n, len(TURNS))),
            },
        )

    def point(self, name: str) -> Floats:
        """One joint over time, (n, 3) metres."""
        return self.joints[:, BODY_LANDMARKS.index(name)]

    def turn(self, name: str) -> tuple[Floats, Floats]:
        """A turn over time and its standard deviation, both (n,) degrees."""
        column = TURNS.index(name)
        return self.turns[:, column], self.turn_sd[:, column]
