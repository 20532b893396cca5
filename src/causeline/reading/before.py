"""Where the golfer was before he was first told from the others: followed back from there.

Two people who overlap in the picture may be one to the search, until one of them moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Frame
from causeline.model.seams import LandmarkEngine
from causeline.model.tracks import Landmarks, LandmarkTrack, Region
from causeline.reading.crowd import IS_PERSON
from causeline.reading.follow import COARSE_SIDE, Footage, in_clip, in_picture

MOST_LOOKS = 150
"""Looks, ten seconds, that are gone back: longer nobody stands over a ball."""


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
    wanted = golfer.frames[rows.start : first]
    region = Region.around(golfer.xy[first])
    for row, answer in zip(reversed(rows), _answers(footage, engine, wanted, region), strict=False):
        xy[row], confidence[row] = answer.xy, answer.confidence
    return replace(golfer, xy=xy, confidence=confidence)


def _answers(
    footage: Footage, engine: LandmarkEngine, wanted: NDArray[np.int64], region: Region
) -> Iterator[Landmarks]:
    """From the last of the wanted frames back; in clip pixels."""
    for frame in reversed(_frames(footage, wanted.tolist())):
        look = (frame.picture, in_picture(region, frame.shrink))
        answer = next(engine.find_landmarks([look]))
        answer = in_clip(answer, frame.shrink)
        again = Region.around(answer.xy)
        if answer.score < IS_PERSON or not again.matches(region):
            return
        yield answer
        region = again


def _frames(footage: Footage, wanted: Sequence[int]) -> list[Frame]:
    """All of the wanted frames, or those after the last that does not decode."""
    came = footage.source.frames(footage.path, footage.clip, wanted, COARSE_SIDE)
    frames = {frame.index: frame for frame in came}
    lost = [place for place, index in enumerate(wanted) if index not in frames]
    return [frames[index] for index in wanted[lost[-1] + 1 if lost else 0 :]]
