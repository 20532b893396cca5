"""Curves to the page's plots: axes, paths, the moments marked, and the words beside them."""

from __future__ import annotations

import numpy as np

from causeline.model.moments import Moment, MomentName
from causeline.quantities.angle import Floats
from causeline.render.contract import Plot, PlotLine, PlotMark
from causeline.render.curves import Curve, Series
from causeline.render.numbers import Shown, render_number
from causeline.render.plot import Span, render_band, render_line, render_ticks
from causeline.render.strip import render_time_span

UNIT_WORDS = {
    "°": "degrees",
    "%": "per cent of the golfer’s height",
    "heights/s": "the golfer’s heights a second",
}
"""Units in words."""

_KINDS = ("whole", "broken")
"""How the first and the second line of a plot are drawn."""

ENOUGH = 0.6
"""Share of the time that a curve must cover to be worth a plot."""

_FIRST_PLACED = (MomentName.IMPACT, MomentName.TOP, MomentName.START, MomentName.FINISH)
"""The moments whose numbers are placed first where they crowd."""

ROOM_ALWAYS, ROOM_WIDE = 6.5, 2.4
"""Per cent of the axis between two numbers that do not touch, on a phone and on a desk."""


def render_plot(curve: Curve, found: tuple[Moment, ...]) -> Plot | None:
    """One curve as a plot over the moments' time; None when most of it is missing."""
    time = render_time_span(found)
    inside = (curve.time_s >= time.low) & (curve.time_s <= time.high)
    lines = [
        Series(line.name, line.value[inside], line.sd[inside])
        for line in curve.series[: len(_KINDS)]
    ]
    if not any(np.isfinite(line.value).mean() >= ENOUGH for line in lines):
        return None
    low, high = _reach(lines)
    span, ticks = render_ticks(max(low, curve.least), min(high, curve.most), curve.unit)
    at = curve.time_s[inside]
    drawn = tuple(
        PlotLine(
            name=line.name,
            path=render_line(time, span, at, line.value),
            band=render_band(time, span, at, line.value, line.sd),
            kind=kind,
            reach=_extremes(line, curve.unit),
        )
        for line, kind in zip(lines, _KINDS, strict=False)
    )
    return Plot(
        title=curve.title,
        unit=UNIT_WORDS.get(curve.unit, curve.unit),
        explains=curve.explains,
        lines=drawn,
        ticks=ticks,
        marks=_marks(found, time),
        alt=_alt(curve, drawn),
    )


def _reach(lines: list[Series]) -> tuple[float, float]:
    """Lowest and highest end of any band."""
    lows = np.concatenate([line.value - line.sd for line in lines])
    highs = np.concatenate([line.value + line.sd for line in lines])
    return float(np.nanmin(lows)), float(np.nanmax(highs))


def _extremes(line: Series, unit: str) -> tuple[Shown, ...]:
    good = np.flatnonzero(np.isfinite(line.value) & np.isfinite(line.sd))
    if len(good) == 0:
        return ()
    ends = (good[np.argmin(line.value[good])], good[np.argmax(line.value[good])])
    return tuple(render_number(float(line.value[i]), float(line.sd[i]), unit) for i in ends)


def _marks(found: tuple[Moment, ...], time: Span) -> tuple[PlotMark, ...]:
    """Each moment's mark; numbers are placed by weight, and left out where they would touch."""
    shares = np.array([time.share(moment.time_s) for moment in found])
    order = sorted(range(len(found)), key=lambda i: _weight(found[i]))
    rooms = dict.fromkeys(order, "never")
    for room, apart in (("always", ROOM_ALWAYS), ("wide", ROOM_WIDE)):
        for i in order:
            placed = shares[[j for j in order if rooms[j] != "never" and j != i]]
            if rooms[i] == "never" and _clear(placed, shares[i], apart):
                rooms[i] = room
    return tuple(PlotMark(i + 1, float(shares[i]), rooms[i]) for i in range(len(found)))


def _weight(moment: Moment) -> int:
    return _FIRST_PLACED.index(moment.name) if moment.name in _FIRST_PLACED else len(_FIRST_PLACED)


def _clear(placed: Floats, share: float, apart: float) -> bool:
    return len(placed) == 0 or bool(np.min(np.abs(placed - share)) >= apart)


def _alt(curve: Curve, lines: tuple[PlotLine, ...]) -> str:
    parts = [
        f"{line.name}: from {line.reach[0].value} to {line.reach[1].value}{line.reach[1].unit}"
        for line in lines
        if line.reach
    ]
    return f"{curve.title} over time. {'; '.join(parts)}."
