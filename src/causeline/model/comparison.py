"""Two swings set beside each other: the instants that pair them, the fit, what differs."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats
from causeline.quantities.uncertain import Uncertain


@dataclass(frozen=True, slots=True)
class Pair:
    """One moment that both swings have."""

    name: MomentName
    a_s: float
    b_s: float
    """Real seconds in each swing's own clip."""


@dataclass(frozen=True, slots=True)
class Fit:
    """How the other golfer's picture is laid on the first one's: mirrored, scaled, then moved."""

    scale: float
    """Length in picture A of one pixel of picture B."""
    dx: float
    dy: float
    mirror_width: int | None
    """B's picture is turned left to right about this width first; None leaves it as it is."""

    def place(self, xy: Floats) -> Floats:
        """Points (..., 2) of picture B, as it is shown, in pixels of picture A."""
        moved = np.array(xy, dtype=float)
        if self.mirror_width is not None:
            moved[..., 0] = self.mirror_width - 1 - moved[..., 0]
        moved *= self.scale
        moved += (self.dx, self.dy)
        return moved


class Shares(StrEnum):
    """What of the error two measures have in common, so that it drops out of their difference."""

    NOTHING = "nothing"
    """Two clips: the camera stood elsewhere, or the golfer is another."""
    ONE_SETUP = "one set-up"
    """Two swings in one clip: the same camera, golfer and clothes."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One measure in both swings; `difference` is B − A, in the measure's unit."""

    name: str
    moment: MomentName | None
    unit: str
    a: Uncertain
    b: Uncertain
    difference: Uncertain

    @property
    def ratio(self) -> float:
        """Size of the difference in its own standard deviations; 0 where that is 0."""
        return abs(self.difference.value) / self.difference.sd if self.difference.sd else 0.0


@dataclass(frozen=True, slots=True)
class Lacking:
    """A measure that one swing has, or both refuse, with the reason."""

    name: str
    moment: MomentName | None
    why_a: str
    """Empty where that swing has it."""
    why_b: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything that is said of two swings side by side."""

    pairs: tuple[Pair, ...]
    fit: Fit | None
    """None where one of the golfers cannot be sized at address."""
    shares: Shares
    differences: tuple[Difference, ...]
    """In the order of the catalogue's measures, as swing A has them."""
    lacking: tuple[Lacking, ...]
