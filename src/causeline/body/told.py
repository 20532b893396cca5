"""What a fit tells: joints and turns over the frames of a clip, each with its ±."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import PchipInterpolator

from causeline.body.turned import turns_of
from causeline.model.clip import View
from causeline.model.motion import TURNS, Known, Motion
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats

INFLATE = {View.FACE_ON: (1.4, 1.4, 1.1), View.DOWN_THE_LINE: (2.0, 2.0, 1.3)}
"""By which the ± of each turn is widened, from golfers of known turn that the offsets were not
fitted on. Two views take the smaller."""
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
        over_time(turns_of(known.points)),
        over_time(_turn_sd(known, several)),
        _words(len(known.views), several),
        known,
    )


def _turn_sd(known: Known, several: bool) -> Floats:
    """(P, 3) degrees."""
    moved = turns_of(known.points + STEP * known.ways) - turns_of(known.points)
    sd = np.sqrt(((moved / STEP) ** 2).sum(axis=0)).reshape(-1, len(TURNS))
    wider = np.min([INFLATE[view] for view in known.views], axis=0)
    return np.hypot(sd * wider, TWO_SWINGS_DEG if several else 0.0)


def _words(views: int, several: bool) -> str:
    told = "one motion of learned ways to swing, fitted to every frame of "
    if views == 1:
        return told + "one view"
    return told + ("two views of two swings" if several else "two views of one swing")
