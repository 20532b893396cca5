"""The strip: line figures at equal steps, each led down to its true instant on the time rule."""

from __future__ import annotations

import math

import numpy as np

from causeline.model.measures import Measure
from causeline.model.moments import Moment, MomentName
from causeline.model.reading import Swing
from causeline.quantities.uncertain import Uncertain
from causeline.render.contract import Figure, Phase, Strip
from causeline.render.numbers import Shown, render_number, render_uncertain
from causeline.render.plot import Span, Tick, render_ticks
from causeline.render.stills import HIGH, Crop, render_lines, render_rows
from causeline.render.telling import render_tempo
from causeline.render.words import MOMENT_PLACES, MOMENT_TITLES

NARROW = 0.46
"""Width over height of a figure's own box."""

CLUB_ROOM = 0.12
"""Share of the bodies' height that is kept below the feet for a club on the ground."""

_ZERO_WORDS = {
    MomentName.START: "the start of the swing",
    MomentName.ADDRESS: "address",
}

_PHASES = (
    ("back", "Backswing", "backswing_time", MomentName.START, MomentName.TOP),
    ("down", "Downswing", "downswing_time", MomentName.TOP, MomentName.IMPACT),
    ("through", "Through to the finish", "", MomentName.IMPACT, MomentName.FINISH),
)
"""Kind, title, the measure that gives its length where there is one, first and last moment."""


def render_strip(swing: Swing, crop: Crop, anchor: str) -> Strip | None:
    """The strip of one swing; None when no moment was found."""
    found = swing.moments.found
    if not found:
        return None
    zero = render_zero(swing)
    span, ticks = _time_rule(found, zero)
    figures = tuple(_figure(swing, crop, anchor, place, span) for place in range(len(found)))
    phases = _phases(swing, span)
    return Strip(
        figures=figures,
        box=_box(figures),
        ticks=ticks,
        phases=phases,
        tempo=render_tempo(swing),
        zero=_zero_words(zero),
        alt=_alt(found, zero, phases),
    )


def render_zero(swing: Swing) -> Moment:
    """The moment from which the page counts time: the start, else address, else the first found."""
    get = swing.moments.get
    return get(MomentName.START) or get(MomentName.ADDRESS) or swing.moments.found[0]


def render_time_span(found: tuple[Moment, ...]) -> Span:
    """The time axis that strip and plots share, real seconds of the clip, with room for the ±."""
    first, last = found[0], found[-1]
    air = max(0.03 * (last.time_s - first.time_s), 0.01, 1.5 * max(first.sd_s, last.sd_s))
    return Span(first.time_s - air, last.time_s + air)


def _box(figures: tuple[Figure, ...]) -> str:
    """The viewBox of every figure: as high as the bodies reach, and so narrow that arms overlap."""
    dots = [dot for figure in figures for dot in figure.drawing.dots if dot.side != "club"]
    heads = [figure.drawing.head for figure in figures if figure.drawing.head]
    if not dots:
        return f"0 0 {HIGH:.0f} {HIGH:.0f}"
    top = min([dot.y for dot in dots] + [y - radius for _, y, radius in heads])
    feet = max(dot.y for dot in dots)
    clubs = [dot.y for figure in figures for dot in figure.drawing.dots if dot.side == "club"]
    bottom = min(max([feet, *clubs]), feet + CLUB_ROOM * (feet - top))
    tall = 1.04 * (bottom - top)
    wide = NARROW * tall
    middle = float(np.median([dot.x for dot in dots]))
    return f"{middle - wide / 2:.0f} {top - 0.02 * tall:.0f} {wide:.0f} {tall:.0f}"


def _time_rule(found: tuple[Moment, ...], zero: Moment) -> tuple[Span, tuple[Tick, ...]]:
    """The shared axis, and round tenths or halves of a second counted from zero that fall on it."""
    span = render_time_span(found)
    low, high = span.low - zero.time_s, span.high - zero.time_s
    rule, ticks = render_ticks(low, high, most=6)
    length = rule.high - rule.low
    moved = (
        Tick(t.label, 100 * (rule.low + length * t.at / 100 - low) / (high - low)) for t in ticks
    )
    return span, tuple(tick for tick in moved if -0.01 <= tick.at <= 100.01)


def _figure(swing: Swing, crop: Crop, anchor: str, place: int, span: Span) -> Figure:
    found = swing.moments.found
    moment, row = found[place], render_rows(swing)[place]
    at = span.share(moment.time_s)
    above = 100.0 * (place + 0.5) / len(found)
    return Figure(
        number=place + 1,
        name=MOMENT_TITLES[moment.name],
        anchor=f"{anchor}-{moment.name}",
        drawing=render_lines(swing.body, row, crop, swing.club),
        leader=f"M{above:.2f} 0C{above:.2f} 55 {at:.2f} 45 {at:.2f} 100",
        at=at,
        half=100.0 * moment.sd_s / (span.high - span.low),
    )


def _phases(swing: Swing, span: Span) -> tuple[Phase, ...]:
    phases = []
    for kind, title, measure, first, last in _PHASES:
        begin, end = swing.moments.get(first), swing.moments.get(last)
        if begin is None or end is None:
            continue
        start = span.share(begin.time_s)
        phases.append(
            Phase(
                kind=kind,
                title=title,
                between=f"{MOMENT_TITLES[first]} to {MOMENT_TITLES[last].lower()}",
                start=start,
                width=span.share(end.time_s) - start,
                length=_length(swing, measure, begin, end),
            )
        )
    return tuple(phases)


def _length(swing: Swing, measure: str, begin: Moment, end: Moment) -> Shown | None:
    """The measure of that name, None where refused; unmeasured, the difference of two instants."""
    for taken in swing.measures:
        if taken.name != measure:
            continue
        if isinstance(taken, Measure) and math.isfinite(taken.value + taken.sd):
            return render_number(taken.value, taken.sd, taken.unit)
        return None
    lasts = Uncertain(end.time_s, end.sd_s) - Uncertain(begin.time_s, begin.sd_s)
    return render_number(lasts.value, lasts.sd, "s")


def _zero_words(zero: Moment) -> str:
    return _ZERO_WORDS.get(zero.name, f"the moment {MOMENT_PLACES[zero.name]}")


def _alt(found: tuple[Moment, ...], zero: Moment, phases: tuple[Phase, ...]) -> str:
    instants = "; ".join(
        f"{MOMENT_TITLES[moment.name].lower()} at "
        + render_uncertain(moment.time_s - zero.time_s, moment.sd_s, "s")
        for moment in found
    )
    lengths = "".join(f" {p.title} {p.length.value}{p.length.unit}." for p in phases if p.length)
    return f"Line drawings of the golfer over a rule of time: {instants}.{lengths}"
