"""What the engine's points tell by themselves, before sides are named and paths smoothed."""

from __future__ import annotations

import numpy as np

from causeline.model.tracks import ENGINE_LANDMARKS, LandmarkTrack
from causeline.quantities.angle import Floats

SEEN = 0.05
"""A point less sure than this is not used at all."""
PLAIN = 0.3
"""Wrists that are less sure lie, where the hands are high, a third of the trunk too low on average
and anywhere between chest and knees in one look of eight (72 rendered swings in two views)."""
SPIKE_S, SPIKE = 0.06, 0.4
"""No hands leave the path of their neighbours so far and so briefly, not even at impact."""
LEAST_TALL = 0.5
"""Of its median: a golfer who bends to the ball does not shrink the yardstick further."""


def hands_height(track: LandmarkTrack, least: float = SEEN) -> Floats:
    """Height of the hands over the hips, (n,), in heights of the shoulders over the hips.

    NaN where neither wrist's confidence reaches `least`.
    """
    hips, shoulders = middle(track, "hip"), middle(track, "shoulder")
    tall = hips[:, 1] - shoulders[:, 1]
    shortest = LEAST_TALL * typical(tall)
    height = (hips[:, 1] - hands(track)[:, 1]) / np.fmax(tall, shortest if shortest > 0 else np.nan)
    wrists = np.fmax(confidence(track, "left_wrist"), confidence(track, "right_wrist"))
    height = np.where(wrists >= least, height, np.nan)
    return _without_spikes(track.time_s, height)


def _without_spikes(time_s: Floats, height: Floats) -> Floats:
    """NaN where a height is far from the median of those within `SPIKE_S`, itself among them."""
    kept = height.copy()
    first = np.searchsorted(time_s, time_s - SPIKE_S)
    last = np.searchsorted(time_s, time_s + SPIKE_S, side="right")
    for k in range(len(height)):
        if abs(height[k] - typical(height[first[k] : last[k]])) > SPIKE:
            kept[k] = np.nan
    return kept


def hands(track: LandmarkTrack) -> Floats:
    """Where both hands are, (n, 2) pixels: the wrists, weighted by confidence."""
    wrists = np.stack([track.point("left_wrist"), track.point("right_wrist")])
    weight = np.stack([confidence(track, "left_wrist"), confidence(track, "right_wrist")]) ** 2
    seen = (weight > SEEN**2) & np.isfinite(wrists).all(axis=2)
    weight = np.where(seen, weight, 0.0)
    total = weight.sum(axis=0)
    summed = np.sum(weight[..., None] * np.nan_to_num(wrists), axis=0)
    return summed / np.where(total > 0, total, np.nan)[:, None]


def hands_apart(track: LandmarkTrack) -> Floats:
    """Distance between the wrists in trunk lengths, (n,); NaN where either is in doubt."""
    apart = np.linalg.norm(track.point("left_wrist") - track.point("right_wrist"), axis=1)
    sure = np.minimum(confidence(track, "left_wrist"), confidence(track, "right_wrist")) > 0.5
    return np.where(sure, apart, np.nan) / trunk_px(track)


def trunk_px(track: LandmarkTrack) -> float:
    """Median distance from the middle of the shoulders to the middle of the hips, pixels."""
    return typical(np.linalg.norm(middle(track, "shoulder") - middle(track, "hip"), axis=1))


def middle(track: LandmarkTrack, part: str) -> Floats:
    """Half-way between the left and the right point of a pair, (n, 2) pixels."""
    return (track.point(f"left_{part}") + track.point(f"right_{part}")) / 2


def between(track: LandmarkTrack, part: str) -> Floats:
    """The vector from the right to the left point of a pair, (n, 2) pixels."""
    return track.point(f"left_{part}") - track.point(f"right_{part}")


def confidence(track: LandmarkTrack, name: str) -> Floats:
    """The engine's confidence in one landmark over time, (n,); 0 where it is unknown."""
    return np.nan_to_num(track.confidence[:, ENGINE_LANDMARKS.index(name)].astype(float))


def typical(values: Floats) -> float:
    """The median of what is known; NaN where nothing is."""
    known = values[np.isfinite(values)]
    return float(np.median(known)) if len(known) else float("nan")
