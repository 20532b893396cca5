"""Durations of the swing, and their ratio."""

from __future__ import annotations

import itertools
import math

from causeline.measures.context import SwingContext
from causeline.measures.holds import TIME_HOLDS
from causeline.measures.lacking import measure_lacking
from causeline.measures.spec import ANYWHERE, MeasureSpec
from causeline.model.clip import ScaleFrom
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName
from causeline.quantities.uncertain import Uncertain

GRADED_FROM_HZ = 60.0
"""Below this capture rate a tempo may be shown, never graded (Grober & Cholewicki's counts at 30 Hz
carry ±0.2 to ±0.6 in the ratio; authorities/tempo.json)."""

MEANINGLESS_RATIO_SD = 0.5
"""From here on a ratio cannot tell 2.5 from 3.5, which covers nearly all golfers."""

SKEW_WORTH_TELLING = 0.02
COUNTED = "Grober & Cholewicki 2006, arXiv:physics/0611291"

PLAUSIBLE_RATIO = (2.0, 5.0)
"""Outside, the moments are to be doubted before the golfer."""


def measure_backswing_time(context: SwingContext) -> Measure | Refusal:
    """From `start` to `top`, real seconds."""
    return _between(context, BACKSWING_TIME, MomentName.START, MomentName.TOP)


def measure_downswing_time(context: SwingContext) -> Measure | Refusal:
    """From `top` to `impact`, real seconds."""
    return _between(context, DOWNSWING_TIME, MomentName.TOP, MomentName.IMPACT)


def measure_swing_time(context: SwingContext) -> Measure | Refusal:
    """From `start` to `impact`, real seconds."""
    return _between(context, SWING_TIME, MomentName.START, MomentName.IMPACT)


def measure_tempo_ratio(context: SwingContext) -> Measure | Refusal:
    """Backswing time over downswing time; a scale of time that was only inferred cancels."""
    found = _three(context, TEMPO_RATIO.name)
    if isinstance(found, Refusal):
        return found
    start, top, impact = (Uncertain(moment.time_s, moment.sd_s) for moment in found)
    ratio = (top.value - start.value) / (impact.value - top.value)
    mean, sd = measure_ratio_spread(start, top, impact)
    if not sd < MEANINGLESS_RATIO_SD:
        return Refusal(TEMPO_RATIO.name, None, _meaningless(context.clip.capture_rate_hz, sd))
    notes = [f"{TEMPO_RATIO.how}; ± holds {TIME_HOLDS}"]
    if mean - ratio > SKEW_WORTH_TELLING:
        notes.append(f"the error is skewed: it reads {mean - ratio:.2g} high on average")
    if not context.clip.capture_rate_hz >= GRADED_FROM_HZ:
        notes.append(
            f"not to be graded: {context.clip.capture_rate_hz:.0f} frames a second, "
            f"{GRADED_FROM_HZ:.0f} are needed"
        )
    if not PLAUSIBLE_RATIO[0] <= ratio <= PLAUSIBLE_RATIO[1]:
        notes.append("outside 2 to 5: doubt the moments first")
    return Measure(TEMPO_RATIO.name, None, ratio, sd, TEMPO_RATIO.unit, "; ".join(notes))


def measure_ratio_spread(
    start: Uncertain, top: Uncertain, impact: Uncertain
) -> tuple[float, float]:
    """Mean and standard deviation of (top − start) ÷ (impact − top) under normal errors in each.

    By three-point Gauss-Hermite quadrature in each error (exact to the fifth power; Abramowitz &
    Stegun 25.4.46): the ratio is skewed, so first order alone reads too small. The shared error of
    `top` is kept. Infinite where the errors may bring impact before the top.
    """
    steps = ((-math.sqrt(3.0), 1 / 6), (0.0, 2 / 3), (math.sqrt(3.0), 1 / 6))
    first = second = 0.0
    for (a, wa), (b, wb), (c, wc) in itertools.product(steps, repeat=3):
        at_top = top.value + b * top.sd
        down = impact.value + c * impact.sd - at_top
        if down <= 0:
            return math.inf, math.inf
        ratio = (at_top - start.value - a * start.sd) / down
        first += wa * wb * wc * ratio
        second += wa * wb * wc * ratio**2
    return first, math.sqrt(max(0.0, second - first**2))


