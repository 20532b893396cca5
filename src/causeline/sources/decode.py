"""The door for video files: PyAV, which is FFmpeg's libraries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise
from pathlib import Path

import av.error as av_error
import numpy as np
from av.codec.context import ThreadType
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from causeline.errors import SettingError
from causeline.model.clip import Clip, Frame, Sound
from causeline.model.seams import FrameWatch
from causeline.sources.calm import decode_calm
from causeline.sources.faults import decode_faults
from causeline.sources.limits import Limits
from causeline.sources.opening import Film, decode_open
from causeline.sources.packets import Spare, decode_whole_frames
from causeline.sources.picture import PictureMaker
from causeline.sources.probe import decode_clip
from causeline.sources.repeats import GREY_SIDE
from causeline.sources.sound import decode_sound

_BACK_S = (0.0, 2.0, 12.0)
"""File seconds before the first wanted frame at which the file is entered, one after another,
until the first frame that comes out is not too late. After that, the beginning of the file."""

_APART_S = 0.1
"""File seconds between two wanted frames from which the file is entered anew for the second, where
a key frame lies between them."""

_Numbered = tuple[int, VideoFrame]


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    """One pass over a clip: what is wanted of it."""

    clip: Clip
    wanted: Sequence[int]
    longest_side: int | None
    watch: FrameWatch | None
    calm: NDArray[np.bool_] | None
    """Frames that are passed over, (n,); None decodes all that others are built on."""

    def spare(self) -> Spare | None:
        """What the pass can do without; None where frames are numbered by turn: all must come."""
        if self.clip.mended:
            return None
        places = _places(self.clip)

        def spare(stamp: int) -> bool:
            index = places.get(stamp)
            if index is None or index in self.wanted:
                return False
            return self.watch is None or self.watch.spares(index)

        return spare

    def over(self) -> frozenset[int]:
        """The stamps of the frames that are passed over."""
        return frozenset(
            self.clip.clock.stamps[self.calm].tolist() if self.calm is not None else ()
        )

    def calm_after(self, index: int) -> range:
        """The frames that are passed over next, from the one after `index` on."""
        if self.calm is None or index + 1 >= len(self.calm) or not self.calm[index + 1]:
            return range(0)
        moving = np.flatnonzero(~self.calm[index + 1 :])
        return range(index + 1, index + 1 + int(moving[0]) if len(moving) else len(self.calm))


class PyavClips:
    """Reads clips from files. Holds no file open between calls, and few frames at a time."""

    def __init__(self, limits: Limits | None = None, threads: int = 0) -> None:
        """`threads` are the decoder's; 0 means as many as there are cores."""
        self._limits = limits or Limits()
        self._threads = threads

    def probe(self, path: Path) -> Clip:
        """Read what a clip is; see `decode_clip`.

        Repeats are not looked for: hand a `RepeatWatch` to the first pass over `frames`.
        """
        return decode_clip(path, self._limits)

    def frames(
        self,
        path: Path,
        clip: Clip,
        wanted: Sequence[int],
        longest_side: int | None = None,
        watch: FrameWatch | None = None,
    ) -> Iterator[Frame]:
        """Decode the wanted frames in order, upright, shrunk to `longest_side` where that is less.

        The file is entered at a key frame before the first wanted one and left after the last;
        with a `watch`, at the end of the range.
        Frames between are decoded where others are built on them, and not turned into pictures. A
        frame that does not decode is left out. With a `watch`, frames between two key frames that
        show the same are passed over: a wanted one of them comes as the picture of the first.
        """
        wanted = decode_wanted(wanted, len(clip.clock), longest_side)
        if not wanted:
            return
        with decode_faults(clip.name):
            calm = decode_calm(path, clip, self._limits) if watch is not None else None
            for run in [wanted] if watch is not None else self._runs(path, clip, wanted):
                yield from self._looked(path, _Look(clip, run, longest_side, watch, calm))

    def _looked(self, path: Path, look: _Look) -> Iterator[Frame]:
        for film, numbered in self._entries(path, look.clip, look.wanted[0], look):
            first = next(numbered, None)
            if first is not None:
                yield from _pictures(film, look, chain([first], numbered))
                return

    def _runs(self, path: Path, clip: Clip, wanted: Sequence[int]) -> list[Sequence[int]]:
        """The wanted frames in runs that are each decoded on end: a key frame begins each."""
        if clip.mended or isinstance(wanted, range):
            return [wanted]
        stamps = clip.clock.stamps[list(wanted)]
        apart = np.diff(stamps) * float(clip.clock.time_base) > _APART_S
        if not apart.any():
            return [wanted]
        with decode_open(path, self._limits) as film:
            keys = film.keys()
        breaks = np.flatnonzero(apart & (np.diff(np.searchsorted(keys, stamps, "right")) > 0)) + 1
        return [wanted[first:last] for first, last in pairwise([0, *breaks.tolist(), len(wanted)])]

    def sound(
        self, path: Path, clip: Clip, start_s: float = 0.0, stop_s: float | None = None
    ) -> Sound | None:
        """The audio between two file seconds from the first frame; see `decode_sound`."""
        return decode_sound(path, clip, self._limits, start_s, stop_s)

    def _entries(
        self, path: Path, clip: Clip, start: int, look: _Look
    ) -> Iterator[tuple[Film, Iterator[_Numbered]]]:
        """The file opened at ever earlier places; an empty run of frames means too late."""
        for back_s in _BACK_S if start and not clip.mended else ():
            with decode_open(path, self._limits) as film:
                if film.indexed:
                    self._prepare(film)
                    yield film, _entered(film, look, start, back_s)
        with decode_open(path, self._limits) as film:
            self._prepare(film)
            yield film, _numbered(film, look)

    def _prepare(self, film: Film) -> None:
        film.stream.thread_type = ThreadType.AUTO
        film.stream.codec_context.thread_count = self._threads


