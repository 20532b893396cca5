"""The search, apart from the signals: where values cross a level, peak, or come to rest.

A signal is a pair of arrays (n,), times increasing and values; NaN values are left out before the
search, so neighbours across a gap count as neighbours. Every search answers with a time between
frames and with how sharply the signal says so, or with None.

RISES, FALLS    where the value first goes from below zero to zero or above, or from above to zero
                or below. A signal that begins beyond zero has not crossed.
STIRS, SETTLES  the last such crossing, after which the value stays on that side to the end; None
                where the value ends on the other side.
PEAKS           the highest value inside: the vertex of the parabola through a single peak and its
                neighbours, the middle of a plateau. None where the first or the last value is
                highest: a peak at the edge of a window is not known to be one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from causeline.quantities.angle import Floats

ALIKE_S = 0.03
"""Errors of values nearer than this are alike, so they tilt a peak no more than this far apart."""


class Kind(StrEnum):
    """What is looked for; see the list above."""

    RISES = "rises through zero"
    FALLS = "falls through zero"
    PEAKS = "peaks"
    STIRS = "rises through zero for the last time"
    SETTLES = "falls through zero for the last time"


@dataclass(frozen=True, slots=True)
class Instant:
    """A time, and what its sharpness is worth: `doubt_s` seconds of error for a unit of noise."""

    time_s: float
    doubt_s: float


def find_instant(time_s: Floats, value: Floats, kind: Kind) -> Instant | None:
    """Search a signal for one kind of instant; None where it has none."""
    known = np.isfinite(value)
    time_s, value = time_s[known], value[known]
    if len(value) < 2:
        return None
    if kind == Kind.PEAKS:
        return _peak(time_s, value)
    upward = value if kind in (Kind.RISES, Kind.STIRS) else -value
    return _crossing(time_s, upward, last=kind in (Kind.STIRS, Kind.SETTLES))


def _crossing(time_s: Floats, value: Floats, last: bool) -> Instant | None:
    crossed = np.flatnonzero((value[:-1] < 0) & (value[1:] >= 0))
    if len(crossed) == 0 or (last and value[-1] < 0):
        return None
    k = int(crossed[-1 if last else 0])
    step, rise = time_s[k + 1] - time_s[k], value[k + 1] - value[k]
    return Instant(float(time_s[k] - value[k] / rise * step), float(step / rise))


def _peak(time_s: Floats, value: Floats) -> Instant | None:
    top = float(value.max())
    at = np.flatnonzero(value == top)
    first, last = int(at[0]), int(at[0])
    while last + 1 < len(value) and value[last + 1] == top:
        last += 1
    if first == 0 or last == len(value) - 1:
        return None
    if last > first:
        half = (time_s[last] - time_s[first]) / 2
        return Instant(
            float(time_s[first] + half), float(half / max(top - value[first - 1], 1e-12))
        )
    return _vertex(time_s[first - 1 : first + 2], value[first - 1 : first + 2])


def _vertex(time_s: Floats, value: Floats) -> Instant:
    """The vertex of the parabola through three points, the middle one highest."""
    before, after = time_s[1] - time_s[0], time_s[2] - time_s[1]
    up, down = (value[1] - value[0]) / before, (value[2] - value[1]) / after
    bend = (down - up) / (before + after)
    slope = up + bend * before
    reach = max((before + after) / 2, ALIKE_S)
    return Instant(float(time_s[1] - slope / (2 * bend)), float(1.0 / (2.0 * abs(bend) * reach)))
