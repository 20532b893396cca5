"""A club network that knows its answers beforehand: the fake that tests, demos and benches use."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Frame
from causeline.model.club import CLUB_MAPS, ClubCrop
from causeline.model.tracks import Region
from causeline.quantities.angle import Floats
from causeline.sources.packing import PackedFrame, decode_packed

SIDE = 192
SURE, NOTHING = 3.0, -8.0
"""Logits on the club and away from it."""

ClubScript = Callable[[int], Floats | None]
"""From the number of a frame to (3, 2): grip end, hosel, head in clip pixels; None for unseen."""


class FakeClubNet:
    """Sees the club where its script puts it; the pictures are not looked at."""

    version = "fake"

    def __init__(self, script: ClubScript) -> None:
        self._script = script

    def shrink_frame(self, frame: Frame, side_px: float) -> PackedFrame:  # noqa: ARG002 - the seam's shape
        """The frame packed at its own size."""
        return decode_packed(frame)

    def find_club(
        self, frames: Iterable[Frame], regions: Sequence[Region], mirrored: bool = False
    ) -> Iterator[ClubCrop]:
        """The scripted club of each frame; mirrored coordinates where pictures are mirrored."""
        del mirrored
        for frame, region in zip(frames, regions, strict=True):
            grey = np.full((3, SIDE, SIDE), 127.0, dtype=np.float32)
            yield ClubCrop(region, grey, _maps(self._script(frame.index), region))


def _maps(points: Floats | None, region: Region) -> NDArray[np.float32]:
    side = SIDE // 4
    maps = np.full((len(CLUB_MAPS), side, side), NOTHING, dtype=np.float32)
    maps[-2:] = 0.0
    if points is None:
        return maps
    corner = np.array([region.x, region.y]) - region.size / 2
    butt, hosel, head = (points - corner) / (region.size / side) - 0.5
    rows, columns = np.mgrid[:side, :side]
    cells = np.stack([columns, rows], -1).astype(float)
    for row, point in enumerate((butt, hosel, head)):
        maps[row] = _logit(np.hypot(*(cells - point).transpose(2, 0, 1)) / 1.2)
    way = hosel - butt
    share = np.clip(((cells - butt) @ way) / max(float(way @ way), 1e-9), 0, 1)
    apart = cells - butt - share[..., None] * way
    maps[3] = _logit(np.hypot(*apart.transpose(2, 0, 1)) / 0.8)
    twice = way[0] ** 2 - way[1] ** 2, 2 * way[0] * way[1]
    maps[-2:] = (np.array(twice) / max(float(way @ way), 1e-9))[:, None, None]
    return maps


def _logit(apart: Floats) -> NDArray[np.float32]:
    return np.maximum(SURE - 2.0 * apart**2, NOTHING).astype(np.float32)
