"""One view of a swing, ready to be fitted: where each point was seen, and how far to trust it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular

from causeline.body.phases import NEEDED, PHASE_MOMENTS, phase_times
from causeline.body.trust import body_size
from causeline.model.clip import View
from causeline.model.moments import MomentName, Moments
from causeline.model.motion import POINTS, Correction
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats

LASTING, DRIFTING = 0.5, 0.8
"""Of a point's squared error: the share of its best frames' that lasts over the whole swing; of
the remainder, the share that drifts with the posture. The rest is new in every sample."""
DRIFT = 6.0
"""Samples of the clock over which an error drifts."""
CLUB_SURE, CLUB_SHARE = 0.5, 0.03
"""Least confidence of a club that is used, and how far its ends are off, of the stature."""
KNUCKLES = 1.5
"""The engine's index knuckle rides on the grip: it is trusted that much less than it says."""


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
    """(P, Q) pixels; NaN is missing."""
    firm: Firm

    def whitener(self) -> Whitener:
        """What turns residuals into unit normals."""
        blocks: list[tuple[int, NDArray[np.int64], Floats]] = []
        for point in range(self.xy.shape[1]):
            rows = np.flatnonzero(np.isfinite(self.sd[:, point])).astype(np.int64)
            if len(rows):
                root = np.asarray(
                    np.linalg.cholesky(_covariance(rows, self.sd[rows, point])), np.float64
                )
                blocks.append((point, rows, root))
        return Whitener(tuple(blocks))

    def doubted(self, residual: Floats) -> Shot:
        """The same with less trust in what lies far off, (P, Q, 2) pixels of residual."""
        off = np.linalg.norm(residual, axis=2) / self.sd
        return replace(self, sd=self.sd * np.maximum(1.0, off / 2.5))


@dataclass(frozen=True, slots=True, eq=False)
class Whitener:
    """Lower factors of the covariance of each point's error, the same along both axes."""

    blocks: tuple[tuple[int, NDArray[np.int64], Floats], ...]

    def apply(self, array: Floats) -> Floats:
        """(P, Q, 2, ...) pixels to (rows, ...) unit normals."""
        tail = array.shape[3:]
        parts = [
            solve_triangular(root, array[rows, point].reshape(len(rows), -1), lower=True)
            for point, rows, root in self.blocks
        ]
        return np.concatenate([part.reshape(-1, *tail) for part in parts])


def sample_view(seen: View3D, times: Floats, usual: Floats | None = None) -> Shot:
    """A view on the common clock.

    `usual` (P, Q, 2), statures in pixels, is what the engine's points are off by: taken off, but
    not from what a person set. A person's point stands beside the engine's, so that it also tells
    how far the engine is off there.
    """
    body = seen.body
    size_px = body_size(body.xy)
    xy = np.full((len(times), len(POINTS), 2), np.nan)
    sd = np.full(xy.shape[:2], np.nan)
    for point, name in enumerate(BODY_LANDMARKS):
        xy[:, point] = _between(times, body.time_s, body.xy[:, point])
        wide = KNUCKLES if name.endswith("knuckle") else 1.0
        sd[:, point] = wide * _between(times, body.time_s, body.sd_px[:, point, None])[:, 0]
    if usual is not None:
        xy -= usual * size_px
    if seen.club is not None:
        _add_club(xy, sd, seen, times, size_px)
    missing = ~(np.isfinite(xy).all(axis=2) & np.isfinite(sd))
    sd[missing] = np.nan
    xy[missing] = np.nan
    return Shot(seen.view, seen.size, xy, sd, _firm(seen, times))


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


def _covariance(rows: NDArray[np.int64], sd: Floats) -> Floats:
    lasting = LASTING * float(sd.min()) ** 2
    rest = np.sqrt(sd**2 - lasting)
    alike = np.exp(-np.abs(rows[:, None] - rows) / DRIFT)
    mixed = DRIFTING * alike + (1.0 - DRIFTING) * np.eye(len(rows))
    covariance: Floats = lasting + rest[:, None] * rest * mixed
    return covariance
