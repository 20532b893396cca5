"""The doors that the hallway walks through. Each has a real one and a shipped fake in `sources`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Clip, Frame, Picture, Sound, View
from causeline.model.club import ClubCrop
from causeline.model.moments import Moments
from causeline.model.motion import Motion
from causeline.model.tracks import BodyTrack, ClubTrack, Landmarks, Person, Region


class FrameWatch(Protocol):
    """Is shown each frame that a decode pass meets, wanted or not, but those that it spares."""

    def spares(self, index: int) -> bool:
        """Whether it can do without the frame at that place, which is not decoded yet."""

    def see(self, index: int, grey: NDArray[np.uint8]) -> None:
        """Take note of the frame at that place of the clock; `grey` (h, w) is small, not turned."""

    def pass_over(self, frames: range) -> None:
        """Take note that these are not decoded: nothing moves between the key frames around."""


class ClipSource(Protocol):
    """Opens video files."""

    def probe(self, path: Path) -> Clip:
        """Read stamps, size, rotation and time scale, without keeping pictures."""

    def frames(
        self,
        path: Path,
        clip: Clip,
        wanted: Sequence[int],
        longest_side: int | None = None,
        watch: FrameWatch | None = None,
    ) -> Iterator[Frame]:
        """Decode the wanted frames in order, shrunk to `longest_side` pixels where that is less.

        A frame that does not decode is left out. `watch` sees every frame of the range, whatever
        its step, but for some of those that it spares. Only with a `watch` may frames be passed
        over between two key frames that show the same: a wanted one of them comes as the picture
        of the first.
        """

    def sound(
        self, path: Path, clip: Clip, start_s: float = 0.0, stop_s: float | None = None
    ) -> Sound | None:
        """The audio between two file seconds from the first frame; None where there is no track."""


class LandmarkEngine(Protocol):
    """Finds people and their landmarks in pictures. Coordinates are pixels of the picture given."""

    def find_people(self, picture: Picture) -> tuple[Person, ...]:
        """Everybody in the picture, the surest first."""

    def find_landmarks(self, looks: Iterable[tuple[Picture, Region]]) -> Iterator[Landmarks]:
        """The landmarks of the person in each region; one answer for each look, in order."""


class SmallFrame(Protocol):
    """A frame put by in as little room as it needs."""

    @property
    def nbytes(self) -> int:
        """The room that it takes."""

    def frame(self) -> Frame:
        """The frame again."""


class ClubNet(Protocol):
    """Looks for the club around the hands."""

    def shrink_frame(self, frame: Frame, side_px: float) -> SmallFrame:
        """As small a frame as is enough where the square has about `side_px` clip pixels."""

    def find_club(
        self, frames: Iterable[Frame], regions: Sequence[Region], mirrored: bool = False
    ) -> Iterator[ClubCrop]:
        """The crop and the maps of each frame; frames and regions are as many, one for one.

        Regions are upright squares in clip pixels. `mirrored` turns each picture left to right
        first: give it where the body track is mirrored, so that everything is in its coordinates.
        """


class Lifter(Protocol):
    """Reads the body in space from its tracks in one picture, by what it learned of swings."""

    def lift_body(
        self,
        body: BodyTrack,
        club: ClubTrack | None,
        moments: Moments,
        view: View,
        stature_m: float | None = None,
    ) -> Motion | None:
        """Joints and turns over the frames of the body track, each with its ±; NaN where it cannot.

        None where the swing has no top or impact to hold it by.
        """
