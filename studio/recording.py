"""Writing frames and sound as a phone's file: stamps, rates, codecs, rotation flag, slow motion."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

TICKS = 90_000
"""Stamps in a second, as phones' files have them."""
_MATRICES = {
    0: (1, 0, 0, 1),
    90: (0, 1, -1, 0),
    180: (-1, 0, 0, -1),
    270: (0, -1, 1, 0),
}
_OPTIONS = {
    "h264": {"preset": "veryfast", "threads": "1", "profile": "high", "x264-params": "asm=SSE4.2"},
    "hevc": {"preset": "ultrafast", "x265-params": "log-level=error:pools=1:frame-threads=1"},
}
"""One thread, and x264 without its AVX-512 code, with which its weighing of blocks by what later
frames take from them (mbtree) differs from run to run for the same pictures."""


@dataclass(frozen=True, slots=True)
class Recording:
    """How the file is made."""

    codec: str = "h264"
    """"h264" or "hevc"."""
    bit_rate: int = 8_000_000
    sound_bit_rate: int = 96_000
    rotation_deg: int = 0
    """Clockwise turn that the file asks a player for; the pictures are stored turned back."""
    slow_factor: int = 1
    """How many times slower than life the file plays."""
    says_capture_rate: bool = False
    """Write the capture rate beside the stamps, as some phones do for slow motion."""


def write_clip(
    path: Path,
    frames: Iterable[NDArray[np.uint8]],
    times_s: NDArray[np.float64],
    recording: Recording,
    sound: tuple[NDArray[np.float32], int] | None = None,
) -> None:
    """Encode upright RGB frames at their real times (slowed by the recording's factor)."""
    options = {"movflags": "use_metadata_tags"} if recording.says_capture_rate else {}
    with av.open(str(path), "w", options=options) as container:
        if recording.says_capture_rate:
            rate = 1.0 / float(np.median(np.diff(times_s)))
            container.metadata["com.android.capture.fps"] = f"{rate:.6f}"
        stamps = np.round((times_s - times_s[0]) * recording.slow_factor * TICKS).astype(int)
        stream = None
        voice = _sound_stream(container, sound, recording.sound_bit_rate)
        for picture, stamp in zip(frames, stamps, strict=True):
            stored = np.rot90(picture, recording.rotation_deg // 90)
            stream = stream or _picture_stream(container, stored, times_s, recording)
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(stored), format="rgb24")
            frame.pts, frame.time_base = int(stamp), Fraction(1, TICKS)
            container.mux(stream.encode(frame))
        if stream is not None:
            container.mux(stream.encode())
        if voice is not None and sound is not None:
            _write_sound(container, voice, sound)
    if recording.rotation_deg:
        _flag_rotation(path, recording.rotation_deg)


def _picture_stream(
    container: av.container.OutputContainer,
    picture: NDArray[np.uint8],
    times_s: NDArray[np.float64],
    recording: Recording,
) -> av.VideoStream:
    coder = {"h264": "libx264", "hevc": "libx265"}[recording.codec]
    rate = round(1.0 / float(np.median(np.diff(times_s))) / recording.slow_factor)
    stream = container.add_stream(coder, rate=rate, options=dict(_OPTIONS[recording.codec]))
    if not isinstance(stream, av.VideoStream):
        raise TypeError(f"{coder} gave {type(stream).__name__}; expected an encoder of pictures")
    stream.height, stream.width = picture.shape[:2]
    stream.pix_fmt = "yuv420p"
    stream.bit_rate = recording.bit_rate
    stream.codec_context.time_base = Fraction(1, TICKS)
    stream.codec_context.gop_size = rate
    stream.codec_context.codec_tag = "hvc1" if recording.codec == "hevc" else "avc1"
    return stream


def _sound_stream(
    container: av.container.OutputContainer,
    sound: tuple[NDArray[np.float32], int] | None,
    bit_rate: int,
) -> av.AudioStream | None:
    if sound is None:
        return None
    stream = container.add_stream("aac", rate=sound[1], layout="mono")
    stream.bit_rate = bit_rate
    return stream


def _write_sound(
    container: av.container.OutputContainer,
    stream: av.AudioStream,
    sound: tuple[NDArray[np.float32], int],
) -> None:
    samples, rate = sound
    frame = av.AudioFrame.from_ndarray(samples[None], format="fltp", layout="mono")
    frame.sample_rate, frame.pts, frame.time_base = rate, 0, Fraction(1, rate)
    container.mux(stream.encode(frame))
    container.mux(stream.encode())


def _flag_rotation(path: Path, rotation_deg: int) -> None:
    """Set the picture track's display matrix, which the library has no way to write."""
    data = bytearray(path.read_bytes())
    at = data.find(b"tkhd")
    while not any(data[_matrix_at(data, at) + 36 : _matrix_at(data, at) + 44]):
        at = data.index(b"tkhd", at + 4)
    matrix_at = _matrix_at(data, at)
    a, b, c, d = (value << 16 for value in _MATRICES[rotation_deg])
    values = (a, b, 0, c, d, 0, 0, 0, 1 << 30)
    for index, value in enumerate(values):
        place = matrix_at + 4 * index
        data[place : place + 4] = value.to_bytes(4, "big", signed=True)
    path.write_bytes(data)


def _matrix_at(data: bytearray, header: int) -> int:
    """Where a track header keeps its matrix; width and height follow, 0 for a track of sound."""
    return header + 4 + (52 if data[header + 4] else 40)
