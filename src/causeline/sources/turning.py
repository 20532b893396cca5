"""The turn and mirroring that a file asks a player for, from its display matrix."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast

import numpy as np
from av.sidedata.sidedata import SideData, Type
from av.video.frame import VideoFrame
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Turn:
    """Columns and rows exchanged first, then the left-right and the up-down mirror."""

    exchanged: bool = False
    mirror_x: bool = False
    mirror_y: bool = False

    @property
    def clockwise_deg(self) -> int:
        """0, 90, 180 or 270 clockwise as seen; of a mirrored picture, the turn after the mirror."""
        mirrored = self.mirror_x ^ self.mirror_y ^ self.exchanged
        flip_x = self.mirror_x ^ mirrored
        if self.exchanged:
            return 90 if flip_x else 270
        return 180 if flip_x else 0

    @property
    def filters(self) -> tuple[tuple[str, str], ...]:
        """Names and settings of the library's filters that do it."""
        if self.exchanged:
            return (("transpose", _TRANSPOSE[self.mirror_x, self.mirror_y]),)
        mirrors = (("hflip", self.mirror_x), ("vflip", self.mirror_y))
        return tuple((name, "") for name, wanted in mirrors if wanted)


_TRANSPOSE = {
    (False, False): "cclock_flip",
    (True, False): "clock",
    (False, True): "cclock",
    (True, True): "clock_flip",
}


def decode_turn(frame: VideoFrame) -> Turn:
    """The nearest of the eight upright positions to what the frame's display matrix asks for.

    A frame without a matrix is upright.
    """
    held = cast(Iterable[SideData], frame.side_data)
    for data in held:
        if data.type == Type.DISPLAYMATRIX:
            return decode_matrix(np.frombuffer(bytes(data), dtype=np.int32))
    return Turn()


def decode_matrix(matrix: NDArray[np.int32]) -> Turn:
    """The turn that a display matrix of nine numbers, a b u c d v x y w, asks for.

    A point goes to (a·x + c·y, b·x + d·y), y down in both pictures ("Movie header atom", matrix
    structure, QuickTime File Format).
    """
    a, b, _, c, d = (float(v) for v in matrix[:5])
    if abs(a) + abs(d) >= abs(b) + abs(c):
        return Turn(False, a < 0, d < 0)
    return Turn(True, c < 0, b < 0)
