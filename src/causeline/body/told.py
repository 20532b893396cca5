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

INFLATE: dict[str, dict[str, tuple[float, float, float]]] = {
    View.FACE_ON: {
        "arm_level_back": (1.0, 0.9, 0.95), "top": (1.55, 1.5, 1.05),
        "arm_level_down": (0.9, 0.9, 1.0), "impact": (1.15, 1.35, 1.4), "finish": (1.9, 1.9, 1.5),
    },
    View.DOWN_THE_LINE: {
        "arm_level_back": (0.95, 0.85, 0.95), "top": (1.55, 1.4, 1.4),
        "arm_level_down": (0.7, 0.7, 0.8), "impact": (1.1, 1.0, 1.7), "finish": (1.2, 1.2, 1.05),
    },
    "both": {
        "arm_level_back": (1.0, 0.9, 0.9), "top": (1.5, 1.4, 1.35),
        "arm_level_down": (0.95, 1.0, 1.2), "impact": (1.1, 1.5, 2.0), "finish": (1.4, 1.6, 1.4),
    },
}  # fmt: skip
"""By which the ± of each turn is multiplied at each moment, so that nine in ten of the truths of
training golfers (55 clips face-on, 51 down the line, 16 pairs; sound swings and planted faults) lie
inside a 90 % interval; between moments in proportion. At the top and at impact half-way (in
proportion) to what ten training swings asked for whose hands are higher at the top: too few to
follow them all the way."""
TWO_SWINGS_DEG = 2.5
"""How far one golfer's turn differs from swing to swing, one standard deviation: judged."""
HELD_S = 0.4
"""Before address and after the finish the golfer is taken to be still for this long."""
STEP = 1e-2
"""Share of a way to be wrong over which a turn's change is taken."""


def told_motion(known: Known, rest: Floats, body: BodyTrack, several: bool) -> Motion:
    """The body over the frames of a track. `several`: the views are of two swings, not of one.

    `rest` (P, Q, 3), shares of the stature, is what learned ways do not hold.
    """
    clock, joints = known.time_s, len(BODY_LANDMARKS)
    inside = (body.time_s >= clock[0] - HELD_S) & (body.time_s <= clock[-1] + HELD_S)
    at = np.clip(body.time_s, clock[0], clock[-1])

    def over_time(values: Floats) -> Floats:
        curve = PchipInterpolator(clock, values, axis=0)(at)
        shaped = inside.reshape(-1, *[1] * (values.ndim - 1))
        return np.where(shaped, curve, np.nan)

    point_sd = np.sqrt((known.ways**2).sum(axis=0) + (known.stature_m * rest) ** 2)
    return Motion(
        body.frames,
        body.time_s,
        over_time(known.points[:, :joints]),
        over_time(point_sd[:, :joints]),
        over_time(known.begun + turns_of(known.points)),
        over_time(_turn_sd(known, several)),
        _words(len(known.views), several),
        known,
    )


def _turn_sd(known: Known, several: bool) -> Floats:
    """(P, 3) degrees."""
    moved = turns_of(known.points + STEP * known.ways) - turns_of(known.points)
    sd = np.sqrt(((moved / STEP) ** 2).sum(axis=0)).reshape(-1, len(TURNS))
    wider = _wider(known.views)
    return np.hypot(sd * wider, TWO_SWINGS_DEG if several else 0.0)


def _wider(views: tuple[View, ...]) -> Floats:
    """(P, 3)."""
    factors = INFLATE["both" if len(set(views)) > 1 else views[0]]
    places = [phase_place(name) for name in factors]
    columns = np.array(list(factors.values())).T
    return np.stack([np.interp(np.arange(PHASES), places, column) for column in columns], axis=1)


def _words(views: int, several: bool) -> str:
    told = "one motion of learned ways to swing, fitted to every frame of "
    if views == 1:
        return told + "one view"
    return told + ("two views of two swings" if several else "two views of one swing")
