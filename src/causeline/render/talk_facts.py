"""What marks of a talk-through hang on: a swing's tracks and moments, as the clip shows them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from causeline.model.reading import Swing
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

BETWEEN = {
    "hands": ("lead_wrist", "trail_wrist"),
    "shoulders": ("lead_shoulder", "trail_shoulder"),
    "hips": ("lead_hip", "trail_hip"),
}
"""Points that are made of two others."""
NOWHERE: Floats = np.full(2, np.nan)


@dataclass(frozen=True, slots=True, eq=False)
class Tracked:
    """A point of body or club over the frames of its swing."""

    xy: Floats
    """(n, 2) pixels of the clip as it is shown; NaN where it is missing."""
    sd_px: Floats
    """(n,) along each axis; NaN where it is not known."""
    sure: Floats
    """(n,) confidence, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Stature:
    """How long a standing golfer is in the picture, and how tall; each with its ±."""

    px: float
    px_sd: float
    cm: float | None = None
    cm_sd: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class SwingFacts:
    """One swing."""

    width: int
    height: int
    """Of the clip."""
    frames: NDArray[np.int64]
    """(n,) of the clip, rising."""
    points: Mapping[str, Tracked]
    moments: Mapping[str, int]
    """The frame of each moment that was found."""
    stature: Stature | None = None
    touched: Mapping[str, frozenset[int]] = field(default_factory=dict)
    """Frames at which a person set a point, by the point's name."""

    def row(self, frame: int) -> int:
        """Place of a frame in the tracks; -1 where they do not have it."""
        found = np.flatnonzero(self.frames == frame)
        return int(found[0]) if len(found) else -1

    def point(self, name: str, row: int) -> Floats:
        """(2,) a point at a place of the tracks; NaN where it is not known."""
        if name in BETWEEN:
            one, other = (self.point(each, row) for each in BETWEEN[name])
            return np.asarray((one + other) / 2)
        known = self.points.get(name)
        return NOWHERE if known is None or not 0 <= row < len(known.xy) else known.xy[row]

    def spread(self, name: str, row: int) -> float:
        """Its standard deviation along each axis, pixels; NaN where it is not known."""
        if name in BETWEEN:
            one, other = (self.spread(each, row) for each in BETWEEN[name])
            return float(np.hypot(one, other)) / 2
        known = self.points.get(name)
        return float("nan") if known is None or not 0 <= row < len(known.xy) else known.sd_px[row]

    def sure(self, name: str, row: int) -> float:
        """Its confidence; 0 where it is not known."""
        known = self.points.get(name)
        return 0.0 if known is None or not 0 <= row < len(known.xy) else float(known.sure[row])


def render_swing_facts(
    swing: Swing,
    size: tuple[int, int],
    stature: Stature | None = None,
    touched: Mapping[str, frozenset[int]] | None = None,
) -> SwingFacts:
    """The facts of a swing in a clip of that size (width, height)."""
    body, club = swing.body, swing.club
    shown = body.shown_xy()
    points = {
        name: Tracked(shown[:, k], body.sd_px[:, k], np.nan_to_num(body.confidence[:, k]))
        for k, name in enumerate(BODY_LANDMARKS)
    }
    if club is not None:
        unknown = np.full(len(body), np.nan)
        for name, xy in (("grip", club.grip), ("hosel", club.shaft_end()), ("head", club.head)):
            seen = np.array(xy, dtype=float)
            if body.mirrored:
                seen[:, 0] = body.width - 1 - seen[:, 0]
            points[name] = Tracked(seen, unknown, np.nan_to_num(club.confidence))
    return SwingFacts(
        width=size[0],
        height=size[1],
        frames=body.frames,
        points=points,
        moments={moment.name.value: moment.frame for moment in swing.moments.found},
        stature=stature,
        touched=touched or {},
    )
