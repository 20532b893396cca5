"""The club's network, run by OpenVINO on a square around the hands, three frames at a time."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageStat

from causeline.errors import EngineError
from causeline.model.clip import Frame
from causeline.model.club import CLUB_MAPS, ClubCrop
from causeline.model.tracks import Region
from causeline.sources.networks import Layout, Network, Request, decode_network
from causeline.sources.packing import PackedFrame, decode_packed

SIDE = 192
"""Pixels of a side of the network's square."""

LAYOUT = Layout(
    side=SIDE,
    middle=127.5,
    span=127.5,
    outputs=(("maps", (1, len(CLUB_MAPS), SIDE // 4, SIDE // 4)),),
)

NEARER = 2.0
"""How much nearer the second look is."""
CLOSE, DOUBT = 0.2, 1.0
"""The second look is taken where an end of the shaft is seen within so many sides of the square's
middle, and none farther out is likelier by so many logits."""
FINER = 1.5
"""Frames are kept finer than the square needs by this, for the second look."""

MEANS_SHRINK = 8
"""The mean of the picture is taken from one so much smaller."""

WEIGHTS = Path(__file__).parent / "club_weights" / "club.xml"
"""Made by training/club."""


class OpenvinoClubNet:
    """The shipped network. Whole numbers of 8 bits inside, on the processor."""

    version = "club/4"

    def __init__(self, weights: Path = WEIGHTS, threads: int = 0) -> None:
        """`threads` 0 means all cores. The network is loaded at first use."""
        self._weights = weights
        self._threads = threads

    def load(self) -> None:
        """Load the network now; else the first frame waits for it. Raises EngineError."""
        decode_network(self._weights, LAYOUT, self._threads)

    def shrink_frame(self, frame: Frame, side_px: float) -> PackedFrame:
        """The frame shrunk by a whole number of pixels, to be cut from cheaply, and packed."""
        by = _whole_shrink(side_px * frame.shrink / FINER)
        if by == 1:
            return decode_packed(frame)
        small = Image.fromarray(np.ascontiguousarray(frame.picture)).reduce(by)
        return decode_packed(Frame(frame.index, np.asarray(small), frame.shrink / by))

    def find_club(
        self, frames: Iterable[Frame], regions: Sequence[Region], mirrored: bool = False
    ) -> Iterator[ClubCrop]:
        """The crop and the maps of each frame, in order. Raises EngineError without weights.

        Where the shaft seems short, as where it points at the camera, the frame is looked at again
        from nearer.
        """
        network = decode_network(self._weights, LAYOUT, self._threads)
        running: deque[_Look] = deque()
        for region, trio in _trios(frames, regions, mirrored):
            running.append(_begun(network, region, trio))
            if len(running) >= network.at_once + 1:
                yield _answer(network, running.popleft())
        while running:
            yield _answer(network, running.popleft())


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    """A square that the network is looking at."""

    request: Request
    region: Region
    trio: _Trio
    planes: NDArray[np.uint8]


def _begun(network: Network, region: Region, trio: _Trio) -> _Look:
    look = _Look(network.take(), region, trio, _planes(trio, region))
    look.request.start(look.planes)
    return look


def _answer(network: Network, look: _Look) -> ClubCrop:
    crop = _finished(network, look)
    if not _seems_short(crop.maps):
        return crop
    near = replace(look.region, size=look.region.size / NEARER)
    return replace(crop, closer=_finished(network, _begun(network, near, look.trio)))


def _finished(network: Network, look: _Look) -> ClubCrop:
    maps = look.request.answers()[0][0].copy()
    network.give(look.request)
    return ClubCrop(look.region, _three_greys(look.planes), maps)


def _seems_short(maps: NDArray[np.float32]) -> bool:
    """Whether the likeliest end of the shaft, or one nearly as likely, is close to the hands."""
    ends = maps[CLUB_MAPS.index("hosel")]
    rows, columns = np.mgrid[: len(ends), : len(ends)] + 0.5
    middle = len(ends) / 2
    close = np.hypot(rows - middle, columns - middle) < CLOSE * len(ends)
    return bool(ends[close].max() > ends[~close].max() - DOUBT)


def _three_greys(planes: NDArray[np.uint8]) -> NDArray[np.float32]:
    greys = np.empty((3, SIDE, SIDE), np.float32)
    greys[0], greys[2] = planes[3:]
    np.einsum("chw,c->hw", planes[:3], _LUMA, out=greys[1])
    return greys


_LUMA = np.array([0.299, 0.587, 0.114], dtype=np.float32)


def _trios(
    frames: Iterable[Frame], regions: Sequence[Region], mirrored: bool
) -> Iterator[tuple[Region, _Trio]]:
    """Each frame with the one before and the one after; itself where there is none."""
    window: deque[_Small] = deque()
    place = 0
    for frame in frames:
        if len(window) + place - (1 if place else 0) >= len(regions):
            raise EngineError(
                f"the club was asked for in {len(regions)} frames, and more came", "as many of both"
            )
        window.append(_Small(frame, regions[place].size, mirrored))
        if len(window) == 1 and place == 0:
            continue
        yield regions[place], _trio(window, place == 0)
        place += 1
        if len(window) == 3:
            window.popleft()
    if window and place < len(regions):
        window.append(window[-1])
        yield regions[place], _trio(window, place == 0)


def _trio(window: deque[_Small], first: bool) -> _Trio:
    here = 0 if first else 1
    return window[max(here - 1, 0)], window[here], window[min(here + 1, len(window) - 1)]


def _planes(trio: _Trio, region: Region) -> NDArray[np.uint8]:
    """Five planes of a square: red, green, blue, and the grey before and after."""
    before, middle, after = trio
    planes = np.empty((5, SIDE, SIDE), np.uint8)
    planes[:3] = middle.square(region, grey=False).transpose(2, 0, 1)
    planes[3], planes[4] = (one.square(region, grey=True) for one in (before, after))
    return planes


def _whole_shrink(side_px: float) -> int:
    """By how much a square so wide may be shrunk and still have the network's pixels."""
    return max(1, math.floor(side_px / SIDE))


class _Small:
    """A frame shrunk by whole numbers of pixels, so that squares are cut from it cheaply."""

    def __init__(self, frame: Frame, side: float, mirrored: bool) -> None:
        picture = frame.picture[:, ::-1] if mirrored else frame.picture
        by = _whole_shrink(side * frame.shrink / FINER)
        self._scale = frame.shrink / by
        finest = Image.fromarray(np.ascontiguousarray(picture))
        finest = finest.reduce(by) if by > 1 else finest
        self._mean = tuple(round(v) for v in ImageStat.Stat(finest.reduce(MEANS_SHRINK)).mean)
        self._colours, self._greys = {1: finest}, dict[int, Image.Image]()

    def square(self, region: Region, grey: bool) -> NDArray[np.uint8]:
        """(s, s, 3), or (s, s) in grey; beyond the picture's edge there is its mean."""
        by = _whole_shrink(region.size * self._scale)
        scale = self._scale / by
        step = region.size * scale / SIDE
        left = (region.x + 0.5) * scale - region.size * scale / 2
        top = (region.y + 0.5) * scale - region.size * scale / 2
        mean = round(float(np.dot(self._mean, _LUMA))) if grey else self._mean
        cut = self._shrunk(by, grey).transform(
            (SIDE, SIDE),
            Image.Transform.AFFINE,
            (step, 0.0, left, 0.0, step, top),
            Image.Resampling.BILINEAR,
            fillcolor=mean,
        )
        return np.asarray(cut)

    def _shrunk(self, by: int, grey: bool) -> Image.Image:
        if by not in self._colours:
            self._colours[by] = self._colours[1].reduce(by)
        if grey and by not in self._greys:
            self._greys[by] = self._colours[by].convert("L")
        return self._greys[by] if grey else self._colours[by]


_Trio = tuple[_Small, _Small, _Small]
