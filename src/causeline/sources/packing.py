"""Frames in half the room: brightness as it is, colour at half the size, as cameras store it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Interpolation, VideoReformatter

from causeline.model.clip import Frame, Picture

_PACKED = "yuv420p"


@dataclass(frozen=True, slots=True, eq=False)
class PackedFrame:
    """One frame; within four grey levels of what it was where colour changes by a level a pixel."""

    index: int
    planes: Picture
    """(3/2 h, w), of a picture whose sides were made even."""
    height: int
    width: int
    shrink: float

    @property
    def nbytes(self) -> int:
        """The room that it takes."""
        return int(self.planes.nbytes)

    def frame(self) -> Frame:
        """The frame again, at its own size."""
        packed = VideoFrame.from_ndarray(self.planes, format=_PACKED)
        picture = _converted(packed, "rgb24")
        return Frame(self.index, picture[: self.height, : self.width], self.shrink)


def decode_packed(frame: Frame) -> PackedFrame:
    """The frame packed; an odd side is lengthened by its last line."""
    height, width = frame.picture.shape[:2]
    picture = frame.picture
    if height % 2 or width % 2:
        picture = np.pad(picture, ((0, height % 2), (0, width % 2), (0, 0)), mode="edge")
    rgb = VideoFrame.from_ndarray(np.ascontiguousarray(picture), format="rgb24")
    return PackedFrame(frame.index, _converted(rgb, _PACKED), height, width, frame.shrink)


def _converted(frame: VideoFrame, wanted: str) -> Picture:
    done = VideoReformatter().reformat(
        frame,
        format=wanted,
        src_color_range=ColorRange.JPEG,
        dst_color_range=ColorRange.JPEG,
        interpolation=Interpolation.AREA,
        threads=1,
    )
    return np.asarray(done.to_ndarray(), dtype=np.uint8)
