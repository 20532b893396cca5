"""One video file, and what is known of how it was filmed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from causeline.quantities.clock import Clock

Picture = NDArray[np.uint8]
"""RGB, shape (height, width, 3), in display orientation."""

_LONGEST_GAP = 2.1
"""Intervals between fresh frames are averaged up to this multiple of their median: a 3:2 pattern
has two lengths of interval and 4 pictures in 5 frames has one twice as long as the rest."""
_CLOCKS_DIFFER = timedelta(hours=14)
"""A recorder that writes the hour of its place as if it were UTC is so far ahead at most."""


class View(StrEnum):
    """Where the camera stands."""

    FACE_ON = "face-on"
    """Square to the golfer's chest."""
    DOWN_THE_LINE = "down-the-line"
    """Behind the hands, looking at the target."""


class Hand(StrEnum):
    """Which way round the golfer plays."""

    RIGHT = "right"
    LEFT = "left"


class ScaleFrom(StrEnum):
    """How the time scale of a clip was found, best first."""

    REAL_TIME = "real time"
    CONTAINER = "container"
    GIVEN = "given"
    INFERRED = "inferred from the swing"


@dataclass(frozen=True, slots=True)
class Called:
    """A name decided from the pictures, with the probability that it is right; 1 where given."""

    name: str
    confidence: float


@dataclass(frozen=True, slots=True, eq=False)
class Clip:
    """One video file. Sizes are in pixels of the display orientation (rotation already undone)."""

    name: str
    """The file's own name, without its folder."""
    sha256: str
    width: int
    height: int
    clock: Clock
    rotation_deg: int
    """Clockwise turn that the file asks a player for: 0, 90, 180 or 270. Frames come turned."""
    codec: str
    time_scale_from: ScaleFrom
    repeated: NDArray[np.bool_]
    """(n,) True where a frame shows the same picture as the one before: not to be timed by."""
    damaged: int = 0
    """Frames that the file promises and that could not be decoded; the rest was read."""
    mended: int = 0
    """Frames without a stamp of their own, or with one out of order: their stamps were made up."""
    has_audio: bool = False
    recorded_at: datetime | None = None
    """When it was filmed, by the container's own word; None where it does not say."""

    def __post_init__(self) -> None:
        if self.repeated.shape != (len(self.clock),):
            raise ValueError(
                f"got {self.repeated.shape} repeat marks; expected one for each of "
                f"{len(self.clock)} frames"
            )

    def recorded_on(self, zone: str, latest: datetime) -> date | None:
        """The day of `recorded_at` in that time zone; None where it is not known.

        One that is later than `latest` comes from a clock that was set wrongly, and is not known.
        """
        if self.recorded_at is None or self.recorded_at > latest + _CLOCKS_DIFFER:
            return None
        return self.recorded_at.astimezone(ZoneInfo(zone)).date()

    @property
    def capture_rate_hz(self) -> float:
        """Frames in a second of real time, counting only those that show something new."""
        fresh = np.flatnonzero(~self.repeated)
        if len(fresh) < 2:
            return float("nan")
        if len(fresh) == len(self.clock):
            return self.clock.rate_hz
        gaps = np.diff(self.clock.seconds[fresh])
        return 1.0 / float(np.mean(gaps[gaps <= _LONGEST_GAP * np.median(gaps)]))


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """One decoded picture of a clip."""

    index: int
    """Position in the clip's clock."""
    picture: Picture
    shrink: float = 1.0
    """Picture pixels for one clip pixel: 0.5 when the picture was decoded at half size."""


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """The clip's audio, mixed to one channel."""

    samples: NDArray[np.float32]
    rate_hz: float
    starts_s: float
    """File seconds of the first sample, from the first frame; not scaled to real time."""
