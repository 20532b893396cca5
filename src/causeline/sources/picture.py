"""From a decoded frame to an upright 8-bit RGB picture of the size asked for."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from av.filter import Graph
from av.video.frame import VideoFrame
from av.video.reformatter import Colorspace, Interpolation, VideoReformatter

from causeline.model.clip import Picture
from causeline.sources.hdr import decode_tone
from causeline.sources.turning import Turn, decode_turn

_UNSPECIFIED = 2
_KNOWN_MATRICES = (1, 4, 5, 6, 7, 9)
"""Matrix coefficients of ITU-T H.273 that the converter knows; others are guessed by size."""
_HD_LINES = 720
_BOTTOM_FIELD_FIRST = (3, 4)
"""Field orders of the library (`AVFieldOrder`) in which the bottom field is shown first."""
_USUAL = ("yuv420p", "yuvj420p")
"""What phones store. Shrunk as it is and then coloured, it takes a third of the time of both in one
step, which the library does without the processor's wide instructions (docs/decisions.md)."""


class PictureMaker:
    """Turns frames of one stream into pictures of one size; keeps its converters between frames."""

    def __init__(self, width: int, height: int, field_order: int = 0) -> None:
        self._size = (width, height)
        self._bottom_first = field_order in _BOTTOM_FIELD_FIRST
        self._full = VideoReformatter()
        self._small = VideoReformatter()
        self._sized = VideoReformatter()
        self._grey = VideoReformatter()
        self._turn: Turn | None = None
        self._turner: tuple[object, Graph] | None = None

    def picture(self, frame: VideoFrame) -> Picture:
        """RGB in display orientation, (height, width, 3)."""
        # Asked of the first frame only: reading side data ties a frame into a reference cycle,
        # and frames would pile up until the collector runs.
        self._turn = self._turn or decode_turn(frame)
        transfer = frame.color_trc
        if frame.interlaced_frame:
            frame = self._one_field(frame)
        turned = self._turned(frame, self._turn)
        # The matrix is that of the film: a small picture of it would be taken for an old one.
        sized = _to_rgb(self._sized, self._shrunk(turned), self._size, _matrix(turned))
        picture = np.asarray(sized.to_ndarray(), dtype=np.uint8)
        tone = decode_tone(transfer)
        return tone.apply(picture) if tone else picture

    def grey(self, frame: VideoFrame, longest_side: int) -> Picture:
        """Brightness only, small and not turned, (h, w): what it takes to compare two frames."""
        shrink = longest_side / max(frame.width, frame.height)
        width, height = (max(1, round(side * shrink)) for side in (frame.width, frame.height))
        small = self._grey.reformat(
            frame, width, height, "gray", interpolation=Interpolation.AREA, threads=1
        )
        return np.array(small.to_ndarray(), dtype=np.uint8)

    def _shrunk(self, frame: VideoFrame) -> VideoFrame:
        """The frame at the picture's size, in its own colours, where that is the cheaper way."""
        width, height = self._size
        if frame.format.name not in _USUAL or width >= frame.width or height >= frame.height:
            return frame
        return self._small.reformat(
            frame, width, height, interpolation=Interpolation.AREA, threads=1
        )

    def _turned(self, frame: VideoFrame, turn: Turn) -> VideoFrame:
        if not turn.filters:
            return frame
        shape = (frame.width, frame.height, frame.format.name, turn)
        if self._turner is None or self._turner[0] != shape:
            self._turner = (shape, _turning_graph(frame, turn))
        graph = self._turner[1]
        graph.vpush(frame)
        return graph.vpull()

    def _one_field(self, frame: VideoFrame) -> VideoFrame:
        """The field shown first, its missing lines made from their neighbours above and below."""
        whole = _to_rgb(self._full, frame, (frame.width, frame.height), _matrix(frame))
        rows = np.asarray(whole.to_ndarray(), dtype=np.uint8)
        return VideoFrame.from_ndarray(_one_field(rows, self._bottom_first), format="rgb24")


def _one_field(rows: Picture, bottom_first: bool) -> Picture:
    missing = 0 if bottom_first else 1
    lines = rows[1 - missing :: 2].astype(np.uint16)
    edged = np.concatenate([lines[:1], lines, lines[-1:]])
    between = ((edged[:-1] + edged[1:] + 1) // 2).astype(np.uint8)
    made = rows.copy()
    made[missing::2] = between[missing:][: len(made[missing::2])]
    return made


def _to_rgb(
    converter: VideoReformatter, frame: VideoFrame, size: tuple[int, int], matrix: int | None
) -> VideoFrame:
    return converter.reformat(
        frame,
        *size,
        "rgb24",
        src_colorspace=matrix,
        interpolation=Interpolation.AREA,
        threads=1,
    )


def _matrix(frame: VideoFrame) -> int | None:
    """BT.709 for HD and BT.601 for smaller pictures that say nothing, as players do."""
    if frame.format.is_rgb or frame.colorspace in _KNOWN_MATRICES:
        return None
    return int(Colorspace.ITU709 if frame.height >= _HD_LINES else Colorspace.ITU601)


def _turning_graph(frame: VideoFrame, turn: Turn) -> Graph:
    graph = Graph()
    graph.threads = 1
    source = graph.add(
        "buffer",
        video_size=f"{frame.width}x{frame.height}",
        pix_fmt=frame.format.name,
        time_base=str(frame.time_base or Fraction(1, 1000)),
        colorspace=str(int(frame.colorspace)),
        range=str(int(frame.color_range)),
    )
    nodes = [graph.add(name, setting or None) for name, setting in turn.filters]
    graph.link_nodes(source, *nodes, graph.add("buffersink")).configure()
    return graph
