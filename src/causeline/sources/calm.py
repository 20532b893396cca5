"""Where nothing moves from one key frame to the next, so that what lies between can be passed over.

A clip that is mostly waiting costs mostly decoding. Key frames stand by themselves: looked at
alone, a second apart, they tell where the golfer only waits. Nobody swings and stands again as
before, to the pixel, within that time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice, pairwise
from pathlib import Path

import av.error as av_error
import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Clip
from causeline.sources.limits import Limits
from causeline.sources.opening import Film, decode_open
from causeline.sources.packets import decode_packet, decode_packets
from causeline.sources.picture import PictureMaker

LEAST_S, MOST_S = 0.8, 1.25
"""File seconds from one key frame that is looked at to the next: nearer is not worth a look, and
in longer a practice swing might come and go."""
MOST_PIXELS = 600e6
"""Of key frames that are looked at, about five minutes of HD: before the first frame comes out, a
pass may take a few seconds and no more. What is later in a clip is decoded as it stands."""
BLOCKS = 80
"""Blocks along the longest side whose brightness is compared: noise averages out in each."""
CHANGING = 0.005
"""Share of the blocks, those that change most, whose mean change in grey levels counts."""
SAME, SAME_MOST, OF_LIVELIEST = 3.0, 6.0, 0.05
"""Nothing moves below the first; where the liveliest change is large, as that of a golfer who has
swung in good light (100 to 170), below this share of it, but never above the second. Compression
makes about one, swaying at address five, a hand that moves by its width ten."""
Marks = NDArray[np.bool_]
_Key = tuple[int, NDArray[np.float32]]
"""Stamp and blocks."""


def decode_calm(path: Path, clip: Clip, limits: Limits) -> Marks:
    """Which frames lie between two key frames that show the same, (n,); those two are not marked.

    The last second of a rest is not marked either: what comes next begins in it. None are, where
    the container has no index to enter it by, or its stamps were mended.
    """
    stamps, base = clip.clock.stamps, float(clip.clock.time_base)
    calm = np.zeros(len(stamps), dtype=np.bool_)
    if clip.mended or float(stamps[-1] - stamps[0]) * base < 2 * MOST_S:
        return calm
    with decode_open(path, limits) as film:
        looks = max(2, round(MOST_PIXELS / (clip.width * clip.height)))
        keys = islice(_key_frames(film, clip), looks) if film.indexed else ()
        steps = list(_steps(keys))
    most = min(SAME_MOST, OF_LIVELIEST * max((change for _, _, change in steps), default=0.0))
    rests = [
        (before, after)
        for before, after, change in steps
        if change < max(SAME, most) and (after - before) * base <= MOST_S
    ]
    for (before, after), (following, _) in pairwise(rests):
        if following == after:
            calm |= (stamps > before) & (stamps < after)
    return calm


def _steps(keys: Iterable[_Key]) -> Iterator[tuple[int, int, float]]:
    """Stamps of each two key frames in a row, and how much the second differs."""
    for (before, first), (after, second) in pairwise(keys):
        if first.shape == second.shape:
            yield before, after, _change(first, second)


def _key_frames(film: Film, clip: Clip) -> Iterator[_Key]:
    """Stamps and blocks of key frames at least `LEAST_S` apart, in order."""
    film.stream.codec_context.thread_count = 1
    maker = PictureMaker(1, 1)
    step = round(LEAST_S / clip.clock.time_base)
    target, end = int(clip.clock.stamps[0]), int(clip.clock.stamps[-1])
    while target <= end:
        try:
            film.container.seek(target, stream=film.stream, backward=False)
        except av_error.FFmpegError:
            return
        packet = next(decode_packets(film), None)
        if packet is None or packet.pts is None or packet.pts < target or not packet.is_keyframe:
            return
        frames = [*(decode_packet(film, packet) or ()), *(decode_packet(film, None) or ())]
        for frame in frames[:1]:
            if frame.pts == packet.pts:
                yield packet.pts, maker.grey(frame, BLOCKS).astype(np.float32)
        target = packet.pts + step


def _change(before: NDArray[np.float32], after: NDArray[np.float32]) -> float:
    change = np.abs(after - before).ravel()
    most = max(1, round(CHANGING * change.size))
    return float(np.partition(change, -most)[-most:].mean())
