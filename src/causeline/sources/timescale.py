"""How many file seconds make one real second: slow motion stored to play slowly.

What is read, and on whose word:

- `com.android.capture.fps`, a movie-level key of Android recorders ("KEY_ANDROID_CAPTURE_FPS",
  class MdtaMetadataEntry of androidx.media3.container: "the capture frame rate (in frames per
  second)"). "When capture rate is different than the frame rate, it means that the video is
  acquired at a different rate than the playback, which produces slow motion or timelapse effect"
  (KEY_CAPTURE_RATE, android.media.MediaFormat).
- `com.apple.quicktime.full-frame-rate-playback-intent`: whether a movie recorded at 120 frames per
  second or more plays at its full rate (1) or slowly (0) (AVMetadataKey of Apple's AVFoundation).
  It tells the player what to do; the stamps in the file are in real time either way.
- The rates in the edit list of a MOV file ("Edit list table", QuickTime File Format): an edit can
  ask for slow play of a track whose own stamps are in real time. Such a list is left aside when
  the file is opened, so that the stamps are the track's own.

The rate inside H.264 or HEVC headers is not used: encoders fill it in carelessly.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

import numpy as np

from causeline.errors import SettingError
from causeline.model.clip import Clip, ScaleFrom

CAPTURE_KEY = "com.android.capture.fps"
INTENT_KEY = "com.apple.quicktime.full-frame-rate-playback-intent"
HIGHEST_RATE_HZ = 2000.0
LOWEST_SHARE = 0.9
"""A capture rate may be given down to this share of the file's rate: 29.97 for a file at 30."""
_SLOW_FROM = 1.5
"""A smaller ratio is a camera that fell behind its nominal rate in poor light."""
_WHOLE_WITHIN = 0.03
_HIGH_RATE_HZ = 100.0


def decode_time_scale(
    tags: Mapping[str, str], file_rate_hz: float, slowed_by_edits: bool = False
) -> tuple[Fraction, ScaleFrom]:
    """File seconds in one real second, and how that is known.

    `tags` are the movie's and the track's metadata; `file_rate_hz` is the rate of playing.
    """
    capture_hz = _number(tags.get(CAPTURE_KEY))
    if capture_hz is not None and file_rate_hz > 0:
        return decode_ratio(capture_hz, file_rate_hz), ScaleFrom.CONTAINER
    stored_whole = INTENT_KEY in tags and file_rate_hz >= _HIGH_RATE_HZ
    if slowed_by_edits or stored_whole:
        return Fraction(1), ScaleFrom.CONTAINER
    return Fraction(1), ScaleFrom.REAL_TIME


def decode_ratio(capture_hz: float, file_rate_hz: float) -> Fraction:
    """Rate of capture over rate of playing: whole (or one over whole) where that is meant.

    A ratio between 2/3 and 3/2 is real time.
    """
    ratio = capture_hz / file_rate_hz
    if 1 / _SLOW_FROM < ratio < _SLOW_FROM:
        return Fraction(1)
    whole = max(1, round(max(ratio, 1 / ratio)))
    if abs(max(ratio, 1 / ratio) / whole - 1.0) <= _WHOLE_WITHIN:
        return Fraction(whole) if ratio > 1 else Fraction(1, whole)
    return Fraction(ratio).limit_denominator(1000)


def with_capture_rate(clip: Clip, hz: float) -> Clip:
    """The clip as filmed at `hz` frames in a real second, whatever its file says.

    Repeated frames do not count as filmed: call it again after `RepeatWatch.marked`.
    """
    file_hz = clip.capture_rate_hz / float(clip.clock.time_scale)
    if not (math.isfinite(hz) and LOWEST_SHARE * file_hz <= hz <= HIGHEST_RATE_HZ):
        raise SettingError(
            f"a capture rate of {hz:g} frames per second came for {clip.name}",
            f"between {LOWEST_SHARE * file_hz:.4g} (the file plays {file_hz:.4g} frames per second)"
            f" and {HIGHEST_RATE_HZ:g} is expected",
            "give the rate that the camera was set to, or leave it out for a clip in real time",
        )
    clock = clip.clock.scaled(decode_ratio(hz, file_hz))
    return replace(clip, clock=clock, time_scale_from=ScaleFrom.GIVEN)


def _number(text: str | None) -> float | None:
    try:
        value = float(text) if text is not None else math.nan
    except ValueError:
        return None
    return value if np.isfinite(value) and 0 < value <= HIGHEST_RATE_HZ else None
