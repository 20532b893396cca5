"""One view of a swing, ready to be fitted: where each point was seen, and how far to trust it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from causeline.body.errors import CHANNELS, Whitener, error_channels, error_whitener
from causeline.body.lifted import Lifted, lifted_turns
from causeline.body.phases import NEEDED, PHASE_MOMENTS, phase_times
from causeline.body.trust import body_size
from causeline.body.usual import usual_offsets
from causeline.model.clip import View
from causeline.model.moments import MomentName, Moments
from causeline.model.motion import POINTS, Correction, MotionPrior
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats

CLUB_SURE, CLUB_SHARE = 0.5, 0.03
"""Least confidence of a club that is used, and how far its ends are off, of the stature."""
UNSURE_USUAL = 0.3
"""How far the engine's usual offsets, learned from rendered golfers, may be from those of a golfer,
as a share of them, one standard deviation: judged. Shoulders, hips and the rest each by itself."""
GROUPS = ("shoulder", "hip")
DOUBTED = 2.5
"""Standard deviations beyond which a point is trusted less the farther off it lies."""


@dataclass(frozen=True, slots=True, eq=False)
class View3D:
    """One view of one swing: what `recover_body` takes."""

    body: BodyTrack
    moments: Moments
    view: View
    size: tuple[int, int]
    """Width and height of the picture, pixels."""
    club: ClubTrack | None = None
    corrections: tuple[Correction, ...] = ()

    def times(self) -> Floats | None:
        """(P,) seconds of the common clock; None where address, top or impact was not found."""
        at = {name: self.moments.get(MomentName(name)) for name in PHASE_MOMENTS}
        known = {name: moment.time_s for name, moment in at.items() if moment is not None}
        if any(name not in known for name in NEEDED):
            return None
        if not known["address"] < known["top"] < known["impact"]:
            return None
        return phase_times(known)


@dataclass(frozen=True, slots=True, eq=False)
class Firm:
    """Points that a person set: errors of their own, shared with nothing. F of them."""

    sample: NDArray[np.int64]
    """(F,) of the common clock."""
    point: NDArray[np.int64]
    """(F,) of `POINTS`."""
    xy: Floats
    """(F, 2) pixels."""
    sd: Floats
    """(F,) pixels."""

    def apply(self, array: Floats) -> Floats:
        """(P, Q, 2, ...) pixels to (2 F, ...) unit normals."""
        taken = array[self.sample, self.point]
        sd = self.sd.reshape(-1, *[1] * (taken.ndim - 1))
        return (taken / sd).reshape(-1, *array.shape[3:])

    def missed(self, drawn: Floats) -> Floats:
        """By how far a body drawn at (P, Q, 2) pixels misses them, (2 F,) unit normals."""
        off: Floats = (self.xy - drawn[self.sample, self.point]) / self.sd[:, None]
        return off.reshape(-1)


@dataclass(frozen=True, slots=True, eq=False)
class Shot:
    """Observations on the common clock: P samples, Q points."""

    view: View
    size: tuple[int, int]
    xy: Floats
    """(P, Q, 2) pixels; NaN is missing."""
    sd: Floats
    """(P, C, 2) pixels of the channels of `errors`, one standard deviation; NaN is missing."""
    modes: Floats
    """(M, P, Q, 2) pixels: what all of it may be off by together, each one standard deviation."""
    firm: Firm
    lifted: Lifted | None

    def whitener(self) -> Whitener:
        """What turns residuals into unit normals."""
        return error_whitener(self.sd)

    def doubted(self, residual: Floats) -> Shot:
        """The same with less trust in what lies far off, (P, Q, 2) pixels of residual."""
        off = np.abs(np.einsum("cq,pqa->pca", CHANNELS, np.nan_to_num(residual))) / self.sd
        return replace(self, sd=self.sd * np.maximum(1.0, off / DOUBTED))


def sample_view(seen: View3D, times: Floats, prior: MotionPrior | None = None) -> Shot:
    """A view on the common clock.

    What the engine's points are usually off by is taken off, where the prior tells it, but not from
    what a person set. A person's point stands beside the engine's, so that it also tells how far
    the engine is off there.
    """
    body = seen.body
    size_px = body_size(body.xy)
    xy = np.full((len(times), len(POINTS), 2), np.nan)
    sd = np.full(xy.shape[:2], np.nan)
    for point in range(len(BODY_LANDMARKS)):
        xy[:, point] = _between(times, body.time_s, body.xy[:, point])
        sd[:, point] = _between(times, body.time_s, body.sd_px[:, point, None])[:, 0]
    if seen.club is not None:
        _add_club(xy, sd, seen, times, size_px)
    missing = ~(np.isfinite(xy).all(axis=2) & np.isfinite(sd))
    sd[missing] = np.nan
    xy[missing] = np.nan
    channels = error_channels(sd)[..., None] * np.ones(2)
    modes = np.zeros((0, *xy.shape))
    which = 0 if seen.view == View.FACE_ON else 1
    if prior is not None and prior.offsets is not None:
        usual = usual_offsets(prior, seen.view, xy, size_px)
        xy, modes = xy - usual, _unsure(usual)
    if prior is not None and prior.spread is not None:
        channels = channels * prior.spread[which]
    lift = None if prior is None else prior.lift
    motion = lift(seen.body, seen.club, seen.moments, seen.view, None) if lift else None
    lifted = lifted_turns(motion, times)
    return Shot(seen.view, seen.size, xy, channels, modes, _firm(seen, times), lifted)


def _unsure(usual: Floats) -> Floats:
    """(M, P, Q, 2): the usual offsets of each group of points, by as much as they may differ."""
    of_group = np.array([[group in name for name in POINTS] for group in GROUPS])
    rest = ~of_group.any(axis=0, keepdims=True)
    chosen = np.concatenate([of_group, rest])
    modes: Floats = UNSURE_USUAL * chosen[:, None, :, None] * usual
    return modes


def _add_club(xy: Floats, sd: Floats, seen: View3D, times: Floats, size_px: float) -> None:
    club = seen.club
    if club is None:
        return
    sure = (club.confidence >= CLUB_SURE)[:, None]
    for name, path in (("butt", club.grip), ("hosel", club.shaft_end())):
        point = POINTS.index(name)
        xy[:, point] = _between(times, seen.body.time_s, np.where(sure, path, np.nan))
        sd[:, point] = CLUB_SHARE * size_px


def _firm(seen: View3D, times: Floats) -> Firm:
    """A coach's point counts at the sample nearest, if the clock holds it."""
    instants = [np.interp(c.frame, seen.body.frames, seen.body.time_s) for c in seen.corrections]
    held = [
        (each, int(np.argmin(np.abs(times - time))))
        for each, time in zip(seen.corrections, instants, strict=True)
        if times[0] <= time <= times[-1] and each.landmark in POINTS
    ]
    return Firm(
        np.array([sample for _, sample in held], np.int64),
        np.array([POINTS.index(each.landmark) for each, _ in held], np.int64),
        np.array([(each.x, each.y) for each, _ in held], float).reshape(-1, 2),
        np.array([each.sd_px for each, _ in held], float),
    )


def _between(times: Floats, clock: Floats, values: Floats) -> Floats:
    """(P, k) linear in time; NaN outside the track and beside a missing frame."""
    columns = [
        np.interp(times, clock, values[:, axis], left=np.nan, right=np.nan)
        for axis in range(values.shape[1])
    ]
    return np.stack(columns, axis=1)
