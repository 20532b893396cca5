"""The door that writes films: H.264 in MP4, as every phone plays it.

Baseline profile and 4:2:0, so that old phones decode it; the index in front of the pictures, so
that it starts before it is there whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import chain
from pathlib import Path
from tempfile import TemporaryDirectory

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from causeline.model.clip import Picture, Sound

MOST_BYTES = 10_000_000
"""What most mail boxes and messengers take."""
QUALITY = 21
"""Constant rate factor of x264 where the size allows."""
ROOM = 0.85
"""Share of the size that pictures may take: the peak of a film in parts, and the index."""
PEAK_KBIT = 6000
SPOKEN_KBIT = 3000
VOICE_BITS = 80_000
"""AAC-LC, one channel: more is not heard in speech (common practice)."""


def encode_film(pictures: Iterator[Picture], count: int, rate_hz: int) -> bytes:
    """An MP4 file of `count` pictures, all of one even size, at most `MOST_BYTES` large.

    Colours are told as BT.709, limited range. Raises ValueError where no picture comes.
    """
    first = next(pictures, None)
    if first is None:
        raise ValueError("got a film without a picture; expected one at least")
    height, width = first.shape[:2]
    with TemporaryDirectory() as folder:
        path = Path(folder) / "film.mp4"  # on disk: the index is moved to the front at the end
        with av.open(path, "w", format="mp4", options={"movflags": "faststart"}) as file:
            stream = file.add_stream("libx264", rate=rate_hz)
            _set_up(stream, (width, height), _kbit(count / rate_hz))
            for frame in _frames(chain([first], pictures)):
                file.mux(stream.encode(frame))
            file.mux(stream.encode(None))
        return path.read_bytes()


def encode_spoken(
    pictures: Iterator[tuple[int, Picture]], lasts_ms: int, voice: Sound | None
) -> bytes:
    """An MP4 file of pictures that each stand from their own millisecond on, and a voice.

    Pictures are of one even size, their times rise from 0; nothing is coded where nothing changes.
    The voice is AAC, which every phone plays in MP4; Opus in MP4 is not played by older ones.
    Raises ValueError where no picture comes.
    """
    first = next(pictures, None)
    if first is None:
        raise ValueError("got a film without a picture; expected one at least")
    height, width = first[1].shape[:2]
    with TemporaryDirectory() as folder:
        path = Path(folder) / "film.mp4"
        with av.open(path, "w", format="mp4", options={"movflags": "faststart"}) as file:
            stream = file.add_stream("libx264", rate=30)
            _set_up(stream, (width, height), SPOKEN_KBIT)
            stream.codec_context.time_base = stream.time_base = Fraction(1, 1000)
            speaker = None if voice is None else _Speaker(file, voice)
            shown = first[1]
            for at_ms, picture in chain([first], pictures):
                shown = picture
                _mux_picture(file, stream, at_ms, picture)
                if speaker is not None:
                    speaker.speak(at_ms / 1000)
            _mux_picture(file, stream, max(lasts_ms - 1, at_ms + 1), shown)
            file.mux(stream.encode(None))
            if speaker is not None:
                speaker.end()
        return path.read_bytes()


def _mux_picture(file: OutputContainer, stream: VideoStream, at_ms: int, picture: Picture) -> None:
    frame = encode_frame(picture)
    frame.pts, frame.time_base = at_ms, Fraction(1, 1000)
    file.mux(stream.encode(frame))


class _Speaker:
    """Codes a voice beside the pictures, a little ahead of them."""

    BLOCK = 1024

    def __init__(self, file: OutputContainer, voice: Sound) -> None:
        self._file, self._voice, self._done = file, voice, 0
        self._stream = file.add_stream("aac", rate=int(voice.rate_hz), layout="mono")
        self._stream.bit_rate = VOICE_BITS

    def speak(self, until_s: float) -> None:
        """Code what is said up to an instant, and half a second more."""
        stop = min(round((until_s + 0.5) * self._voice.rate_hz), len(self._voice.samples))
        while self._done < stop:
            block = self._voice.samples[self._done : self._done + self.BLOCK]
            frame = AudioFrame.from_ndarray(
                np.ascontiguousarray(block[None, :]), format="fltp", layout="mono"
            )
            frame.sample_rate = int(self._voice.rate_hz)
            frame.pts = self._done
            frame.time_base = Fraction(1, frame.sample_rate)
            self._file.mux(self._stream.encode(frame))
            self._done += block.shape[0]

    def end(self) -> None:
        """Code the rest."""
        self.speak(len(self._voice.samples) / self._voice.rate_hz)
        self._file.mux(self._stream.encode(None))


def _set_up(stream: VideoStream, size: tuple[int, int], most_kbit: int) -> None:
    stream.width, stream.height = size
    stream.pix_fmt = "yuv420p"
    stream.codec_context.color_range = 1
    stream.codec_context.colorspace = 1
    stream.codec_context.color_primaries = 1
    stream.codec_context.color_trc = 1
    stream.options = {
        "profile": "baseline",
        "preset": "veryfast",
        "crf": str(QUALITY),
        "maxrate": f"{most_kbit}k",
        "bufsize": f"{most_kbit}k",
        "g": "60",
    }


def _kbit(lasts_s: float) -> int:
    """Thousand bits a second that keep the file within its size."""
    return max(200, min(PEAK_KBIT, int(ROOM * MOST_BYTES * 8 / 1000 / lasts_s)))


def _frames(pictures: Iterable[Picture]) -> Iterator[VideoFrame]:
    """Each picture in the stream's colours; one that is held is turned into them once."""
    before: Picture | None = None
    for place, picture in enumerate(pictures):
        if picture is not before:
            frame = encode_frame(picture)
        frame.pts = place
        before = picture
        yield frame


def encode_frame(picture: Picture) -> VideoFrame:
    """A picture in a film's colours: BT.709, limited range, 4:2:0."""
    frame = VideoFrame.from_ndarray(picture, format="rgb24")
    return frame.reformat(format="yuv420p", dst_colorspace=1, dst_color_range=1)
