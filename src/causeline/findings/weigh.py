"""What a measure says of a band: how surely it lies outside, on which side, and by how much."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from causeline.findings.bands import BANDS
from causeline.findings.catalogue import MEASURED
from causeline.findings.spec import Band, Beside, Fault, Watched
from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.measures import Measure, Refusal

DOUBT = 0.004
"""A measure may be of the wrong swing, person or instant: it is never surer than this."""
TELLING = 0.7
"""A fault is seen when a value was measured that shows it at least this often."""
SLIGHTEST = 0.15
"""Least severity of a fault that is worth a word."""
LEAST = 1e-9

Seen = Mapping[View, Sequence[Measure | Refusal]]


@dataclass(frozen=True, slots=True)
class Weighed:
    """One side of one band, and the value that was set against it."""

    band: str
    side: str
    measure: Measure
    view: View
    low: float | None
    high: float | None
    beyond: float
    """Past the band's end, in the measure's unit; negative inside."""
    chance: float
    """Of the value being there because something shows, were that as likely as not beforehand."""

    @property
    def key(self) -> tuple[str, str]:
        """Band and side."""
        return self.band, self.side

    @property
    def speaks_for(self) -> bool:
        """Whether it lies outside its band, and that is more than chance."""
        return self.beyond > 0 and self.chance > 0.5

    @property
    def outside(self) -> float:
        """`beyond` in standard deviations of the value."""
        return self.beyond / max(self.measure.sd, LEAST)

    @property
    def severity(self) -> float:
        """0 at the band's end, 1 at its `full` distance and beyond."""
        return min(max(self.beyond / BANDS[self.band].full, 0.0), 1.0)


def explain_values(seen: Seen, club: ClubSort | None) -> dict[tuple[str, str], Weighed]:
    """Every side of every band of which there is a value."""
    sides = {(sign.band, sign.side) for fault in MEASURED for sign in fault.signs}
    found = (_weigh(key, seen, club) for key in sorted(sides))
    return {one.key: one for one in found if one is not None}


def explain_why_unseen(fault: Fault, seen: Seen) -> str:
    """Why nothing is known of a fault, in words for the golfer."""
    if not fault.signs:
        return f"Video does not show it: {fault.told_by} can tell."
    bands = [BANDS[sign.band] for sign in fault.signs if sign.shows >= TELLING]
    for band in bands:
        for view in band.views:
            for one in seen.get(view, ()):
                if isinstance(one, Refusal) and _is_of(one, band):
                    return one.refused
    views = sorted({view.value for band in bands for view in band.views})
    return f"Nothing that shows it was measured; a {' or a '.join(views)} clip can show it."


def _weigh(key: tuple[str, str], seen: Seen, club: ClubSort | None) -> Weighed | None:
    name, side = key
    band = BANDS[name]
    best = explain_surest(band, band.views, seen)
    low, high = band.ends(club)
    end = low if side == "low" else high
    if best is None or end is None:
        return None
    measure, view = best
    shift, unsure = _shift(band, seen)
    low, high = (None if each is None else each + shift for each in (low, high))
    value = _counted(measure.value, band)
    beyond = (end + shift - value) if side == "low" else (value - end - shift)
    reach = band.reach(side)
    chance = _chance(beyond + reach, reach, band.full, math.hypot(measure.sd, unsure))
    return Weighed(name, side, measure, view, low, high, beyond, chance)


def _chance(away: float, reach: float, full: float, sd: float) -> float:
    """How likely a value so far from the usual one is where a fault shows, against where none does.

    Without a fault, values are spread normally about the usual one, the band's end (`reach` away)
    two standard deviations off. Where a fault shows, they are moved by a severity that may be
    anything from the slightest to 1 (`reach + full`), and beyond. `sd` is the value's own ±.
    """
    spread = math.hypot(reach / 2, sd)
    first, last = SLIGHTEST * (reach + full) / spread, (reach + full) / spread
    at = away / spread
    shown = (_below(at - first) - _below(min(at, last) - last)) / (last - first)
    usual = math.exp(-0.5 * at * at) / math.sqrt(2 * math.pi)
    odds = max(shown, LEAST) / max(usual, LEAST)
    return DOUBT + (1 - 2 * DOUBT) * odds / (1 + odds)


def _below(z: float) -> float:
    """The normal distribution up to `z` standard deviations."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def _shift(band: Band, seen: Seen) -> tuple[float, float]:
    """How far the band's ends move for what the swing is beside, and how unsure that is."""
    beside = band.beside
    if beside is None:
        return 0.0, 0.0
    best = explain_surest(beside, tuple(seen), seen)
    if best is None:
        return 0.0, beside.per * beside.differs
    measure, _ = best
    away = (measure.value - beside.usual + 180.0) % 360.0 - 180.0
    return beside.per * min(away, 0.0), beside.per * measure.sd * (away < 0)


def explain_surest(
    band: Band | Beside | Watched, views: Sequence[View], seen: Seen
) -> tuple[Measure, View] | None:
    """The value with the smallest ±: two views of one swing share too much to be averaged."""
    values = [
        (one, view)
        for view in views
        for one in seen.get(view, ())
        if isinstance(one, Measure) and _is_of(one, band) and math.isfinite(one.value + one.sd)
    ]
    return min(values, key=lambda pair: pair[0].sd, default=None)


def _is_of(one: Measure | Refusal, band: Band | Beside | Watched) -> bool:
    """A refusal of the whole measure, without a moment, counts for each of its moments."""
    refused = isinstance(one, Refusal) and one.moment is None
    return one.name == band.measure and (refused or one.moment == band.moment)


def _counted(value: float, band: Band) -> float:
    """A direction within half a turn of the middle of the band's range."""
    if band.turns_at is None:
        return value
    return (value - band.turns_at + 180.0) % 360.0 - 180.0 + band.turns_at
