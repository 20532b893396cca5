"""A value beside the band in which it would be unremarkable: in words, and as a small drawing."""

from __future__ import annotations

import math

from causeline.model.findings import Evidence
from causeline.render.contract import BandScale
from causeline.render.numbers import HARD_SPACE, UNIT_SIGNS, render_plain

LONG, MIDDLE = 320, 24
EDGE = 10
OPEN_SHARE = 0.8
"""How far the open side of a band is drawn, as a share of the rest."""


def render_band(one: Evidence) -> str:
    """`Band 88 to 103°`, `band up to 46°`, `band from 156°`."""
    places = 0 if all(abs(end) >= 20 or end == round(end) for end in _ends(one)) else 1
    unit = UNIT_SIGNS.get(one.unit, HARD_SPACE + one.unit)
    low, high = ("" if end is None else render_plain(end, places) for end in (one.low, one.high))
    if not low:
        return f"band up to {high}{unit}"
    return f"band {low} to {high}{unit}" if high else f"band from {low}{unit}"


def render_scale(one: Evidence) -> BandScale:
    """The drawing; a side on which the band has no end runs out of the picture."""
    first, last = _span(one)

    def x(value: float) -> str:
        share = (min(max(value, first), last) - first) / (last - first)
        return f"{EDGE + (LONG - 2 * EDGE) * share:.1f}"

    left = "0" if one.low is None else x(one.low)
    right = f"{LONG}" if one.high is None else x(one.high)
    ends = "".join(f"M{x(end)} {MIDDLE - 7}V{MIDDLE + 7}" for end in _ends(one))
    reach = [f"M{x(one.value - k * one.sd)} {MIDDLE}H{x(one.value + k * one.sd)}" for k in (2, 1)]
    return BandScale(
        band=f"M{left} {MIDDLE}H{right}",
        ends=ends,
        twice=reach[0],
        once=reach[1],
        at=f"M{x(one.value)} {MIDDLE - 15}V{MIDDLE + 15}",
    )


def _ends(one: Evidence) -> list[float]:
    return [end for end in (one.low, one.high) if end is not None]


def _span(one: Evidence) -> tuple[float, float]:
    """What the line shows: value, ± and band's ends, and some of a side that has no end."""
    reach = min(2 * one.sd, 4 * abs(one.value - min(_ends(one), key=lambda e: abs(e - one.value))))
    points = [one.value - reach, one.value + reach, *_ends(one)]
    first, last = min(points), max(points)
    wide = max(last - first, 1e-9 + 0.01 * math.fabs(one.value), 1e-6)
    if one.low is None:
        first -= OPEN_SHARE * wide
    if one.high is None:
        last += OPEN_SHARE * wide
    return first, last
