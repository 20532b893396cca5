"""What is seen of the club in one frame, before one path is chosen through all of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from causeline.model.moments import MomentName
from causeline.model.tracks import Region
from causeline.quantities.angle import Floats

CLUB_MAPS = ("grip", "hosel", "head", "shaft", "cos2", "sin2")
"""The network's maps: three points and a line, as logits, and the line's direction, doubled."""


@dataclass(frozen=True, slots=True, eq=False)
class ClubCrop:
    """One frame around the hands, upright, and what the network makes of it."""

    region: Region
    """Which square of the clip it is, in clip pixels."""
    grey: NDArray[np.float32]
    """(3, s, s) brightness 0 to 255 of the frame before, this frame and the frame after."""
    maps: NDArray[np.float32]
    """(`len(CLUB_MAPS)`, s / 4, s / 4)."""
    closer: ClubCrop | None = None
    """The same frame from nearer, where the shaft seems to be short; None where it does not."""


@dataclass(frozen=True, slots=True, eq=False)
class ClubGuesses:
    """Lines of one frame that may be the shaft, the likeliest first; k of them, k may be 0.

    Clip pixels.
    """

    butt: Floats
    """(k, 2) grip end."""
    hosel: Floats
    """(k, 2) end of the shaft at the head."""
    head: Floats
    """(k, 2) middle of the head."""
    score: Floats
    """(k,) how much speaks for it, 0 to 1."""
    tip_seen: NDArray[np.bool_]
    """(k,) False where the line runs out of what is seen: hosel and head are then only on it."""

    def __len__(self) -> int:
        return len(self.score)


@dataclass(frozen=True, slots=True)
class ClubCall:
    """A yes-or-no call that a measure of the club allows, with its probability."""

    measure: str
    moment: MomentName | None
    """None for a call of the whole swing."""
    yes: str
    """In the trade's words, as `outside the hands`."""
    no: str
    chance: float
    """Probability of `yes`, 0 to 1, from the value and its ±."""

    @property
    def says_yes(self) -> bool:
        """Whether `yes` is the likelier."""
        return self.chance >= 0.5

    @property
    def told(self) -> str:
        """The likelier of the two."""
        return self.yes if self.says_yes else self.no

    @property
    def sureness(self) -> float:
        """Probability of the likelier, 0.5 to 1."""
        return max(self.chance, 1.0 - self.chance)
