"""The one path from the body in three dimensions to a measure or a refusal."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_hidden
from causeline.measures.figure import Figure
from causeline.measures.lacking import measure_lacking
from causeline.measures.spec import MeasureSpec
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName
from causeline.model.motion import Known
from causeline.quantities.angle import Floats, wrap_deg

SpaceFormula = Callable[..., Floats]
"""Figures at one or more moments to (...): degrees, or metres for a length."""

SPACE_HOLDS = (
    "where the engine sees the joints, how the phone stood, unknown stature and proportions, how "
    "differently golfers move, timing of the moment"
)
SLOPE_S = 0.015
"""Half of the time over which a measure's slope is taken, at least."""
WIDER: dict[str, tuple[float, float, float]] = {
    "trunk_forward_bend": (1.7, 1.35, 1.5), "trunk_side_bend": (1.2, 1.0, 1.5),
    "posture_change": (1.4, 1.1, 1.6), "lead_knee_flexion": (1.4, 1.15, 1.6),
    "hands_depth": (1.3, 1.25, 1.4), "hands_beside_chest": (1.0, 1.2, 1.5),
    "head_toward_target": (1.4, 0.9, 1.55), "head_toward_ball": (1.2, 1.35, 1.55),
    "head_rise": (1.45, 1.5, 1.5), "pelvis_toward_target": (1.65, 0.85, 1.9),
    "pelvis_toward_ball": (0.95, 1.1, 1.65), "pelvis_rise": (1.1, 1.2, 1.2),
    "lead_knee_toward_target": (1.35, 1.15, 1.7), "lead_knee_toward_ball": (1.0, 1.3, 1.6),
    "lead_knee_rise": (1.1, 1.1, 1.4), "separation": (1.2, 1.3, 1.3),
    "separation_peak": (1.2, 1.3, 1.3), "separation_peak_time": (1.5, 1.5, 1.5),
}  # fmt: skip
"""By which the ± of a measure is widened: face-on, down the line, both views. So that nine in ten
of the truths of 14 training swings with planted faults lie inside a 90 % interval; those of the
separation are taken over from the turns, and judged."""
NO_BODY = (
    "The body could not be followed in space: that takes an address, a top and an impact, with "
    "shoulders and hips in the picture."
)


@dataclass(frozen=True, slots=True)
class Told:
    """A value with its ± and how it was made."""

    value: float
    sd: float
    method: str


def measure_in_space(
    context: SwingContext,
    spec: MeasureSpec,
    names: tuple[MomentName, ...],
    formula: SpaceFormula,
) -> Measure | Refusal:
    """A formula of the body in space at some moments; told at the last of them."""
    at = names[-1]
    known = measure_known(context, spec, at)
    if isinstance(known, Refusal):
        return known
    moments = _found(context, spec, names)
    if isinstance(moments, Refusal):
        return moments
    poses = [known.at(moment.time_s) for moment in moments]
    points = np.stack([pose for pose, _ in poses])
    value = _values(formula, points, known.stature_m, spec.unit)
    if not math.isfinite(value):
        return Refusal(spec.name, at, NO_BODY)
    ways = np.stack([moves for _, moves in poses], axis=1)
    body = measure_ways_sd(formula, known, points, ways, spec.unit)
    sd = math.hypot(body * measure_wider(spec, known), _timing(formula, known, moments, spec.unit))
    return measure_finished(context, spec, at, Told(float(value), sd, spec.how))


def measure_best(
    context: SwingContext,
    spec: MeasureSpec,
    names: tuple[MomentName, ...],
    formula: SpaceFormula,
    flat: Callable[[], Measure | Refusal],
) -> Measure | Refusal:
    """In space where the body could be followed there, else in the picture where it shows it."""
    told = measure_in_space(context, spec, names, formula)
    if isinstance(told, Measure) or context.view not in spec.views:
        return told
    return flat()


