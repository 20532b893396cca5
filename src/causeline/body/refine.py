"""From the engine's landmarks to a body track: sides put right, outliers out, paths smooth."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from causeline.body.sides import name_sides
from causeline.body.smooth import Smoothed, smooth_robustly
from causeline.body.swaps import mend_swaps
from causeline.body.trust import (
    add_offsets,
    body_size,
    chance_within,
    expect_jitter,
    repeat_penalty,
)
from causeline.model.clip import Hand, View
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, LandmarkTrack
from causeline.quantities.angle import Floats

LONGEST_GAP_S = 0.1
"""A point unseen for longer than this stays NaN: hands travel a metre in a tenth of a second."""
UNSEEN_WEIGHT = 0.02
"""A measurement that its neighbours trust less than this counts as not seen."""
FIRST_JERK = 1e4
"""Density of white jerk, statures² a second⁵, by which the motion is first judged: a cut-off near
10 Hz, soft enough for hands and stiff enough for noise not to pass for acceleration."""
REST_JERK = {
    "nose": 45.0, "ear": 45.0, "shoulder": 150.0, "elbow": 750.0, "wrist": 1500.0,
    "knuckle": 1500.0, "hip": 45.0, "knee": 90.0, "ankle": 90.0, "heel": 90.0, "toe": 90.0,
}  # fmt: skip
"""The same at rest: trunk and legs are smoothed at about 4 Hz, hands at about 7 Hz."""
JERK_FOR_ACCELERATION = 60.0
"""Seconds⁻¹: what a squared acceleration adds to it, so that impact is not smeared."""
REACH_S = 0.05
"""A point that accelerates hard is free to jerk this long before and after."""
SWAP_TRUST = 0.9


def refine_body(
    track: LandmarkTrack, hand: Hand, width: int, view: View | None = None
) -> BodyTrack:
    """The golfer's track in the words lead and trail, in the frames of `track`.

    `width` is that of the picture, in pixels; times are real seconds. The view, where it is known,
    tells which side of the body is seen and so mends more exchanges of left and right.

    `sd_px` is one standard deviation along each axis and holds the jitter that is left after
    smoothing and the usual distance between an engine's landmark and the joint, not a point taken
    for another. `confidence` is the probability that the point is within 5 % of the stature of
    where it says. Points unseen for longer than `LONGEST_GAP_S` are NaN, with confidence 0.
    """
    xy, confidence = name_sides(track, hand, width)
    size_px = body_size(xy)
    xy, confidence, mended = mend_swaps(track.time_s, xy, confidence, 0.29 * size_px, view)
    if len(track.frames) > 2:
        xy, sd = _smooth(track.time_s, xy, confidence, size_px)
    else:
        sd = np.full(confidence.shape, 0.02 * size_px)
    sd = np.where(np.isfinite(xy).all(axis=2), add_offsets(sd, confidence, size_px), np.nan)
    trust = chance_within(sd, size_px) * np.where(mended, SWAP_TRUST, 1.0)
    mirrored = hand == Hand.LEFT
    return BodyTrack(track.frames, track.time_s, xy, trust, sd, width, mirrored)


def _smooth(
    time_s: Floats, xy: Floats, confidence: Floats, size_px: float
) -> tuple[Floats, Floats]:
    sd = expect_jitter(time_s, xy, confidence, size_px) * repeat_penalty(time_s, confidence)
    rough = smooth_robustly(time_s, xy, sd, np.full(sd.shape, FIRST_JERK * size_px**2))
    smooth = smooth_robustly(time_s, xy, sd, _free_to_jerk(time_s, rough.acceleration, size_px))
    unknown = _too_long_unseen(time_s, smooth)
    return np.where(unknown[..., None], np.nan, smooth.xy), smooth.sd


def _free_to_jerk(time_s: Floats, acceleration: Floats, size_px: float) -> Floats:
    """Jerk density (n, J) from the greatest acceleration within `REACH_S`."""
    near = np.abs(time_s[:, None] - time_s[None, :]) <= REACH_S
    greatest = np.stack([acceleration[row].max(axis=0) for row in near])
    rest = np.array([REST_JERK[name.rpartition("_")[2]] for name in BODY_LANDMARKS])
    return rest * size_px**2 + JERK_FOR_ACCELERATION * greatest**2


def _too_long_unseen(time_s: Floats, smooth: Smoothed) -> NDArray[np.bool_]:
    """(n, J) True where the frames that saw the point, before and after, are too far apart."""
    unknown = np.ones(smooth.weight.shape, bool)
    for landmark in range(smooth.weight.shape[1]):
        seen = time_s[smooth.weight[:, landmark] > UNSEEN_WEIGHT]
        if len(seen) == 0:
            continue
        after = np.searchsorted(seen, time_s)
        inside = (after > 0) & (after < len(seen))
        here = np.isin(time_s, seen)
        gap = seen[np.minimum(after, len(seen) - 1)] - seen[np.maximum(after - 1, 0)]
        unknown[:, landmark] = ~(here | (inside & (gap <= LONGEST_GAP_S)))
    return unknown
