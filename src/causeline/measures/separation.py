"""When shoulders and pelvis are turned farthest apart, and by how much."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.figure import Figure, azimuth_deg
from causeline.measures.in_space import Told, measure_finished, measure_known, measure_wider
from causeline.measures.lacking import measure_lacking
from causeline.measures.spec import MeasureSpec
from causeline.measures.turn import SEPARATION
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.motion import Known
from causeline.quantities.angle import Floats


def measure_separation_peak(context: SwingContext) -> Measure | Refusal:
    """Largest separation between address and impact, degrees; zero and signs as `separation`."""
    peaks = _peaks(context, SEPARATION_PEAK)
    if isinstance(peaks, Refusal):
        return peaks
    known, values, _ = peaks
    sd = _spread(values) * measure_wider(SEPARATION_PEAK, known)
    return measure_finished(
        context, SEPARATION_PEAK, None, Told(float(values[0]), sd, SEPARATION_PEAK.how)
    )


def measure_separation_peak_time(context: SwingContext) -> Measure | Refusal:
    """Instant of the largest separation − instant of the top, seconds: positive coming down."""
    spec = SEPARATION_PEAK_TIME
    peaks = _peaks(context, spec)
    if isinstance(peaks, Refusal):
        return peaks
    known, _, times = peaks
    top = context.moments.get(MomentName.TOP)
    if top is None:
        return Refusal(spec.name, None, measure_lacking(context.moments, MomentName.TOP))
    sd = math.hypot(_spread(times) * measure_wider(spec, known), top.sd_s)
    return measure_finished(context, spec, None, Told(float(times[0]) - top.time_s, sd, spec.how))


def _peaks(context: SwingContext, spec: MeasureSpec) -> tuple[Known, Floats, Floats] | Refusal:
    """Height and instant of the peak: as told, then with each way to be wrong."""
    known = measure_known(context, spec, None)
    if isinstance(known, Refusal):
        return known
    impact = context.moments.get(MomentName.IMPACT)
    if impact is None:
        return Refusal(spec.name, None, measure_lacking(context.moments, MomentName.IMPACT))
    within = known.time_s <= impact.time_s
    curves = _curve(np.concatenate([known.points[None], known.points + known.ways]))[:, within]
    highest = [_peak(known.time_s[within], each) for each in curves]
    values, times = np.array(highest).T
    return known, values, times


def _curve(points: Floats) -> Floats:
    """(N, P) degrees of points (N, P, Q, 3)."""
    figure = Figure(points)
    apart = azimuth_deg(figure.line("shoulder")) - azimuth_deg(figure.line("hip"))
    apart = np.unwrap(apart, period=360.0, axis=1)
    curve: Floats = apart - apart[:, :1]
    return curve


def _peak(time_s: Floats, curve: Floats) -> tuple[float, float]:
    """Top of the parabola through the highest sample and its neighbours; an end is itself."""
    at = int(np.argmax(curve))
    if at in (0, len(curve) - 1):
        return float(curve[at]), float(time_s[at])
    a, b, c = np.polyfit(time_s[at - 1 : at + 2] - time_s[at], curve[at - 1 : at + 2], 2)
    shift = -b / (2 * a) if a < 0 else 0.0
    return float(c - b * b / (4 * a)) if a < 0 else float(c), float(time_s[at] + shift)


def _spread(values: Floats) -> float:
    return float(np.sqrt(((values[1:] - values[0]) ** 2).sum()))


SEPARATION_PEAK = replace(
    SEPARATION,
    name="separation_peak",
    title="Separation of shoulders and pelvis, largest",
    moments=(),
    landmarks=(),
    how="the largest shoulder turn − pelvis turn, both in the horizontal plane, before impact",
    measure=measure_separation_peak,
)
SEPARATION_PEAK_TIME = replace(
    SEPARATION_PEAK,
    name="separation_peak_time",
    title="Separation of shoulders and pelvis, when it is largest",
    unit="s",
    how="instant of the largest separation before impact − instant of the top",
    zero="at the top",
    positive="after the top, coming down",
    range="any",
    source="in early downswing in every swing: Meister et al. 2011, J Appl Biomech 27:242-251",
    widest=0.1,
    measure=measure_separation_peak_time,
)