def measure_known(
    context: SwingContext, spec: MeasureSpec, moment: MomentName | None
) -> Known | Refusal:
    """The body in space, or why there is none."""
    if context.view not in (*spec.views, *spec.space_views):
        hidden = measure_hidden(context, spec)
        return Refusal(spec.name, moment, hidden.refused if hidden else NO_BODY)
    if context.motion is None or context.motion.known is None:
        return Refusal(spec.name, moment, NO_BODY)
    return context.motion.known


def measure_ways_sd(
    formula: SpaceFormula, known: Known, points: Floats, ways: Floats, unit: str
) -> float:
    """± of a formula at poses (p, Q, 3) that may be wrong in ways (W, p, Q, 3)."""
    stature = known.stature_m + known.stature_ways
    after = _values(formula, points + ways, stature, unit)
    before = _values(formula, points - ways, known.stature_m - known.stature_ways, unit)
    change = after - before
    change = wrap_deg(change) if unit == "°" else change
    return float(np.sqrt((change**2).sum()) / 2)


def measure_wider(spec: MeasureSpec, known: Known) -> float:
    """What the ± of a measure is multiplied by."""
    wider = WIDER.get(spec.name.removesuffix("_percent"), (1.0, 1.0, 1.0))
    if len(set(known.views)) > 1:
        return wider[2]
    return wider[0 if known.views[0] is View.FACE_ON else 1]


def measure_finished(
    context: SwingContext, spec: MeasureSpec, moment: MomentName | None, told: Told
) -> Measure | Refusal:
    """A measure, unless its ± is too wide to be of use."""
    if not (math.isfinite(told.value) and math.isfinite(told.sd)):
        return Refusal(spec.name, moment, f"It has no value here: {spec.degenerate}.")
    if told.sd > spec.widest:
        unsure = f"It would be unsure by ±{told.sd:.2g}{spec.unit}, which is too much to be of use."
        return Refusal(spec.name, moment, unsure)
    made = context.motion.method if context.motion else ""
    method = f"{told.method}; {made}; ± holds {SPACE_HOLDS}"
    return Measure(spec.name, moment, told.value, told.sd, spec.unit, method)


def _found(
    context: SwingContext, spec: MeasureSpec, names: tuple[MomentName, ...]
) -> tuple[Moment, ...] | Refusal:
    at = names[-1]
    if spec.moments and at not in spec.moments:
        return Refusal(spec.name, at, f"It is not defined at {at.replace('_', ' ')}.")
    found = []
    for name in names:
        moment = context.moments.get(name)
        if moment is None:
            return Refusal(spec.name, at, measure_lacking(context.moments, name))
        found.append(moment)
    return tuple(found)


def _values(formula: SpaceFormula, points: Floats, stature: Floats | float, unit: str) -> Floats:
    """(...) of poses (..., p, Q, 3), in the measure's unit."""
    raw = formula(*(Figure(points[..., i, :, :]) for i in range(points.shape[-3])))
    if unit == "cm":
        return 100.0 * raw
    return 100.0 * raw / stature if unit == "% of stature" else raw


def _timing(formula: SpaceFormula, known: Known, moments: tuple[Moment, ...], unit: str) -> float:
    """Slope of the measure in time × the moment's own ±, for each moment that it uses."""
    parts = []
    for which, moment in enumerate(moments):
        reach = max(moment.sd_s, SLOPE_S)
        ends = []
        for time in (moment.time_s - reach, moment.time_s + reach):
            within = float(np.clip(time, known.time_s[0], known.time_s[-1]))
            times = [m.time_s if i != which else within for i, m in enumerate(moments)]
            points = np.stack([known.at(each)[0] for each in times])
            ends.append(_values(formula, points, known.stature_m, unit))
        change = ends[1] - ends[0]
        change = wrap_deg(change) if unit == "°" else change
        parts.append(float(change) / (2 * reach) * moment.sd_s)
    return math.hypot(*parts)
