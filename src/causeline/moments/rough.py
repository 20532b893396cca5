"""Up, down and up again: the shape of a swing in the height of the hands, at any speed of playing.

Height is that of the hands over the hips, in heights of the shoulders over the hips: 0 at the hips,
1 at the shoulders, about 1.6 at the top of a full swing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from causeline.quantities.angle import Floats

TURNING = 0.35
"""A turn of the height smaller than this is waggle or noise."""
HIGH = 0.85
"""A full swing takes the hands at least this high: not quite to the shoulders."""
HALF_HIGH = 0.5
"""A half swing takes them at least this high, and is told from a waggle or the rehearsal of a
take-away by its finish."""
FINISH_HIGH = 0.6
"""Low finishes, as after a punch, still count."""
LOW_SHARE = 0.5
"""At impact the hands have fallen by at least this share of the height of the top."""
HIPS_HIGH = 0.4
"""At address the hands hang below this."""
NARROW, NARROW_ALONE = 4.0, 3.2
"""The hands are low about an impact for at most this many falls; fewer where no rise is seen."""
HASTE = 0.5
"""The rise to the top takes at least this many falls; about three in truth, less in noise, and less
in half swings, whose hands go back low before they rise."""
LEAST_RISE_S, LEAST_FALL_S = 0.1, 0.05
"""No swing is faster, and no file plays faster than life: half of what is usual."""
PATIENCE, STANDING = 1.5, 1.0
"""A clip that ends before impact ends within this many rises of the top, and shows the hands low
for this many before: less is a glitch."""


@dataclass(frozen=True, slots=True)
class Rough:
    """Indices into the heights that were searched; -1 for what they do not show."""

    low: int
    """Where the hands are last low before they rise to the top."""
    top: int
    impact: int
    finish: int
    rise_s: float
    fall_s: float


def find_shapes(time_s: Floats, height: Floats) -> tuple[Rough, ...]:
    """Every swing-like shape in heights (n,), in order; NaN heights are passed over.

    A run that begins at the top, or ends before or just after impact, is answered with -1 for what
    is not there.
    """
    known = np.flatnonzero(np.isfinite(height))
    if len(known) < 3:
        return ()
    turns = _turning_points(height[known])
    run = _Run(time_s[known], height[known], turns)
    shapes = [shape for shape in (run.shape_at(k) for k in range(len(turns))) if shape]
    return tuple(_renumbered(shape, known) for shape in _without_overlap(shapes))


def _turning_points(value: Floats) -> list[int]:
    """Indices of the highs and lows that alternate by more than `TURNING`, ends included."""
    turns, extreme, way = [0], 0, 0
    for k in range(1, len(value)):
        step = value[k] - value[extreme]
        if way == 0 and abs(value[k] - value[0]) > TURNING:
            way, extreme = int(np.sign(value[k] - value[0])), k
        elif way != 0 and step * way > 0:
            extreme = k
        elif way != 0 and -step * way > TURNING:
            turns.append(extreme)
            way, extreme = -way, k
    last = len(value) - 1
    turns.append(extreme if way != 0 else last)
    if turns[-1] != last:
        turns.append(last)
    return turns


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    time_s: Floats
    height: Floats
    turns: list[int]

    def shape_at(self, k: int) -> Rough | None:
        """The swing whose top is turning point `k`, or None where there is none.

        A dip while the hands are up, of hands that are taken to be elsewhere behind the head, is
        no impact: the top is then the higher of the two about it.
        """
        low, top = self._turn(k - 1), self.turns[k]
        low = low if low >= 0 and self.height[low] < HIPS_HIGH else -1
        if self._dips_after(k, low):
            again = self.turns[k + 2]
            k, top = k + 2, top if self.height[top] > self.height[again] else again
        if self.height[top] < HALF_HIGH:
            return None
        impact = self._turn(k + 1)
        if impact >= 0 and self.height[impact] > self.height[top] * (1.0 - LOW_SHARE):
            impact = -1
        if impact == len(self.height) - 1 and self.height[impact] > HIPS_HIGH:
            impact = -1  # the clip ends while the hands still fall
        finish = self._turn(k + 2) if impact >= 0 else -1
        if finish >= 0 and self.height[finish] < FINISH_HIGH:
            finish = -1
        if self.height[top] < HIGH and min(low, finish) < 0:
            return None
        rise = self._flank(low, top) if low >= 0 else float("nan")
        fall = self._flank(impact, top) if impact >= 0 else float("nan")
        shape = Rough(low, top, impact, finish, rise, fall)
        return shape if self._is_swing(shape, k) else None

    def _dips_after(self, k: int, low: int) -> bool:
        """Whether the hands, up at turning point `k`, only seem to fall before they truly do.

        The fall does not come down to where the hands hang, and from the next height they fall
        there faster than they rose.
        """
        dip, again, fallen = (self._turn(k + step) for step in (1, 2, 3))
        if low < 0 or fallen < 0 or self.height[dip] < HIPS_HIGH:
            return False
        hangs = self.height[fallen] < min(HIPS_HIGH, self.height[dip] - TURNING)
        up = min(self.height[self.turns[k]], self.height[again]) >= HIGH
        return up and hangs and self._flank(fallen, again) <= self._flank(low, self.turns[k])

    def _turn(self, k: int) -> int:
        return self.turns[k] if 0 <= k < len(self.turns) else -1

    def _is_swing(self, shape: Rough, k: int) -> bool:
        if shape.rise_s < LEAST_RISE_S:
            return False
        if shape.low < 0:
            begins = k == 0 and shape.impact >= 0 and shape.finish >= 0
            return begins and self._low_for(shape) <= NARROW_ALONE * shape.fall_s
        if shape.impact < 0:
            left_s = float(self.time_s[-1] - self.time_s[shape.top])
            ends = k >= len(self.turns) - 2 and left_s <= PATIENCE * shape.rise_s
            return ends and self._stands_for(shape) >= STANDING * shape.rise_s
        if shape.fall_s < LEAST_FALL_S:
            return False
        hasty = shape.rise_s >= HASTE * shape.fall_s
        return hasty and self._low_for(shape) <= NARROW * shape.fall_s

    def _flank(self, low: int, top: int) -> float:
        """Seconds between a fifth and nine tenths of the height, on one side of the top."""
        first, last = min(low, top), max(low, top)
        time_s, height = self.time_s[first : last + 1], self.height[first : last + 1]
        if low > top:
            time_s, height = -time_s[::-1], height[::-1]
        span = height[-1] - height[0]
        leaves = _last_below(time_s, height, height[0] + 0.2 * span)
        arrives = _last_below(time_s, height, height[0] + 0.9 * span)
        return arrives - leaves

    def _stands_for(self, shape: Rough) -> float:
        """Seconds for which the hands hang low, without a break, before they rise to the top."""
        hanging = self.height[: shape.top] < HIPS_HIGH
        last = int(np.flatnonzero(hanging)[-1])
        risen = np.flatnonzero(~hanging[:last])
        first = int(risen[-1]) + 1 if len(risen) else 0
        return float(self.time_s[last] - self.time_s[first])

    def _low_for(self, shape: Rough) -> float:
        """Seconds about impact during which the hands are below half of their height at the top."""
        end = shape.finish if shape.finish >= 0 else len(self.height) - 1
        peak = min(self.height[shape.top], max(self.height[end], FINISH_HIGH))
        middle = (self.height[shape.impact] + peak) / 2
        low = np.flatnonzero(self.height[shape.top : end + 1] < middle) + shape.top
        return float(self.time_s[low[-1]] - self.time_s[low[0]])


def _last_below(time_s: Floats, height: Floats, level: float) -> float:
    below = np.flatnonzero(height < level)
    if len(below) == 0:
        return float(time_s[0])
    k = int(below[-1])
    if k + 1 == len(height):
        return float(time_s[k])
    share = (level - height[k]) / (height[k + 1] - height[k])
    return float(time_s[k] + share * (time_s[k + 1] - time_s[k]))


def _without_overlap(shapes: list[Rough]) -> list[Rough]:
    """Each finish belongs to one swing: a later shape that starts inside an earlier one goes."""
    kept: list[Rough] = []
    for shape in shapes:
        if kept and shape.top <= max(kept[-1].finish, kept[-1].impact, kept[-1].top):
            continue
        kept.append(shape)
    return kept


def _renumbered(shape: Rough, known: NDArray[np.int64]) -> Rough:
    def at(index: int) -> int:
        return int(known[index]) if index >= 0 else -1

    return replace(
        shape,
        low=at(shape.low),
        top=at(shape.top),
        impact=at(shape.impact),
        finish=at(shape.finish),
    )
