"""The club's network, run by OpenVINO on a square around the hands, three frames at a time."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageStat

from causeline.errors import EngineError
from causeline.model.clip import Frame
from causeline.model.club import CLUB_MAPS, ClubCrop
from causeline.model.tracks import Region
from causeline.sources.networks import Layout, Network, Request, decode_network

SIDE = 192
"""Pixels of a side of the network's square."""

LAYOUT = Layout(
    side=SIDE,
    middle=127.5,
    span=127.5,
    outputs=(("maps", (1, len(CLUB_MAPS), SIDE // 4, SIDE // 4)),),
)

WEIGHTS = Path(__file__).parent / "club_weights" / "club.xml"
"""Made by training/club."""


class OpenvinoClubNet:
    """The shipped network. Single precision, on the processor."""

    version = "club/1"

    def __init__(self, weights: Path = WEIGHTS, threads: int = 0) -> None:
        """`threads` 0 means all cores. The network is loaded at first use."""
        self._weights = weights
        self._threads = threads

    def load(self) -> None:
        """Load the network now; else the first frame waits for it. Raises EngineError."""
        decode_network(self._weights, LAYOUT, self._threads)

    def shrink_frame(self, frame: Frame, side_px: float) -> Frame:
        """The frame shrunk by a whole number of pixels, to be cut from cheaply."""
        by = _whole_shrink(frame, side_px)
        if by == 1:
            return frame
        small = Image.fromarray(np.ascontiguousarray(frame.picture)).reduce(by)
        return Frame(frame.index, np.asarray(small), frame.shrink / by)

    def find_club(
        self, frames: Iterable[Frame], regions: Sequence[Region], mirrored: bool = False
    ) -> Iterator[ClubCrop]:
        """The crop and the maps of each frame, in order. Raises EngineError without weights."""
        network = decode_network(self._weights, LAYOUT, self._threads)
        running: deque[tuple[Request, Region, NDArray[np.uint8]]] = deque()
        for region, planes in _squares(frames, regions, mirrored):
            request = network.take()
            request.start(planes)
            running.append((request, region, planes))
            if len(running) >= network.at_once + 1:
                yield _answer(network, *running.popleft())
        while running:
            yield _answer(network, *running.popleft())


def _answer(
    network: Network, request: Request, region: Region, planes: NDArray[np.uint8]
) -> ClubCrop:
    maps = request.answers()[0][0].copy()
    network.give(request)
    return ClubCrop(region, _three_greys(planes), maps)


def _three_greys(planes: NDArray[np.uint8]) -> NDArray[np.float32]:
    middle = planes[:3].astype(np.float32).transpose(1, 2, 0) @ _LUMA
    return np.stack([planes[3].astype(np.float32), middle, planes[4].astype(np.float32)])


_LUMA = np.array([0.299, 0.587, 0.114], dtype=np.float32)


def _squares(
    frames: Iterable[Frame], regions: Sequence[Region], mirrored: bool
) -> Iterator[tuple[Region, NDArray[np.uint8]]]:
    """Five planes of each frame's square: red, green, blue, and the grey before and after."""
    window: deque[_Small] = deque()
    place = 0
    for frame in frames:
        if len(window) + place - (1 if place else 0) >= len(regions):
            raise EngineError(
                f"the club was asked for in {len(regions)} frames, and more came", "as many of both"
            )
        side = regions[place].size
        window.append(_Small(frame, side, mirrored))
        first = place == 0 and len(window) == 1
        if not first and len(window) >= (2 if place == 0 else 3):
            yield regions[place], _planes(window, regions[place], place == 0)
            place += 1
            if len(window) == 3:
                window.popleft()
    if window and place < len(regions):
        window.append(window[-1])
        yield regions[place], _planes(window, regions[place], place == 0)


def _planes(window: deque[_Small], region: Region, first: bool) -> NDArray[np.uint8]:
    here = 0 if first else 1
    before, middle, after = (
        window[max(here - 1, 0)],
        window[here],
        window[min(here + 1, len(window) - 1)],
    )
    colour = middle.square(region, grey=False).transpose(2, 0, 1)
    greys = [one.square(region, grey=True)[None] for one in (before, after)]
    return np.concatenate([colour, *greys])


def _whole_shrink(frame: Frame, side_px: float) -> int:
    return max(1, math.floor(side_px * frame.shrink / SIDE))


class _Small:
    """A frame shrunk by a whole number of pixels, so that the square is cut from it cheaply."""

    def __init__(self, frame: Frame, side: float, mirrored: bool) -> None:
        picture = frame.picture[:, ::-1] if mirrored else frame.picture
        by = _whole_shrink(frame, side)
        self._scale = frame.shrink / by
        self._colour = Image.fromarray(np.ascontiguousarray(picture)).reduce(by)
        self._grey = self._colour.convert("L")
        self._mean = tuple(round(v) for v in ImageStat.Stat(self._colour).mean)

    def square(self, region: Region, grey: bool) -> NDArray[np.uint8]:
        """(s, s, 3), or (s, s) in grey; beyond the picture's edge there is its mean."""
        step = region.size * self._scale / SIDE
        left = (region.x + 0.5) * self._scale - region.size * self._scale / 2
        top = (region.y + 0.5) * self._scale - region.size * self._scale / 2
        image = self._grey if grey else self._colour
        mean = round(float(np.dot(self._mean, _LUMA))) if grey else self._mean
        cut = image.transform(
            (SIDE, SIDE),
            Image.Transform.AFFINE,
            (step, 0.0, left, 0.0, step, top),
            Image.Resampling.BILINEAR,
            fillcolor=mean,
        )
        return np.asarray(cut)
