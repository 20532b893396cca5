"""One swing's time told in another's: the moments fall together, between them time is warped.

The map is a monotone cubic through the moments that both swings have (Fritsch and Carlson 1980, as
SciPy's PCHIP): it never runs backward, and the speed of the one swing against the other changes
without a jerk. Before the first and after the last common moment both run in real time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from causeline.model.comparison import Pair
from causeline.model.moments import Moment, Moments
from causeline.quantities.angle import Floats

LEAST_APART_S = 1e-4
"""Moments nearer to each other than this, in either swing, count as one."""


@dataclass(frozen=True, slots=True)
class TimeMap:
    """From seconds of swing A to seconds of swing B."""

    pairs: tuple[Pair, ...]

    def to_b(self, a_s: Floats | float) -> Floats:
        """Seconds of swing B at the same place of the swing, shape as given."""
        times = np.asarray(a_s, dtype=float)
        first, last = self.pairs[0], self.pairs[-1]
        before = times - first.a_s + first.b_s
        after = times - last.a_s + last.b_s
        if len(self.pairs) == 1:
            return before
        curve = PchipInterpolator([p.a_s for p in self.pairs], [p.b_s for p in self.pairs])
        within = curve(np.clip(times, first.a_s, last.a_s))
        mapped = np.where(times < first.a_s, before, np.where(times > last.a_s, after, within))
        return np.asarray(mapped, dtype=float)


def compare_times(a: Moments, b: Moments) -> TimeMap | None:
    """The map from swing A's time to swing B's; None where they have no moment in common.

    Where two moments do not come in the same order in both swings, or as good as together, the one
    whose instant is less sure is left out.
    """
    both = [(one, other) for one in a.found if (other := b.get(one.name)) is not None]
    kept = _rising(both)
    if not kept:
        return None
    return TimeMap(tuple(Pair(one.name, one.time_s, other.time_s) for one, other in kept))


def _rising(both: Sequence[tuple[Moment, Moment]]) -> list[tuple[Moment, Moment]]:
    """The surest moments whose times rise in both swings, in order."""
    kept: list[tuple[Moment, Moment]] = []
    for pair in sorted(both, key=lambda pair: pair[0].sd_s + pair[1].sd_s):
        trial = sorted([*kept, pair], key=lambda pair: pair[0].time_s)
        if all(_apart(*two) for two in pairwise(trial)):
            kept = trial
    return kept


def _apart(earlier: tuple[Moment, Moment], later: tuple[Moment, Moment]) -> bool:
    steps = (late.time_s - early.time_s for early, late in zip(earlier, later, strict=True))
    return all(step > LEAST_APART_S for step in steps)
