"""A number with its standard deviation.

The arithmetic is first order and takes its two operands as independent: two measures that share
a landmark are not, and must be computed together (see `measures`), not subtracted here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

NORMAL_90 = 1.6448536269514722
"""Half-width of the central 90 % interval of a normal distribution, in standard deviations."""


@dataclass(frozen=True, slots=True)
class Uncertain:
    """`value` ± `sd`, one standard deviation, both in one unit. `sd` is never negative."""

    value: float
    sd: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.sd) and self.sd >= 0):
            raise ValueError(
                f"got {self.value} ± {self.sd}; expected finite numbers and a spread of at least 0"
            )

    def __add__(self, other: Uncertain) -> Uncertain:
        return Uncertain(self.value + other.value, math.hypot(self.sd, other.sd))

    def __sub__(self, other: Uncertain) -> Uncertain:
        return Uncertain(self.value - other.value, math.hypot(self.sd, other.sd))

    def __truediv__(self, other: Uncertain) -> Uncertain:
        ratio = self.value / other.value
        return Uncertain(ratio, math.hypot(self.sd / other.value, ratio * other.sd / other.value))

    def times(self, factor: float) -> Uncertain:
        """The same quantity in another unit, or a multiple of it."""
        return Uncertain(self.value * factor, self.sd * abs(factor))

    def interval_90(self) -> tuple[float, float]:
        """Lower and upper end of the central 90 % interval, normal errors assumed."""
        half = NORMAL_90 * self.sd
        return self.value - half, self.value + half
