"""Where the golfer was before he was first told from the others: followed back from there.

Two people who overlap in the picture may be one to the search, until one of them moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from causeline.model.clip import Frame
from causeline.model.seams import LandmarkEngine
from causeline.model.tracks import Landmarks, LandmarkTrack, Region
from causeline.reading.crowd import IS_PERSON
from causeline.reading.follow import COARSE_SIDE, Footage, in_clip, in_picture

MOST_LOOKS = 150
"""Looks, ten seconds, that are gone back: longer nobody stands over a ball."""
AT_ONCE = 15
"""Looks, one second, that are decoded at once: files are only read forward."""


def run_before(footage: Footage, engine: LandmarkEngine, golfer: LandmarkTrack) -> LandmarkTrack:
    """The track with the looks before its first answer filled in, as far back as he is seen.

    A look in which he is not where he was in the one after ends it.
    """
    seen = np.flatnonzero(np.isfinite(golfer.xy).all(axis=(1, 2)))
    if not len(seen) or seen[0] == 0:
        return golfer
    first = int(seen[0])
    rows = range(max(0, first - MOST_LOOKS), first)
    xy, confidence = golfer.xy.copy(), golfer.confidence.copy()
    wanted = golfer.frames[rows.start : first].tolist()
    region = Region.around(golfer.xy[first])
    for row, answer in zip(reversed(rows), _answers(footage, engine, wanted, region), strict=False):
        xy[row], confidence[row] = answer.xy, answer.confidence
    return replace(golfer, xy=xy, confidence=confidence)


def _answers(
    footage: Footage, engine: LandmarkEngine, wanted: Sequence[int], region: Region
) -> Iterator[Landmarks]:
    """From the last of the wanted frames back; in clip pixels."""
    for frame in _back(footage, wanted):
        look = (frame.picture, in_picture(region, frame.shrink))
        answer = in_clip(next(engine.find_landmarks([look])), frame.shrink)
        again = region.after(answer)
        if answer.score < IS_PERSON or not again.matches(region):
            return
        yield answer
        region = again


def _back(footage: Footage, wanted: Sequence[int]) -> Iterator[Frame]:
    """The wanted frames from the last back, until one does not decode."""
    for stop in range(len(wanted), 0, -AT_ONCE):
        asked = wanted[max(0, stop - AT_ONCE) : stop]
        came = footage.source.frames(footage.path, footage.clip, asked, COARSE_SIDE)
        frames = {frame.index: frame for frame in came}
        for index in reversed(asked):
            if index not in frames:
                return
            yield frames[index]
