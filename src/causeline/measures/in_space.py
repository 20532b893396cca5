"""The one path from the body in three dimensions to a measure or a refusal."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.lacking import measure_lacking
from causeline.measures.spec import MeasureSpec
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.motion import Motion
from causeline.quantities.angle import Floats

SLOPE_S = 0.02
"""Half of the time over which a turn's speed is taken."""
NOT_RECOVERED = (
    "Turns in degrees are not given yet: the body in three dimensions that they rest on has not "
    "been shown to hold its ±. Guessed from one picture, they err by tens of degrees."
)
NO_BODY = (
    "The body could not be followed in space: that takes an address, a top and an impact, with "
    "shoulders and hips in the picture."
)


@dataclass(frozen=True, slots=True)
class Told:
    """A value at a moment. `sd` does not yet hold what the moment's own ± adds."""

    value: float
    sd: float
    time_s: float
    time_sd_s: float
    slope: float
    """Change a second."""
    method: str


def measure_told(
    context: SwingContext, spec: MeasureSpec, moment: MomentName, names: tuple[str, ...]
) -> Measure | Refusal:
    """The first of the named turns less the second; an empty name stands for zero.

    The ± of two are taken as independent: the errors that they share make it too wide.
    """
    if moment not in spec.moments:
        return Refusal(spec.name, moment, f"It is not defined at {moment.replace('_', ' ')}.")
    parts: list[tuple[float, Told]] = []
    for sign, name in zip((1.0, -1.0), names, strict=False):
        found = measure_turn_at(context, name, moment) if name else None
        if isinstance(found, str):
            return Refusal(spec.name, moment, found)
        if found is not None:
            parts.append((sign, found))
    slope = sum(sign * told.slope for sign, told in parts)
    first = parts[0][1]
    sd = math.hypot(*(told.sd for _, told in parts), slope * first.time_sd_s)
    value = sum(sign * told.value for sign, told in parts)
    told = Told(value, sd, first.time_s, first.time_sd_s, slope, first.method)
    return measure_finished(spec, moment, told)


def measure_turn_at(context: SwingContext, name: str, moment: MomentName) -> Told | str:
    """A turn at a moment, or why there is none."""
    found = context.moments.get(moment)
    if found is None:
        return measure_lacking(context.moments, moment)
    motion = context.motion
    if motion is None:
        return NOT_RECOVERED
    turn, sd = motion.turn(name)
    at = found.time_s + np.array([-SLOPE_S, 0.0, SLOPE_S])
    before, value, after = _at(motion, turn, at)
    spread = _at(motion, sd, at)[1]
    if not (math.isfinite(value) and math.isfinite(spread)):
        return NO_BODY
    slope = (after - before) / (2 * SLOPE_S) if math.isfinite(after - before) else 0.0
    return Told(float(value), float(spread), found.time_s, found.sd_s, slope, motion.method)


def measure_finished(spec: MeasureSpec, moment: MomentName | None, told: Told) -> Measure | Refusal:
    """A measure, unless its ± is too wide to be of use."""
    if not (math.isfinite(told.value) and math.isfinite(told.sd)):
        return Refusal(spec.name, moment, f"It has no value here: {spec.degenerate}.")
    if told.sd > spec.widest:
        return Refusal(
            spec.name,
            moment,
            f"It would be unsure by ±{told.sd:.0f}{spec.unit}, which is too much to be of use.",
        )
    method = f"{spec.how}; {told.method}; ± holds {spec.holds}"
    return Measure(spec.name, moment, told.value, told.sd, spec.unit, method)


def _at(motion: Motion, values: Floats, at: Floats) -> Floats:
    return np.interp(at, motion.time_s, values, left=np.nan, right=np.nan)
