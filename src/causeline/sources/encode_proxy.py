"""The door that writes proxies: every frame by itself, so that any of them is shown at once.

H.264 in MP4, 4:2:0, 8 bits, no frame built on another and none out of order: what browsers and
phones decode everywhere, exactly, forward and backward. Stamps are the places of the frames; which
frame of the clip that is, and when it was taken, stands in a table beside the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import chain
from pathlib import Path

import av
from av.video.stream import VideoStream

from causeline.model.clip import Picture
from causeline.sources.encode import encode_frame

QUALITY = 20
"""Constant rate factor of x264. Measured with size and time in docs/decisions.md."""
PLACES_HZ = 60
"""Frames in a second of the file: the place of a frame is its stamp times this."""


def encode_proxy(pictures: Iterator[Picture], path: Path) -> tuple[int, int, int]:
    """Write the pictures, all of one size; gives how many, and width and height as encoded.

    A picture of odd size loses its last row or column, which 4:2:0 cannot hold. Raises ValueError
    where no picture comes, OSError where there is no room.
    """
    first = next(pictures, None)
    if first is None:
        raise ValueError("got a proxy without a picture; expected one at least")
    height, width = (side // 2 * 2 for side in first.shape[:2])
    count = 0
    with av.open(path, "w", format="mp4", options={"movflags": "faststart"}) as file:
        stream = file.add_stream("libx264", rate=PLACES_HZ)
        _set_up(stream, (width, height))
        for count, picture in enumerate(chain([first], pictures), start=1):
            frame = encode_frame(picture[:height, :width])
            frame.pts, frame.time_base = count - 1, Fraction(1, PLACES_HZ)
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    return count, width, height


def _set_up(stream: VideoStream, size: tuple[int, int]) -> None:
    stream.width, stream.height = size
    stream.pix_fmt = "yuv420p"
    stream.codec_context.color_range = 1
    stream.codec_context.colorspace = 1
    stream.codec_context.color_primaries = 1
    stream.codec_context.color_trc = 1
    stream.options = {
        "preset": "superfast",
        "tune": "fastdecode",
        "crf": str(QUALITY),
        "g": "1",
        "bf": "0",
    }