def _between(
    context: SwingContext, spec: MeasureSpec, first: MomentName, second: MomentName
) -> Measure | Refusal:
    if context.clip.time_scale_from is ScaleFrom.INFERRED:
        return Refusal(
            spec.name,
            None,
            "The file does not say how much it was slowed down. That was judged from how long "
            "swings last, so it cannot tell how long yours lasted; tell the capture rate.",
        )
    pair = []
    for name in (first, second):
        moment = context.moments.get(name)
        if moment is None:
            return _not_found(context, spec.name, name)
        pair.append(Uncertain(moment.time_s, moment.sd_s))
    lasted = pair[1] - pair[0]
    if lasted.value <= 0:
        return Refusal(spec.name, None, f"The {second} was found before the {first}.")
    if lasted.sd > spec.widest:
        return Refusal(
            spec.name, None, f"It would be unsure by ±{lasted.sd:.2f} s, too much to be of use."
        )
    method = f"{spec.how}; ± holds {spec.holds}"
    return Measure(spec.name, None, lasted.value, lasted.sd, spec.unit, method)


def _three(context: SwingContext, name: str) -> tuple[Moment, Moment, Moment] | Refusal:
    wanted = (MomentName.START, MomentName.TOP, MomentName.IMPACT)
    start, top, impact = (context.moments.get(moment) for moment in wanted)
    if start is None:
        return _not_found(context, name, MomentName.START)
    if top is None:
        return _not_found(context, name, MomentName.TOP)
    if impact is None:
        return _not_found(context, name, MomentName.IMPACT)
    if not start.time_s < top.time_s < impact.time_s:
        return Refusal(name, None, "The start, the top and impact were not found in this order.")
    return start, top, impact


def _not_found(context: SwingContext, name: str, moment: MomentName) -> Refusal:
    return Refusal(name, None, measure_lacking(context.moments, moment))


def _meaningless(rate_hz: float, sd: float) -> str:
    how_unsure = f"±{sd:.1f}" if math.isfinite(sd) else "more than the ratio itself"
    return (
        f"At {rate_hz:.0f} frames a second the start, the top and impact are known too roughly: "
        f"the ratio would be unsure by {how_unsure} and could not tell 2.5 from 3.5. Film at 120 "
        "frames a second or more."
    )


BACKSWING_TIME = MeasureSpec(
    name="backswing_time",
    title="Backswing time",
    unit="s",
    moments=(),
    views=ANYWHERE,
    landmarks=(),
    how="time from the start to the top",
    zero="no time between the two",
    positive="longer",
    range="above 0",
    degenerate="either moment not found, or slow motion that had to be guessed",
    holds=TIME_HOLDS,
    source=COUNTED,
    widest=0.3,
    measure=measure_backswing_time,
)

DOWNSWING_TIME = MeasureSpec(
    name="downswing_time",
    title="Downswing time",
    unit="s",
    moments=(),
    views=ANYWHERE,
    landmarks=(),
    how="time from the top to impact",
    zero="no time between the two",
    positive="longer",
    range="above 0",
    degenerate="either moment not found, or slow motion that had to be guessed",
    holds=TIME_HOLDS,
    source=COUNTED,
    widest=0.1,
    measure=measure_downswing_time,
)

SWING_TIME = MeasureSpec(
    name="swing_time",
    title="Swing time",
    unit="s",
    moments=(),
    views=ANYWHERE,
    landmarks=(),
    how="time from the start to impact",
    zero="no time between the two",
    positive="longer",
    range="above 0",
    degenerate="either moment not found, or slow motion that had to be guessed",
    holds=TIME_HOLDS,
    source=COUNTED,
    widest=0.3,
    measure=measure_swing_time,
)

TEMPO_RATIO = MeasureSpec(
    name="tempo_ratio",
    title="Tempo",
    unit="ratio",
    moments=(),
    views=ANYWHERE,
    landmarks=(),
    how="backswing time ÷ downswing time",
    zero="no backswing",
    positive="a longer backswing for the same downswing",
    range="above 0; 2 to 5 is plausible",
    degenerate="a moment not found, the three out of order, or a ± of 0.5 and more",
    holds=f"{TIME_HOLDS}, with the top's error counted once in both times",
    source=f"{COUNTED}; ± checked against authorities/tempo.json",
    widest=MEANINGLESS_RATIO_SD,
    measure=measure_tempo_ratio,
)
