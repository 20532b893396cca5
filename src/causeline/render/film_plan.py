"""When a film shows what: the swing slowed, at rest at the moments that are spoken of.

Between two rests the swing gathers speed and loses it evenly. Times of the swing are real seconds
of its clip; times of the film are seconds of playing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from causeline.model.measures import Measure
from causeline.model.moments import Moment, MomentName
from causeline.model.reading import Swing
from causeline.quantities.angle import Floats

RATE_HZ = 25
LEAD_IN_S, LEAD_OUT_S = 0.35, 0.25
"""Real time shown before address and after the finish."""
SLOW_BACK, SLOW_DOWN, SLOW_THROUGH = 2.0, 5.0, 2.0
"""How many times slower than real each part plays."""
EASE_S = 0.4
"""Film time in which the swing comes to rest, and in which it starts again."""
FIRST_REST_S, LAST_REST_S = 0.9, 0.7
LETTERS_A_S = 17.0
"""Letters read in a second: subtitles are held to 15 to 17 (from memory)."""
LEAST_REST_S, MOST_REST_S = 2.4, 9.0


@dataclass(frozen=True, slots=True)
class Rest:
    """A moment at which the film stands still."""

    moment: Moment
    text: str
    measures: tuple[Measure, ...] = ()

    @property
    def lasts_s(self) -> float:
        """As long as the text takes to read."""
        return float(np.clip(len(self.text) / LETTERS_A_S + 0.8, LEAST_REST_S, MOST_REST_S))


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture of the film."""

    time_s: float
    """Real seconds of the swing."""
    frame: int
    """Of the clip."""
    other: int | None
    """Frame of the reference at the same place of its swing."""
    rest: Rest | None


@dataclass(frozen=True, slots=True)
class Beside:
    """The other swing, and where it is at a time of the first."""

    swing: Swing
    to_other: Callable[[float], float] = field(repr=False)


def render_plan(
    swing: Swing, rests: Sequence[Rest], beside: Beside | None = None, rate_hz: int = RATE_HZ
) -> tuple[Shot, ...]:
    """Every picture of one view of the swing, in order."""
    rests = sorted(rests, key=lambda rest: rest.moment.time_s)
    first, last = _ends(swing)
    stops = [first, *(rest.moment.time_s for rest in rests), last]
    slow = _Slow(swing, first, last)
    shots = [_shot(swing, beside, first)] * round(FIRST_REST_S * rate_hz)
    for place, (start, stop) in enumerate(pairwise(stops)):
        times = slow.between(start, stop, rate_hz, (place > 0, True))
        shots.extend(_shot(swing, beside, time) for time in times)
        if place < len(rests):
            rest = rests[place]
            held = _shot(swing, beside, stop, rest)
            shots.extend([held] * round(rest.lasts_s * rate_hz))
    return (*shots, *[_shot(swing, beside, last)] * round(LAST_REST_S * rate_hz))


@dataclass(frozen=True, slots=True, eq=False)
class _Slow:
    """Film time against swing time, without the rests."""

    knots_s: Floats
    played_s: Floats

    def __init__(self, swing: Swing, first: float, last: float) -> None:
        top, impact = (swing.moments.get(name) for name in (MomentName.TOP, MomentName.IMPACT))
        inner = [first] + [each.time_s for each in (top, impact) if each is not None] + [last]
        knots = np.clip(inner, first, last)
        if top and impact:
            factors = np.array([SLOW_BACK, SLOW_DOWN, SLOW_THROUGH])
        else:
            factors = np.full(len(knots) - 1, SLOW_THROUGH)
        object.__setattr__(self, "knots_s", knots)
        played = np.concatenate([[0.0], np.cumsum(np.diff(knots) * factors)])
        object.__setattr__(self, "played_s", played)

    def between(
        self, start: float, stop: float, rate_hz: int, eased: tuple[bool, bool]
    ) -> list[float]:
        """Swing times of the pictures between two rests, both left out."""
        begin, end = (float(np.interp(at, self.knots_s, self.played_s)) for at in (start, stop))
        way = end - begin
        ease_in, ease_out = (min(EASE_S, way) if wanted else 0.0 for wanted in eased)
        lasts = way + (ease_in + ease_out) / 2
        at = np.arange(1, max(1, round(lasts * rate_hz))) / rate_hz
        gone = _eased(at, lasts, ease_in, ease_out)
        times = np.interp(begin + gone, self.played_s, self.knots_s)
        return [float(np.clip(time, start, stop)) for time in times]


def _eased(at: Floats, lasts: float, ease_in: float, ease_out: float) -> Floats:
    """Way gone at each film time: speed rises to 1 in `ease_in`, and falls to 0 in `ease_out`."""
    way = lasts - (ease_in + ease_out) / 2
    rising = at**2 / (2 * ease_in) if ease_in else at
    left = np.maximum(lasts - at, 0.0)
    falling = way - (left**2 / (2 * ease_out) if ease_out else left)
    cruising = at - ease_in / 2
    gone: Floats = np.where(at < ease_in, rising, np.where(left < ease_out, falling, cruising))
    return gone


def _ends(swing: Swing) -> tuple[float, float]:
    """Real seconds at which the film of this swing begins and ends."""
    times, found = swing.body.time_s, swing.moments.found
    if not found:
        return float(times[0]), float(times[-1])
    first = max(float(times[0]), found[0].time_s - LEAD_IN_S)
    return first, max(first, min(float(times[-1]), found[-1].time_s + LEAD_OUT_S))


def _shot(swing: Swing, beside: Beside | None, time_s: float, rest: Rest | None = None) -> Shot:
    """At a rest both swings show the very frame of their moment."""
    frame = rest.moment.frame if rest else _frame(swing, time_s)
    other = None
    if beside is not None:
        theirs = beside.swing.moments.get(rest.moment.name) if rest else None
        other = theirs.frame if theirs else _frame(beside.swing, float(beside.to_other(time_s)))
    return Shot(time_s, frame, other, rest)


def _frame(swing: Swing, time_s: float) -> int:
    return int(swing.body.frames[int(np.argmin(np.abs(swing.body.time_s - time_s)))])
