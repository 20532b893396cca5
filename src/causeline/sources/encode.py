"""The door that writes films: H.264 in MP4, as every phone plays it.

Baseline profile and 4:2:0, so that old phones decode it; the index in front of the pictures, so
that it starts before it is there whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from tempfile import TemporaryDirectory

import av
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from causeline.model.clip import Picture

MOST_BYTES = 10_000_000
"""What most mail boxes and messengers take."""
QUALITY = 21
"""Constant rate factor of x264 where the size allows."""
ROOM = 0.85
"""Share of the size that pictures may take: the peak of a film in parts, and the index."""
PEAK_KBIT = 6000


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
