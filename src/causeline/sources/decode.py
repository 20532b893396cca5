"""The door for video files: PyAV, which is FFmpeg's libraries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, pairwise
from pathlib import Path

import av.error as av_error
from av.codec.context import ThreadType
from av.video.frame import VideoFrame

from causeline.errors import SettingError
from causeline.model.clip import Clip, Frame, Sound
from causeline.model.seams import FrameWatch
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

_Numbered = tuple[int, VideoFrame]


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
        frame that does not decode is left out.
        """
        wanted = decode_wanted(wanted, len(clip.clock), longest_side)
        if not wanted:
            return
        with decode_faults(clip.name):
            spare = _spare(clip, wanted, watch)
            for film, numbered in self._entries(path, clip, wanted[0], spare):
                first = next(numbered, None)
                if first is not None:
                    numbered = chain([first], numbered)
                    yield from _pictures(film, clip, wanted, numbered, (longest_side, watch))
                    return

    def sound(
        self, path: Path, clip: Clip, start_s: float = 0.0, stop_s: float | None = None
    ) -> Sound | None:
        """The audio between two file seconds from the first frame; see `decode_sound`."""
        return decode_sound(path, clip, self._limits, start_s, stop_s)

    def _entries(
        self, path: Path, clip: Clip, start: int, spare: Spare | None
    ) -> Iterator[tuple[Film, Iterator[_Numbered]]]:
        """The file opened at ever earlier places; an empty run of frames means too late."""
        for back_s in _BACK_S if start and not clip.mended else ():
            with decode_open(path, self._limits) as film:
                if film.indexed:
                    self._prepare(film)
                    yield film, _entered(film, clip, start, back_s, spare)
        with decode_open(path, self._limits) as film:
            self._prepare(film)
            yield film, _numbered(decode_whole_frames(film, spare), clip)

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


def _spare(clip: Clip, wanted: Sequence[int], watch: FrameWatch | None) -> Spare | None:
    """What a pass can do without; None where frames are numbered by turn, so all must come."""
    if clip.mended:
        return None
    places = _places(clip)

    def spare(stamp: int) -> bool:
        index = places.get(stamp)
        if index is None or index in wanted:
            return False
        return watch is None or watch.spares(index)

    return spare


def _rising(wanted: Sequence[int]) -> bool:
    return all(later > earlier for earlier, later in pairwise(wanted))


def decode_size(clip: Clip, longest_side: int | None) -> tuple[int, int, float]:
    """Width, height and shrink of the pictures of a clip at that longest side."""
    longest = max(clip.width, clip.height)
    shrink = 1.0 if longest_side is None else min(1.0, longest_side / longest)
    width, height = (max(1, round(side * shrink)) for side in (clip.width, clip.height))
    return width, height, shrink


def _entered(
    film: Film, clip: Clip, start: int, back_s: float, spare: Spare | None
) -> Iterator[_Numbered]:
    """Frames from a key frame on; none where the first one comes after the frame at `start`."""
    target = int(clip.clock.stamps[start]) - round(back_s / clip.clock.time_base)
    try:
        film.container.seek(target, stream=film.stream)
    except av_error.FFmpegError:
        return
    for place, (index, frame) in enumerate(_numbered(decode_whole_frames(film, spare), clip)):
        if place == 0 and (index > start or not frame.key_frame):
            return
        yield index, frame


def _places(clip: Clip) -> dict[int | None, int]:
    return {int(stamp): place for place, stamp in enumerate(clip.clock.stamps)}


def _numbered(frames: Iterator[VideoFrame], clip: Clip) -> Iterator[_Numbered]:
    """Each frame with its place in the clock: by its stamp, or by turn where those were mended."""
    places, last = _places(clip), -1
    for frame in frames:
        index = last + 1 if clip.mended else places.get(frame.pts, -1)
        if last < index < len(clip.clock):
            last = index
            yield index, frame


def _pictures(
    film: Film,
    clip: Clip,
    wanted: Sequence[int],
    numbered: Iterator[_Numbered],
    look: tuple[int | None, FrameWatch | None],
) -> Iterator[Frame]:
    longest_side, watch = look
    width, height, shrink = decode_size(clip, longest_side)
    maker = PictureMaker(width, height, film.stream.codec_context.field_order)
    last = wanted[-1] if watch is None else decode_end(wanted) - 1
    for index, frame in numbered:
        if index > last:
            return
        if watch is not None and index >= wanted[0]:
            watch.see(index, maker.grey(frame, GREY_SIDE))
        if index in wanted:
            yield Frame(index, maker.picture(frame), shrink)
        if index == last:
            return
