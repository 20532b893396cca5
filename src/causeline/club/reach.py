"""Where the club can be: the golfer's hands and size, and a square of the clip around them."""

from __future__ import annotations

import numpy as np

from causeline.club.path import Arms
from causeline.model.tracks import BodyTrack, Region
from causeline.quantities.angle import Floats

REACH = 0.66
"""Half a side of the square, in statures: arms aside, a club reaches 1.15 m from the hands."""

CHAIN = 0.78
"""Ankle to shoulder along shank, thigh and trunk, in statures (ANSUR II, Gordon et al. 2014)."""

FOREARM = 0.1505
"""Elbow to wrist, in statures (ANSUR II)."""

STANDING = 0.8
"""Quantile of that chain over the frames: most of them show it a little foreshortened."""


def track_regions(body: BodyTrack) -> tuple[Region, ...]:
    """One square for each frame; none at all when the wrists or the size were never seen."""
    side = 2 * REACH * track_stature_px(body)
    middle = _bridged(body.middle("wrist"))
    if not np.isfinite(side) or not np.isfinite(middle).all():
        return ()
    return tuple(Region(float(x), float(y), float(side)) for x, y in middle)


def track_hands(body: BodyTrack) -> Floats:
    """(n, 2) where the hands hold the club: half-way between wrists and knuckles."""
    wrists = _bridged(body.middle("wrist"))
    knuckles = body.middle("knuckle")
    return np.where(np.isfinite(knuckles), (wrists + knuckles) / 2, wrists)


def track_arms(body: BodyTrack) -> Arms:
    """The hands, and both forearms as shares of their whole length."""
    whole = FOREARM * track_stature_px(body)
    forearms = [
        (body.point(f"{side}_elbow") - body.point(f"{side}_wrist")) / whole
        for side in ("lead", "trail")
    ]
    return Arms(track_hands(body), np.stack(forearms))


def track_stature_px(body: BodyTrack) -> float:
    """The golfer's standing height in pixels; NaN when it cannot be told."""
    chain = sum(
        (_limb(body, low, high) for low, high in (("ankle", "knee"), ("knee", "hip"))),
        np.hypot(*(body.middle("shoulder") - body.middle("hip")).T),
    )
    seen = chain[np.isfinite(chain)]
    return float(np.quantile(seen, STANDING)) / CHAIN if len(seen) else float("nan")


def _limb(body: BodyTrack, low: str, high: str) -> Floats:
    sides = [
        np.hypot(*(body.point(f"{side}_{high}") - body.point(f"{side}_{low}")).T)
        for side in ("lead", "trail")
    ]
    return np.fmax(*sides)


def _bridged(points: Floats) -> Floats:
    """Gaps filled straight from the frames around them, and the ends held."""
    seen = np.isfinite(points).all(axis=1)
    if not seen.any():
        return points
    at = np.arange(len(points))
    return np.stack([np.interp(at, at[seen], points[seen, axis]) for axis in (0, 1)], axis=1)
