"""What the hallway is given: the doors, and what the coach decides."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

from causeline.model.clip import Called, Clip, Hand, View
from causeline.model.filming import Advice
from causeline.model.findings import ClubSort, Ruling
from causeline.model.moments import SwingWindow
from causeline.model.motion import Correction, MotionPrior
from causeline.model.seams import ClipSource, ClubNet, FrameWatch, LandmarkEngine
from causeline.model.touched import ClubMark, MomentMark
from causeline.quantities.uncertain import Uncertain

Found = Callable[[Clip, tuple[SwingWindow, ...]], None]
"""Called once, when it is known where in the clip the swings are."""


@dataclass(frozen=True, slots=True)
class FirstLook:
    """What is known of a clip once it was looked over, long before its reading is done."""

    view: Called
    advice: tuple[Advice, ...]
    """On filming, the worst first, from the coarse look: the reading's own may differ."""


Glimpse = Callable[[FirstLook], None]
"""Called once, before the swings are looked at closely."""


class RepeatMarks(FrameWatch, Protocol):
    """Watches a decode pass and marks the frames that repeat the one before."""

    def marked(self, clip: Clip) -> Clip:
        """The clip with what was seen: repeats, and frames that did not come."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the coach decides instead of the pictures. None leaves it to them."""

    view: View | None = None
    hand: Hand | None = None
    capture_hz: float | None = None
    """Frames that the camera took in a real second."""
    stature_m: Uncertain | None = None
    club: ClubSort | None = None
    """What was swung; None takes the bands of most clubs."""
    rulings: tuple[Ruling, ...] = ()
    """What the coach or the golfer says of a fault; of two on the same, the later holds."""
    corrections: tuple[Correction, ...] = ()
    """Landmarks that the coach set right or accepted; pixels of the clip as it is shown."""
    club_marks: tuple[ClubMark, ...] = ()
    """Ends of the club that the coach set right; of two on the same, the later holds."""
    moment_marks: tuple[MomentMark, ...] = ()
    """Moments that the coach set."""

    @property
    def touched(self) -> bool:
        """Whether a track or a moment was set right."""
        return bool(self.corrections or self.club_marks or self.moment_marks)


@dataclass(frozen=True, slots=True, eq=False)
class Doors:
    """The real doors, or their fakes."""

    source: ClipSource
    scout: LandmarkEngine
    """For the first pass, that only finds who swings and when: quick."""
    engine: LandmarkEngine
    """For every frame of a swing: exact."""
    club: ClubNet | None
    """None leaves the club out."""
    watch_repeats: Callable[[Clip], RepeatMarks]
    recapture: Callable[[Clip, float], Clip]
    """The clip as filmed at a given rate."""
    versions: Mapping[str, str]
    prior: MotionPrior | None = None
    """How golfers move; None leaves the body in three dimensions out."""
    load_ahead: Callable[[], Callable[[], None]] | None = None
    """Starts to load what the passes need, does not wait for it, and gives what stops it."""
