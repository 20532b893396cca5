"""Following people through a clip, twice: everybody at a low rate, then the golfer in every frame.

The first pass goes from look to look: each region comes from the landmarks before it. It need only
tell who is where and whose hands swing. The second pass knows the region for each frame beforehand,
from the first pass smoothed over time. So no frame depends on the one before, several are worked on
at once, and a mistake does not spread; and a square that stays calm makes calmer landmarks
(docs/decisions.md has the table).
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Clip, Frame, Picture
from causeline.model.seams import ClipSource, FrameWatch, LandmarkEngine
from causeline.model.tracks import ENGINE_LANDMARKS, Landmarks, LandmarkTrack, Region
from causeline.quantities.angle import Floats
from causeline.reading.crowd import IS_PERSON, Crowd
from causeline.reading.kept import KeptFrames
from causeline.reading.steady import is_off, steady_regions

Report = Callable[[str, int, int], None]
"""(what is being done, steps done, steps in all): called as the work goes on."""

LOOKS_HZ = 15.0
"""Looks in a second of the first pass: a downswing takes a quarter of a second, and slow motion
that is not known as such only gets more looks."""
COARSE_SIDE = 640
"""Longest side, in pixels, of the pictures of the first pass."""
DENSE_PIXELS = 400
"""Side of the golfer's region, in decoded pixels, in the second pass: the network takes 256."""


@dataclass(frozen=True, slots=True)
class Footage:
    """A clip, and what decodes it."""

    source: ClipSource
    path: Path
    clip: Clip


def coarse_frames(clip: Clip) -> range:
    """The frames that the first pass looks at."""
    rate = clip.clock.rate_hz if len(clip.clock) > 1 else LOOKS_HZ
    return range(0, len(clip.clock), max(1, round(rate / LOOKS_HZ)))


def run_coarse(
    footage: Footage, engine: LandmarkEngine, report: Report, watch: FrameWatch | None = None
) -> tuple[LandmarkTrack, ...]:
    """Everybody who is seen, one track each, the longest first; empty where nobody is.

    All tracks have the same frames, about `LOOKS_HZ` in a second; NaN where a person is not seen.
    `watch` is shown every frame from the first to the last of `coarse_frames`.
    """
    clip, wanted, crowd = footage.clip, coarse_frames(footage.clip), Crowd(engine)
    looked: list[int] = []
    shrink = 1.0
    for frame in footage.source.frames(footage.path, clip, wanted, COARSE_SIDE, watch):
        if not clip.repeated[frame.index]:
            crowd.look(frame.picture, len(looked))
            looked.append(frame.index)
            shrink = frame.shrink
        report("looking for the golfer", frame.index + 1, wanted[-1] + 1)
    frames = np.array(looked, dtype=np.int64)
    return tuple(
        _track(clip, frames, {look: in_clip(answer, shrink) for look, answer in answers.items()})
        for answers in crowd.followed()
    )


@dataclass(frozen=True, slots=True, eq=False)
class DensePass:
    """Every frame of a window that steps by one, and where the golfer is in each."""

    footage: Footage
    window: range
    regions: tuple[Region, ...]
    """All of one size."""

    @classmethod
    def over(cls, footage: Footage, window: range, golfer: LandmarkTrack) -> DensePass:
        """The pass over a window; `golfer` is the track of the first pass."""
        seconds = footage.clip.clock.seconds[window.start : window.stop]
        return cls(footage, window, tuple(steady_regions(golfer, seconds)))

    def frames(self) -> Iterator[Frame]:
        """The frames, decoded as small as the landmark network needs them."""
        clip, footage = self.footage.clip, self.footage
        side = _decoded_side(clip, self.regions[0].size)
        return footage.source.frames(footage.path, clip, self.window, side)


def run_dense(
    dense: DensePass, engine: LandmarkEngine, report: Report, kept: KeptFrames | None = None
) -> LandmarkTrack:
    """The golfer's landmarks in every frame of the pass; `kept` is shown each frame.

    NaN in frames that repeat the one before, do not decode, or do not show the golfer.
    """
    clip, window = dense.footage.clip, dense.window
    expected = dict(zip(window, dense.regions, strict=True))
    frames = kept.passing(dense.frames()) if kept else dense.frames()
    fresh = (frame for frame in frames if not clip.repeated[frame.index])
    answers: dict[int, Landmarks] = {}
    for frame, answer in _answers(engine, fresh, expected):
        if answer is not None:
            answers[frame.index - window.start] = in_clip(answer, frame.shrink)
        report("following the golfer", frame.index - window.start + 1, len(window))
    return _track(clip, np.arange(window.start, window.stop), answers)


def _decoded_side(clip: Clip, region_px: float) -> int | None:
    longest = max(clip.width, clip.height)
    side = math.ceil(longest * DENSE_PIXELS / region_px)
    return side if side < longest else None


def _answers(
    engine: LandmarkEngine, frames: Iterable[Frame], expected: Mapping[int, Region]
) -> Iterator[tuple[Frame, Landmarks | None]]:
    """The answer for each frame; frames wait here while the engine works on those before them."""
    waiting: deque[tuple[Frame, Region]] = deque()

    def looks() -> Iterator[tuple[Picture, Region]]:
        for frame in frames:
            region = in_picture(expected[frame.index], frame.shrink)
            waiting.append((frame, region))
            yield frame.picture, region

    for answer in engine.find_landmarks(looks()):
        frame, region = waiting.popleft()
        yield frame, _checked(engine, frame.picture, region, answer)


def _checked(
    engine: LandmarkEngine, picture: Picture, region: Region, answer: Landmarks
) -> Landmarks | None:
    """The answer, or a second one from a better region; None where the golfer is not found."""
    if answer.score >= IS_PERSON:
        person = Region.around(answer.xy)
        if not is_off(region, person):
            return answer
        again = next(engine.find_landmarks([(picture, person)]))
        return again if again.score >= IS_PERSON else answer
    people = engine.find_people(picture)
    place = next((found.region for found in people if found.region.matches(region)), None)
    if place is None:
        return None
    again = next(engine.find_landmarks([(picture, place)]))
    return again if again.score >= IS_PERSON else None


def in_picture(region: Region, shrink: float) -> Region:
    """A region of the clip in a picture that was decoded smaller."""
    x, y = ((at + 0.5) * shrink - 0.5 for at in (region.x, region.y))
    return Region(x, y, region.size * shrink, region.turn_deg)


def in_clip(answer: Landmarks, shrink: float) -> Landmarks:
    """An answer from a picture that was decoded smaller, in pixels of the clip."""
    return Landmarks((answer.xy + 0.5) / shrink - 0.5, answer.confidence, answer.score)


def _track(
    clip: Clip, frames: NDArray[np.int64], answers: Mapping[int, Landmarks]
) -> LandmarkTrack:
    """The answers by row, in pixels of the clip; NaN and no confidence in rows without one."""
    points = len(ENGINE_LANDMARKS)
    xy: Floats = np.full((len(frames), points, 2), np.nan)
    confidence = np.zeros((len(frames), points))
    for row, answer in answers.items():
        xy[row], confidence[row] = answer.xy, answer.confidence
    return LandmarkTrack(frames, clip.clock.seconds[frames], xy, confidence)
