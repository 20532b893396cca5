"""Where the club can be: the golfer's hands and size, and a square of the clip around them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from causeline.club.path import Arms
from causeline.model.tracks import BodyTrack, Region
from causeline.quantities.angle import Floats

REACH = 0.66
"""Half a side of the square, in statures: arms aside, a club reaches 1.15 m from the hands."""

CHAIN = 0.78
"""Ankle to shoulder along shank, thigh and trunk, in statures (ANSUR II, Gordon et al. 2014)."""

FOREARM = 0.1505
"""Elbow to wrist, in statures (ANSUR II)."""

HIDDEN = 0.055
"""A wrist whose place is less sure than this, in statures, is not seen."""

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


def track_hidden(body: BodyTrack) -> NDArray[np.bool_]:
    """(n,) whether neither wrist is seen, so that the hands may be elsewhere."""
    unsure = [body.spread("lead_wrist"), body.spread("trail_wrist")]
    least = np.fmin(*unsure) / track_stature_px(body)
    return ~(least < HIDDEN)


def track_arms(body: BodyTrack) -> Arms:
    """The hands, both forearms as shares of their whole length, and what may hide them."""
    whole = FOREARM * track_stature_px(body)
    hidden = track_hidden(body)
    forearms = [
        (body.point(f"{side}_elbow") - body.point(f"{side}_wrist")) / whole
        for side in ("lead", "trail")
    ]
    bones = [
        np.stack([body.point(f"{side}_{high}"), body.point(f"{side}_{low}")], axis=1)
        for side in ("lead", "trail")
        for high, low in (("shoulder", "hip"), ("hip", "knee"), ("knee", "ankle"))
    ]
    seen = np.where(hidden, np.nan, 1.0)[:, None]
    unseen = np.where(hidden, 1.0, np.nan)[:, None, None]
    return Arms(track_hands(body), np.stack(forearms) * seen, np.stack(bones) * unseen)


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