def decode_wanted(wanted: Sequence[int], count: int, longest_side: int | None) -> Sequence[int]:
    """Those of the wanted frames that a clip of `count` frames has; a range stays a range.

    Frames that do not rise, or a size below one pixel, raise `SettingError`.
    """
    rising = wanted.step > 0 if isinstance(wanted, range) else _rising(wanted)
    if not rising or (longest_side is not None and longest_side < 1):
        raise SettingError(
            f"frames {wanted} at {longest_side} pixels were asked for",
            "frames in rising order and a size of at least 1 pixel are expected",
        )
    if not isinstance(wanted, range):
        return [index for index in wanted if 0 <= index < count]
    behind = -min(wanted.start, 0)
    start = wanted.start + -(-behind // wanted.step) * wanted.step
    return range(start, min(wanted.stop, count), wanted.step)


def decode_end(wanted: Sequence[int]) -> int:
    """One past the last frame of a pass over the wanted ones: a range goes on to its own end."""
    if isinstance(wanted, range):
        return wanted.stop
    return wanted[-1] + 1 if wanted else 0


def _rising(wanted: Sequence[int]) -> bool:
    return all(later > earlier for earlier, later in pairwise(wanted))


def decode_size(clip: Clip, longest_side: int | None) -> tuple[int, int, float]:
    """Width, height and shrink of the pictures of a clip at that longest side."""
    longest = max(clip.width, clip.height)
    shrink = 1.0 if longest_side is None else min(1.0, longest_side / longest)
    width, height = (max(1, round(side * shrink)) for side in (clip.width, clip.height))
    return width, height, shrink


def _entered(film: Film, look: _Look, start: int, back_s: float) -> Iterator[_Numbered]:
    """Frames from a key frame on; none where the first one comes after the frame at `start`."""
    clock = look.clip.clock
    target = int(clock.stamps[start]) - round(back_s / clock.time_base)
    try:
        film.container.seek(target, stream=film.stream)
    except av_error.FFmpegError:
        return
    for place, (index, frame) in enumerate(_numbered(film, look)):
        if place == 0 and (index > start or not frame.key_frame):
            return
        yield index, frame


def _places(clip: Clip) -> dict[int | None, int]:
    return {int(stamp): place for place, stamp in enumerate(clip.clock.stamps)}


def _numbered(film: Film, look: _Look) -> Iterator[_Numbered]:
    """Each frame with its place in the clock: by its stamp, or by turn where those were mended."""
    clip = look.clip
    places, last = _places(clip), -1
    for frame in decode_whole_frames(film, look.spare(), look.over()):
        index = last + 1 if clip.mended else places.get(frame.pts, -1)
        if last < index < len(clip.clock):
            last = index
            yield index, frame


def _pictures(film: Film, look: _Look, numbered: Iterator[_Numbered]) -> Iterator[Frame]:
    wanted, watch = look.wanted, look.watch
    width, height, shrink = decode_size(look.clip, look.longest_side)
    maker = PictureMaker(width, height, film.stream.codec_context.field_order)
    last = wanted[-1] if watch is None else decode_end(wanted) - 1
    for index, frame in numbered:
        if index > last:
            return
        if watch is not None and index >= wanted[0]:
            watch.see(index, maker.grey(frame, GREY_SIDE))
        calm = look.calm_after(index)
        shown = [at for at in (index, *calm) if at in wanted]
        if watch is not None and calm:
            watch.pass_over(calm)
        if shown:
            picture = maker.picture(frame)
            yield from (Frame(at, picture, shrink) for at in shown)
        if index == last:
            return
