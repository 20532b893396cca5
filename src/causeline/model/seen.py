"""What one clip shows: everything that needed its pixels or its sound, before it is judged.

A reading is judged from this record alone, so it can be judged again (another view, another height,
newer rules) without looking at the clip again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from causeline.model.clip import Called, Clip
from causeline.model.club import ClubGuesses
from causeline.model.filming import PictureFacts
from causeline.model.moments import SwingWindow
from causeline.model.tracks import LandmarkTrack
from causeline.quantities.angle import Floats
from causeline.quantities.uncertain import Uncertain

SEEN_SCHEMA = "causeline.seen/1"

STEPS_PER_PX = 64
"""Coordinates are kept in steps of 1/64 pixel; the steadiest landmark trembles by half a pixel."""


@dataclass(frozen=True, slots=True, eq=False)
class SeenClub:
    """What may be the club in each frame of a swing."""

    guesses: tuple[ClubGuesses, ...]
    """One for each frame of the swing's landmarks."""
    mirrored: bool
    """The pictures were mirrored before the club was looked for, and so are the guesses."""
    width: int
    """Width of the picture: a mirrored x is `width - 1 - x`."""

    def turned(self, mirrored: bool) -> SeenClub:
        """The same guesses in the coordinates of a body track that is mirrored, or is not."""
        if mirrored == self.mirrored:
            return self
        guesses = tuple(self._flipped(each) for each in self.guesses)
        return replace(self, guesses=guesses, mirrored=mirrored)

    def _flipped(self, each: ClubGuesses) -> ClubGuesses:
        butt, hosel, head = (
            np.column_stack([self.width - 1 - xy[:, 0], xy[:, 1]])
            for xy in (each.butt, each.hosel, each.head)
        )
        return replace(each, butt=butt, hosel=hosel, head=head)


@dataclass(frozen=True, slots=True, eq=False)
class SeenSwing:
    """One swing as it was seen."""

    window: SwingWindow
    landmarks: LandmarkTrack
    """Every frame of the window."""
    club: SeenClub | None = None
    """None where it was not looked for, or where there were no hands to look around."""
    listened: bool = False
    """Whether a strike could have been heard."""
    strike: Uncertain | None = None
    """Real seconds at which the ball was struck, as heard."""
    light: tuple[PictureFacts, ...] = ()
    """At address, top and impact, as far as those were found."""

    def __post_init__(self) -> None:
        if self.club is not None and len(self.club.guesses) != len(self.landmarks.frames):
            raise ValueError(
                f"got guesses at the club in {len(self.club.guesses)} frames; expected one for "
                f"each of {len(self.landmarks.frames)}"
            )

    @property
    def struck(self) -> bool | None:
        """Whether the strike was heard; None where it could not have been."""
        return self.strike is not None if self.listened else None


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """One clip as it was seen."""

    clip: Clip
    """Its clock already has the time scale that was decided."""
    golfer: LandmarkTrack
    """Who swings, at the low rate of the first pass, over the whole clip."""
    view: Called
    hand: Called
    """As the pictures show, or as they were given when the clip was seen."""
    swings: tuple[SeenSwing, ...]
    engine: dict[str, str]
    """Names and versions of what looked."""
    capture_hz: float | None = None
    """The capture rate that was given when the clip was seen."""


def kept_track(track: LandmarkTrack) -> LandmarkTrack:
    """A track in the precision that a file of what was seen keeps."""
    return replace(track, xy=kept_px(track.xy), confidence=kept_share(track.confidence))


def kept_guesses(each: ClubGuesses) -> ClubGuesses:
    """Guesses in the precision that a file of what was seen keeps."""
    return replace(
        each,
        butt=kept_px(each.butt),
        hosel=kept_px(each.hosel),
        head=kept_px(each.head),
        score=kept_share(each.score),
    )


def kept_px(xy: Floats) -> Floats:
    """Coordinates to the nearest step of 1/64 pixel; a 32-bit float holds them exactly."""
    return np.round(np.asarray(xy, dtype=np.float64) * STEPS_PER_PX) / STEPS_PER_PX


def kept_share(share: Floats) -> Floats:
    """Probabilities as a 16-bit float holds them: three digits."""
    return np.asarray(share, dtype=np.float16).astype(np.float64)
