"""The clip's sound, as one channel of floating-point samples."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import av.error as av_error
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from numpy.typing import NDArray

from causeline.model.clip import Clip, Sound
from causeline.sources.limits import Limits
from causeline.sources.opening import Film, decode_open

_LEAD_IN_S = 0.5
"""Decoded before the window and thrown away: a sound decoder needs a few packets to settle."""


def decode_sound(
    path: Path, clip: Clip, limits: Limits, start_s: float = 0.0, stop_s: float | None = None
) -> Sound | None:
    """The audio between two times, the mean of its channels, at its own sampling rate.

    Times are file seconds from the first frame (not scaled to real time), as is `starts_s`.
    Without `stop_s`, to the end of the pictures. Where the track has a gap or is damaged there is
    silence. No track that can be decoded, or an empty window, gives None. Memory: one window.
    """
    clock = clip.clock.scaled(Fraction(1))
    start_s = max(0.0, start_s)
    stop_s = clock.duration_s if stop_s is None else min(stop_s, clock.duration_s)
    with decode_open(path, limits) as film:
        stream = _sound_stream(film)
        if stream is None or stop_s <= start_s:
            return None
        rate = stream.codec_context.sample_rate
        samples = np.zeros(round((stop_s - start_s) * rate), dtype=np.float32)
        first_s = float(clip.clock.stamps[0] * clip.clock.time_base)
        for at_s, block in _blocks(film, stream, first_s + start_s):
            if at_s >= first_s + stop_s:
                break
            _lay(samples, block, round((at_s - first_s - start_s) * rate))
    return Sound(samples, float(rate), start_s)


def _sound_stream(film: Film) -> AudioStream | None:
    best = film.container.streams.best("audio")
    streams = [best] if best is not None else list(film.container.streams.audio)
    for stream in streams:
        if isinstance(stream, AudioStream) and stream.codec_context is not None:
            return stream
    return None


def _blocks(
    film: Film, stream: AudioStream, from_s: float
) -> Iterator[tuple[float, NDArray[np.float32]]]:
    """Samples of one channel, each block with the file's own time of its first sample."""
    rate = stream.codec_context.sample_rate
    converters: dict[tuple[str, str, int], AudioResampler] = {}
    if film.indexed and from_s > _LEAD_IN_S:
        film.container.seek(round((from_s - _LEAD_IN_S) / (stream.time_base or 1)), stream=stream)
    for frame in _frames(film, stream):
        kind = (frame.format.name, frame.layout.name, frame.sample_rate)
        if kind not in converters:
            converters[kind] = AudioResampler(format="fltp", rate=rate)
        for mixed in converters[kind].resample(frame):
            if mixed.time is not None:
                channels = np.asarray(mixed.to_ndarray(), dtype=np.float32)
                yield mixed.time, channels.mean(axis=0)


def _frames(film: Film, stream: AudioStream) -> Iterator[AudioFrame]:
    try:
        for packet in film.container.demux(stream):
            try:
                yield from stream.decode(packet)
            except av_error.InvalidDataError:
                continue
    except (av_error.InvalidDataError, av_error.EOFError):
        return


def _lay(samples: NDArray[np.float32], block: NDArray[np.float32], at: int) -> None:
    """Put a block in its place, as far as it lies inside."""
    skip = max(0, -at)
    part = block[skip : skip + max(0, len(samples) - at - skip)]
    samples[at + skip : at + skip + len(part)] = part
