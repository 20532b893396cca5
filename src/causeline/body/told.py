"""What a fit tells: joints and turns over the frames of a clip, each with its ±."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import PchipInterpolator

from causeline.body.phases import PHASES, phase_place
from causeline.body.turned import turns_of
from causeline.model.clip import View
from causeline.model.motion import TURNS, Known, Motion
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats

TOLD: dict[str, dict[str, tuple[tuple[float, float, float], ...]]] = {
    View.FACE_ON: {
        "arm_level_back": ((0.90, 1.1, 0.57), (0.97, 0.7, 0.72), (0.45, 1.8, 0.87)),
        "top": ((1.00, -1.9, 1.26), (1.00, -1.8, 1.40), (0.77, 1.9, 0.91)),
        "arm_level_down": ((0.82, 0.6, 0.36), (0.81, 0.4, 0.36), (0.39, 1.8, 0.83)),
        "impact": ((0.61, -0.1, 0.77), (0.62, -0.3, 1.13), (0.48, -1.4, 1.04)),
        "finish": ((0.73, -0.2, 1.33), (0.96, 0.9, 1.44), (0.94, 0.3, 1.06)),
    },
    View.DOWN_THE_LINE: {
        "arm_level_back": ((0.48, 1.2, 0.38), (0.67, -0.1, 0.34), (0.65, 0.8, 0.64)),
        "top": ((0.86, -0.8, 0.88), (0.70, -0.5, 0.88), (0.78, 2.0, 0.90)),
        "arm_level_down": ((0.22, 1.4, 0.57), (0.00, -0.0, 0.97), (0.21, -0.2, 0.42)),
        "impact": ((0.96, -0.9, 0.79), (0.91, -1.1, 0.75), (0.96, -0.1, 1.10)),
        "finish": ((0.43, 1.6, 0.97), (0.47, 1.1, 1.03), (0.60, -0.3, 1.00)),
    },
    "both": {
        "arm_level_back": ((0.96, 0.3, 0.40), (1.00, 0.1, 0.36), (0.55, 1.1, 0.83)),
        "top": ((0.89, -0.9, 0.87), (0.94, -1.4, 1.26), (0.13, 2.4, 1.08)),
        "arm_level_down": ((1.00, -1.6, 0.38), (1.00, -1.5, 0.40), (1.00, 0.9, 0.48)),
        "impact": ((0.99, -0.7, 0.97), (0.91, -0.4, 1.09), (0.47, -1.3, 1.25)),
        "finish": ((0.40, 0.6, 1.47), (0.43, 0.3, 1.54), (0.73, -0.2, 1.30)),
    },
}  # fmt: skip
"""What is told of each turn at each moment: the lifter's share (the rest is the fit's), degrees
added, and by which the fit's ± is multiplied. Learned from 105 rendered swings that lifter and
prior had not met (`training.motion.told`), so that the sum is unbiased there and nineteen in twenty
truths lie inside a 90 % interval: other golfers are harder than those by about as much. The
pelvis at impact down the line, and from both, is wider still, as 194 other rendered swings asked.
Between moments in proportion."""
POSTURE = 0.045
"""Of a turn, one standard deviation: another posture than that of the golfers learned from. A
change of the rendered golfers' posture moved the shoulders at the top by 4° of 90."""
UNLIFTED = (0.0, 0.0, 1.5)
"""The same where there is no lifter: judged."""
TWO_SWINGS_DEG = 2.5
"""How far one golfer's turn differs from swing to swing, one standard deviation: judged."""
HELD_S = 0.4
"""Before address and after the finish the golfer is taken to be still for this long."""
STEP = 1e-2
"""Share of a way to be wrong over which a turn's change is taken."""


def told_motion(
    known: Known, rest: Floats, body: BodyTrack, several: bool, lifted: Floats | None = None
) -> Motion:
    """The body over the frames of a track. `several`: the views are of two swings, not of one.

    `rest` (P, Q, 3), shares of the stature, is what learned ways do not hold. `lifted` (P, 3) are
    the turns as the lifter has them, degrees: the turns told lie between them and the fit's.
    """
    clock, joints = known.time_s, len(BODY_LANDMARKS)
    inside = (body.time_s >= clock[0] - HELD_S) & (body.time_s <= clock[-1] + HELD_S)
    at = np.clip(body.time_s, clock[0], clock[-1])

    def over_time(values: Floats) -> Floats:
        curve = PchipInterpolator(clock, values, axis=0)(at)
        shaped = inside.reshape(-1, *[1] * (values.ndim - 1))
        return np.where(shaped, curve, np.nan)

    turns, turn_sd = _turns(known, several, lifted)
    point_sd = np.sqrt((known.ways**2).sum(axis=0) + (known.stature_m * rest) ** 2)
    return Motion(
        body.frames,
        body.time_s,
        over_time(known.points[:, :joints]),
        over_time(point_sd[:, :joints]),
        over_time(turns),
        over_time(turn_sd),
        _words(len(known.views), several),
        known,
    )


def _turns(known: Known, several: bool, lifted: Floats | None) -> tuple[Floats, Floats]:
    """(P, 3) degrees, and their ±.

    Where fit and lifter are far apart one of them is wrong, and the ± says so: it holds how far
    either may lie from the turn that is told.
    """
    fitted = known.begun + turns_of(known.points)
    moved = turns_of(known.points + STEP * known.ways) - turns_of(known.points)
    sd = np.sqrt(((moved / STEP) ** 2).sum(axis=0)).reshape(-1, len(TURNS))
    share, added, wider = _told(known.views, lifted is not None)
    apart = np.zeros_like(fitted) if lifted is None else lifted - fitted
    doubt = np.sqrt(share * (1.0 - share)) * apart
    several_deg = TWO_SWINGS_DEG if several else 0.0
    turns = fitted + share * apart + added
    parts = (sd * wider, doubt, POSTURE * turns, several_deg)
    spread: Floats = np.sqrt(sum(np.square(part) for part in parts))
    return turns, spread


def _told(views: tuple[View, ...], lifted: bool) -> tuple[Floats, Floats, Floats]:
    """(P, 3) each: the lifter's share, degrees added, and what the fit's ± is multiplied by."""
    if not lifted:
        share, added, wider = (np.full((PHASES, len(TURNS)), each) for each in UNLIFTED)
        return share, added, wider
    at = TOLD["both" if len(set(views)) > 1 else views[0]]
    first = [(share, 0.0, wider) for share, _, wider in next(iter(at.values()))]
    places = [0, *(phase_place(name) for name in at)]
    columns = np.array([first, *at.values()]).reshape(len(places), -1)
    over = [np.interp(np.arange(PHASES), places, column) for column in columns.T]
    share, added, wider = np.stack(over, axis=1).reshape(PHASES, len(TURNS), 3).transpose(2, 0, 1)
    return share, added, wider


def _words(views: int, several: bool) -> str:
    told = "one motion of learned ways to swing, fitted to every frame of "
    if views == 1:
        return told + "one view"
    return told + ("two views of two swings" if several else "two views of one swing")
