"""Small copies of the frames of a pass, so that the next one need not decode them once more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from causeline.model.clip import Frame
from causeline.model.seams import SmallFrame

MOST_BYTES = 512 * 2**20
"""What is kept of one pass at most: 3.5 s at 240 Hz of a golfer half as tall as the picture."""

Shrink = Callable[[Frame], SmallFrame]


@dataclass(slots=True, eq=False)
class KeptFrames:
    """The frames of one pass as `shrink` leaves them; all of them, or none where they are many."""

    count: int
    """Frames that the pass will give."""
    shrink: Shrink
    most_bytes: int = MOST_BYTES
    _frames: list[SmallFrame] = field(default_factory=list)
    _kept: bool = True

    def passing(self, frames: Iterator[Frame]) -> Iterator[Frame]:
        """The same frames, kept on the way."""
        for frame in frames:
            self._keep(frame)
            yield frame

    def again(self, decode: Callable[[], Iterator[Frame]]) -> Iterator[Frame]:
        """The small frames; those of `decode`, shrunk alike, where the pass was not kept."""
        if self._kept:
            yield from (small.frame() for small in self._frames)
        else:
            yield from (self.shrink(frame).frame() for frame in decode())

    def _keep(self, frame: Frame) -> None:
        if not self._kept:
            return
        self._frames.append(self.shrink(frame))
        if self._frames[0].nbytes * self.count > self.most_bytes:
            self._kept = False
            self._frames.clear()
