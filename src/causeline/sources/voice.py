"""A recorded voice: a file of sound alone, as a browser makes it, to one channel of samples."""

from __future__ import annotations

from pathlib import Path

import av
import av.error as av_error
import numpy as np
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import InputContainer

from causeline.errors import ClipTooLarge, NotAVideo
from causeline.model.clip import Sound
from causeline.sources.faults import decode_faults

RATE_HZ = 48_000
"""Opus speaks at this rate whatever it was given (RFC 6716, section 2)."""
LONGEST_S = 3700
"""An hour in one go, and some over."""
_CONTAINERS = "matroska,webm,ogg,mov"
_WANTED = "a voice recorded by a browser was expected (Opus in WebM or Ogg, AAC in MP4)"
_AGAIN = "record the passage again"


def decode_voice(path: Path) -> Sound:
    """The samples of a sound file, its channels' mean, 48,000 a second from its own time 0.

    A file that breaks off gives what there is of it; a gap is silence. Raises NotAVideo for what
    holds no sound, ClipTooLarge for more than `LONGEST_S` of it.
    """
    name = "the voice"
    with decode_faults(name):
        options = {"protocol_whitelist": "file", "format_whitelist": _CONTAINERS}
        with av.open(str(path.absolute()), mode="r", options=options) as container:
            stream = container.streams.best("audio")
            if not isinstance(stream, AudioStream) or stream.codec_context is None:
                raise NotAVideo(f"{name} holds no sound", _WANTED, _AGAIN)
            return Sound(_samples(container, stream), float(RATE_HZ), 0.0)


def _samples(container: InputContainer, stream: AudioStream) -> np.ndarray:
    """Each block in its place; what is missing between two is silent."""
    turner = AudioResampler(format="flt", layout="mono", rate=RATE_HZ)
    parts: list[np.ndarray] = []
    count = 0
    try:
        for packet in container.demux(stream):
            for frame in stream.decode(packet):
                for block in turner.resample(frame):
                    at = count if block.time is None else round(block.time * RATE_HZ)
                    samples = np.asarray(block.to_ndarray(), dtype=np.float32).reshape(-1)
                    if at > count:
                        parts.append(np.zeros(_checked(at) - count, dtype=np.float32))
                        count = at
                    parts.append(samples)
                    count = _checked(count + len(samples))
    except (av_error.InvalidDataError, av_error.EOFError):
        pass  # cut off: the page went away while it was recorded
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.float32)


def _checked(count: int) -> int:
    if count > LONGEST_S * RATE_HZ:
        raise ClipTooLarge(
            f"the voice lasts more than {LONGEST_S} s", "an hour at most was expected", _AGAIN
        )
    return count
