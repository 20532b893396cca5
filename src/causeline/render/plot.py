"""Geometry of plots: values and times to SVG paths and ticks. Looks live in the templates.

A plot is 1000 units wide and 1000 high and is stretched to its place on the page, so text never
sits inside it: labels are given as shares of its width and height, in per cent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from causeline.quantities.angle import Floats
from causeline.render.numbers import render_plain

SIZE = 1000.0
GAP = 3.0
"""A line breaks where frames are missing for more than this many usual intervals."""
ANGLE_STEPS = (5.0, 10.0, 15.0, 30.0, 45.0, 90.0, 180.0)
OVERSHOOT = 0.1
"""Share of a step by which a band may pass the last mark, rather than ask for one more."""
MOST_POINTS = 400
"""More points than this add weight to the page and nothing to the eye."""


@dataclass(frozen=True, slots=True)
class Span:
    """The range of one axis."""

    low: float
    high: float

    def share(self, value: float) -> float:
        """Where a value lies, in per cent of the axis."""
        return 100.0 * (value - self.low) / (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Tick:
    """One mark of an axis: its text and its place in per cent from the low end."""

    label: str
    at: float


def render_ticks(
    low: float, high: float, unit: str = "", most: int = 4
) -> tuple[Span, tuple[Tick, ...]]:
    """Round marks over a range, and the axis that they fill; degrees step by 5, 10, 15, 30."""
    if not high > low:
        low, high = low - 0.5, high + 0.5
    step = _step((high - low) / most, unit)
    first, last = np.floor(low / step + OVERSHOOT), np.ceil(high / step - OVERSHOOT)
    span = Span(first * step, last * step)
    places = max(0, -int(np.floor(np.log10(step) + 1e-9)))
    ticks = tuple(
        Tick(render_plain(float(k * step), places), span.share(float(k * step)))
        for k in np.arange(first, last + 1)
    )
    return span, ticks


def render_line(time: Span, value: Span, at: Floats, values: Floats) -> str:
    """An SVG path through the points, broken at NaN and at missing frames."""
    runs = _runs(at, values)
    return "".join("M" + "L".join(_points(time, value, at[run], values[run])) for run in runs)


def render_band(time: Span, value: Span, at: Floats, values: Floats, sd: Floats) -> str:
    """An SVG path around value ± sd, closed, one piece for each unbroken run.

    It ends at the ends of the axis: beyond them are the words.
    """
    pieces = []
    for run in _runs(at, values + sd):
        above, below = np.clip(
            [values[run] + sd[run], values[run] - sd[run]], value.low, value.high
        )
        upper = _points(time, value, at[run], above)
        lower = _points(time, value, at[run], below)
        pieces.append("M" + "L".join(upper + lower[::-1]) + "Z")
    return "".join(pieces)


def _step(rough: float, unit: str) -> float:
    if unit == "°":
        return next((step for step in ANGLE_STEPS if step >= rough), ANGLE_STEPS[-1])
    power = 10.0 ** np.floor(np.log10(rough))
    return float(next(power * times for times in (1, 2, 5, 10) if power * times >= rough * 0.999))


def _runs(at: Floats, values: Floats) -> list[np.ndarray]:
    """Positions of each unbroken run of finite values, thinned to `MOST_POINTS` in all."""
    good = np.flatnonzero(np.isfinite(values))
    if len(good) == 0:
        return []
    usual = float(np.median(np.diff(at))) if len(at) > 1 else 0.0
    breaks = (np.diff(good) > 1) | (np.diff(at[good]) > GAP * usual)
    runs = np.split(good, np.flatnonzero(breaks) + 1)
    keep = max(1, len(good) // MOST_POINTS)
    return [np.unique(np.append(run[::keep], run[-1])) for run in runs]


def _points(time: Span, value: Span, at: Floats, values: Floats) -> list[str]:
    return [
        f"{SIZE * time.share(t) / 100:.1f} {SIZE - SIZE * value.share(v) / 100:.1f}"
        for t, v in zip(at, values, strict=True)
    ]
