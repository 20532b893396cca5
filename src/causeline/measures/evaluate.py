"""The one path from a formula to a measure or a refusal, shared by all measures of the body."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.lacking import measure_lacking
from causeline.measures.pose import Pose, measure_pose, measure_sd_px
from causeline.measures.spec import MeasureSpec
from causeline.measures.spread import Formula, measure_change, measure_effect, measure_parts
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats
from causeline.quantities.length import Scale
from causeline.quantities.uncertain import Uncertain

LEAST_TOLD = 0.05
"""A part of the ± that is less than this share of it is not named in the method."""

LEAST_SLOPE_FRAMES = 2
"""Frames on either side of a moment over which a measure's slope is taken, at least."""


def measure_at(
    context: SwingContext, spec: MeasureSpec, moment: MomentName, formula: Formula
) -> Measure | Refusal:
    """A formula of the pose at one moment."""
    return _measure(context, spec, (moment,), formula)


def measure_since_address(
    context: SwingContext, spec: MeasureSpec, moment: MomentName, formula: Formula
) -> Measure | Refusal:
    """A formula of the pose at address and the pose at a later moment."""
    return _measure(context, spec, (MomentName.ADDRESS, moment), formula)


def measure_hidden(context: SwingContext, spec: MeasureSpec) -> Refusal | None:
    """Why this view cannot show the measure at all, or None when it can."""
    if context.view in spec.views:
        return None
    shown = " or ".join(spec.views or spec.space_views)
    return Refusal(
        spec.name,
        None,
        f"Your clip is filmed {context.view}; this can be seen only {shown}.",
    )


def measure_widened(measure: Measure, label: str, part: float, widest: float) -> Measure | Refusal:
    """The same measure with one more part in its ±."""
    sd = math.hypot(measure.sd, part)
    if sd > widest:
        return _too_wide(measure.name, measure.moment, Uncertain(measure.value, sd), measure.unit)
    told = f", {label} {part:.2g}" if part >= LEAST_TOLD * sd else ""
    return replace(measure, sd=sd, method=measure.method + told)


def _measure(
    context: SwingContext, spec: MeasureSpec, names: tuple[MomentName, ...], formula: Formula
) -> Measure | Refusal:
    at = names[-1]
    found = _found(context, spec, names)
    if isinstance(found, Refusal):
        return found
    if isinstance(context.scale, Refusal):
        return Refusal(spec.name, at, context.scale.refused)
    poses = tuple(measure_pose(context.body, spec.landmarks, moment.time_s) for moment in found)
    unseen = _unseen(poses)
    if unseen:
        return Refusal(spec.name, at, f"Your {unseen} cannot be seen at {_words(names)}.")
    value = float(formula(*poses))
    if not math.isfinite(value):
        return Refusal(spec.name, at, f"It has no value here: {spec.degenerate}.")
    sd_px = np.stack([measure_sd_px(context.body, spec.landmarks, m.time_s) for m in found])
    if not np.isfinite(sd_px).all():
        return Refusal(spec.name, at, "How sure its landmarks are is not known.")
    angular = spec.unit == "°"
    parts = measure_parts(context, context.scale, poses, sd_px, formula, angular)
    parts["moment"] = _timing(context, found, poses, formula, angular)
    return _finished(spec, at, value, parts, context)


def _found(
    context: SwingContext, spec: MeasureSpec, names: tuple[MomentName, ...]
) -> tuple[Moment, ...] | Refusal:
    at = names[-1]
    hidden = measure_hidden(context, spec)
    if hidden:
        return replace(hidden, moment=at)
    if at not in spec.moments:
        return Refusal(spec.name, at, f"It is not defined at {_words((at,))}.")
    found = []
    for name in names:
        moment = context.moments.get(name)
        if moment is None:
            return Refusal(spec.name, at, measure_lacking(context.moments, name))
        found.append(moment)
    return tuple(found)


def _unseen(poses: tuple[Pose, ...]) -> str:
    missing = dict.fromkeys(
        name for pose in poses for name in pose.names if not np.isfinite(pose.point(name)).all()
    )
    return " and ".join(name.replace("_", " ") for name in missing)


def _timing(
    context: SwingContext,
    moments: tuple[Moment, ...],
    poses: tuple[Pose, ...],
    formula: Formula,
    angular: bool,
) -> float:
    """Slope of the measure in time × the moment's own ±, for each moment that it uses."""
    slopes = [
        _slope(context, moment, poses, i, formula, angular) for i, moment in enumerate(moments)
    ]
    return math.hypot(*(slope * m.sd_s for slope, m in zip(slopes, moments, strict=True)))


def _slope(
    context: SwingContext,
    moment: Moment,
    poses: tuple[Pose, ...],
    which: int,
    formula: Formula,
    angular: bool,
) -> float:
    body, names = context.body, poses[0].names
    frame_s = float(np.median(np.diff(body.time_s))) if len(body) > 1 else math.inf
    reach = max(moment.sd_s, (LEAST_SLOPE_FRAMES + 0.01) * frame_s)
    near = np.flatnonzero(np.abs(body.time_s - moment.time_s) <= reach)
    columns = [BODY_LANDMARKS.index(name) for name in names]
    xy = np.repeat(np.stack([pose.xy for pose in poses])[None], len(near), axis=0)
    xy[:, which] = body.xy[near][:, columns]
    rest = formula(*poses)
    change = measure_change(measure_effect(formula, names, xy), rest, angular)
    seen = np.isfinite(change)
    return _line_slope(body.time_s[near][seen], change[seen])


def _line_slope(time_s: Floats, value: Floats) -> float:
    """Slope of the least-squares line; 0 where a single instant is left to judge by."""
    apart = time_s - time_s.mean() if len(time_s) else time_s
    square = float(apart @ apart)
    return float(apart @ value) / square if square > 0 else 0.0


def _finished(
    spec: MeasureSpec,
    at: MomentName,
    value: float,
    parts: dict[str, float],
    context: SwingContext,
) -> Measure | Refusal:
    raw = Uncertain(value, math.hypot(*parts.values()))
    result, parts = _in_unit(spec.unit, raw, parts, context)
    if result.sd > spec.widest:
        return _too_wide(spec.name, at, result, spec.unit)
    told = ", ".join(
        f"{label} {part:.2g}" for label, part in parts.items() if part >= LEAST_TOLD * result.sd
    )
    return Measure(spec.name, at, result.value, result.sd, spec.unit, f"{spec.how}; ± holds {told}")


def _in_unit(
    unit: str, raw: Uncertain, parts: dict[str, float], context: SwingContext
) -> tuple[Uncertain, dict[str, float]]:
    if unit == "°" or not isinstance(context.scale, Scale):
        return raw, parts
    convert = context.scale.to_centimetres if unit == "cm" else context.scale.to_stature_percent
    label = "scale" if context.stature_given or unit != "cm" else "scale (height assumed)"
    told = {name: convert(Uncertain(0.0, part)).sd for name, part in parts.items()}
    told[label] = convert(Uncertain(raw.value, 0.0)).sd
    return convert(raw), told


def _too_wide(name: str, at: MomentName | None, result: Uncertain, unit: str) -> Refusal:
    return Refusal(
        name,
        at,
        f"It would be unsure by ±{result.sd:.0f}{'' if unit == '°' else ' '}{unit}, which is too "
        "much to be of use.",
    )


def _words(names: tuple[MomentName, ...]) -> str:
    return " or ".join(name.replace("_", " ") for name in names)
