"""What else golfers do before a camera, made from the puppet's landmarks."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from causeline.model.tracks import ENGINE_LANDMARKS, LandmarkTrack
from tests.motions.puppet import Puppet

Floats = NDArray[np.float64]
Change = Callable[[Floats, Floats], Floats]
"""Times (n,) and points (n, 33, 2) to points."""
HANDS = tuple(
    k for k, name in enumerate(ENGINE_LANDMARKS)
    if name.endswith(("wrist", "pinky", "thumb")) or name in ("left_index", "right_index")
)  # fmt: skip
TRUNK_PX = 180.0


def standing(duration_s: float, rate_hz: float = 60.0) -> LandmarkTrack:
    """At address, quite still."""
    return _moved(duration_s, rate_hz, lambda _, xy: xy)


def waggling(duration_s: float, rate_hz: float = 60.0) -> LandmarkTrack:
    """At address, the hands going back and forth by a foot, twice a second."""

    def waggle(time_s: Floats, xy: Floats) -> Floats:
        xy[:, HANDS, 0] -= (0.3 * TRUNK_PX * (1 - np.cos(4 * np.pi * time_s)))[:, None]
        xy[:, HANDS, 1] -= (0.15 * TRUNK_PX * (1 - np.cos(4 * np.pi * time_s)))[:, None]
        return xy

    return _moved(duration_s, rate_hz, waggle)


def walking(duration_s: float, rate_hz: float = 60.0) -> LandmarkTrack:
    """Through the picture, the arms swinging against each other."""

    def walk(time_s: Floats, xy: Floats) -> Floats:
        xy[..., 0] += 1.5 * TRUNK_PX * (time_s - time_s.mean())[:, None]
        stride = 0.5 * TRUNK_PX * np.sin(2 * np.pi * time_s)
        for sign, side in ((1, "left"), (-1, "right")):
            wrist = ENGINE_LANDMARKS.index(f"{side}_wrist")
            ankle = ENGINE_LANDMARKS.index(f"{side}_ankle")
            xy[:, wrist, 0] += sign * stride
            xy[:, ankle, 0] -= sign * stride
        return xy

    return _moved(duration_s, rate_hz, walk)


def teeing(duration_s: float, rate_hz: float = 60.0) -> LandmarkTrack:
    """Down to the ground with a ball, and up again."""

    def bend(time_s: Floats, xy: Floats) -> Floats:
        down = np.sin(np.pi * time_s / duration_s) ** 2
        shoulders = [ENGINE_LANDMARKS.index(f"{side}_shoulder") for side in ("left", "right")]
        xy[:, shoulders, 1] += (0.7 * TRUNK_PX * down)[:, None]
        xy[:, HANDS, 1] += (1.5 * TRUNK_PX * down)[:, None]
        return xy

    return _moved(duration_s, rate_hz, bend)


def stretching(duration_s: float, rate_hz: float = 60.0) -> LandmarkTrack:
    """Both arms wide over the head and down again, three times."""

    def stretch(time_s: Floats, xy: Floats) -> Floats:
        lift = 2.2 * TRUNK_PX * np.sin(3 * np.pi * time_s / duration_s) ** 2
        for sign, side in ((1, "left"), (-1, "right")):
            wrist = ENGINE_LANDMARKS.index(f"{side}_wrist")
            xy[:, wrist, 1] -= lift
            xy[:, wrist, 0] += sign * 1.0 * TRUNK_PX
        return xy

    return _moved(duration_s, rate_hz, stretch)


def joined(*parts: LandmarkTrack) -> LandmarkTrack:
    """One clip of all parts, one after the other, at even frames."""
    step = float(np.median(np.diff(parts[0].time_s)))
    xy = np.concatenate([part.xy for part in parts])
    confidence = np.concatenate([part.confidence for part in parts])
    frames = np.arange(len(xy))
    return LandmarkTrack(frames, frames.astype(np.float64) * step, xy, confidence)


def thinned(track: LandmarkTrack, every: int) -> LandmarkTrack:
    """Only every so many frames, as in a first quick look."""
    kept = slice(None, None, every)
    return LandmarkTrack(
        track.frames[kept], track.time_s[kept], track.xy[kept], track.confidence[kept]
    )


def cut(track: LandmarkTrack, first_s: float, last_s: float) -> LandmarkTrack:
    """The frames between two times, with their own numbers and times."""
    kept = (track.time_s >= first_s) & (track.time_s <= last_s)
    return LandmarkTrack(
        track.frames[kept], track.time_s[kept], track.xy[kept], track.confidence[kept]
    )


def _moved(duration_s: float, rate_hz: float, change: Change) -> LandmarkTrack:
    count = round(duration_s * rate_hz)
    track = Puppet(rate_hz=rate_hz, times=tuple(np.zeros(count))).landmarks()
    time_s = np.arange(count) / rate_hz
    return LandmarkTrack(
        np.arange(count), time_s, change(time_s, track.xy.copy()), track.confidence
    )
