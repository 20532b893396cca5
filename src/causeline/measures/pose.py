"""Landmarks at one instant, or at many, addressed by name."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """`xy` (..., k, 2) pixels of the k landmarks in `names`; leading axes run over variants."""

    names: tuple[str, ...]
    xy: Floats

    def point(self, name: str) -> Floats:
        """One landmark, (..., 2) pixels."""
        return self.xy[..., self.names.index(name), :]

    def middle(self, part: str) -> Floats:
        """Half-way between the lead and the trail point of a pair, (..., 2) pixels."""
        return (self.point(f"lead_{part}") + self.point(f"trail_{part}")) / 2


def measure_pose(body: BodyTrack, names: tuple[str, ...], time_s: float) -> Pose:
    """The landmarks at a real time, straight between the two frames around it; NaN outside."""
    columns = [BODY_LANDMARKS.index(name) for name in names]
    after = int(np.searchsorted(body.time_s, time_s))
    if after < len(body) and body.time_s[after] == time_s:
        return Pose(names, body.xy[after, columns])
    if after in (0, len(body)):
        return Pose(names, np.full((len(names), 2), np.nan))
    before = after - 1
    gap = body.time_s[after] - body.time_s[before]
    share = (time_s - body.time_s[before]) / gap
    xy = body.xy[before, columns] * (1 - share) + body.xy[after, columns] * share
    return Pose(names, xy)


def measure_sd_px(body: BodyTrack, names: tuple[str, ...], time_s: float) -> Floats:
    """Standard deviation of each landmark along each axis in the frame nearest, (k,) pixels."""
    columns = [BODY_LANDMARKS.index(name) for name in names]
    nearest = int(np.argmin(np.abs(body.time_s - time_s)))
    return body.sd_px[nearest, columns]
