"""The club at one instant, and the one path from a formula of it to a measure or a refusal."""

from __future__ import annotations

import math

import numpy as np

from causeline.measures.club_spread import (
    END_ON,
    LYING,
    READOUT_S,
    STANDING,
    USUAL,
    Askew,
    ClubFormula,
    Held,
    Parts,
    measure_club_spread,
)
from causeline.measures.context import SwingContext
from causeline.measures.evaluate import measure_hidden
from causeline.measures.lacking import measure_lacking
from causeline.measures.spec import MeasureSpec
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName
from causeline.quantities.angle import Floats, wrap_deg
from causeline.quantities.length import Scale
from causeline.quantities.uncertain import Uncertain

LEAST_SURE = 0.5
"""Below this confidence the club is not said to be seen."""

SHORTEST = 0.2
"""A shaft that looks shorter than this share of the stature points at the camera: its direction in
the picture says little of its direction in space."""

LEVEL = (MomentName.SHAFT_LEVEL_BACK, MomentName.SHAFT_LEVEL_DOWN)
"""When the shaft points at a camera down the line, its head nearer than the hands."""
DOWN = (MomentName.ADDRESS, MomentName.START, MomentName.IMPACT)
"""When the head is at the ball, so nearer to a camera face-on than the hands."""

LONGEST_READ = 0.8
"""Of the time from picture to picture that reading its rows can take."""


def measure_held(context: SwingContext, time_s: float) -> Held | None:
    """Club and arms at a time, straight between frames; None where the club is not seen."""
    club, times = context.club, context.body.time_s
    if club is None or not times[0] <= time_s <= times[-1]:
        return None
    after = int(np.clip(np.searchsorted(times, time_s), 1, len(times) - 1))
    share = (time_s - times[after - 1]) / (times[after] - times[after - 1])
    weights = np.array([1 - share, share])
    used = weights > 0
    if not (club.confidence[after - 1 : after + 1][used] >= LEAST_SURE).all():
        return None

    def at(path: Floats) -> Floats:
        pair = path[after - 1 : after + 1]
        return np.asarray(np.tensordot(weights[used], pair[used], axes=1))

    grip, head = at(club.grip), at(club.head)
    gone = (club.head[after] - club.head[after - 1]) / (times[after] - times[after - 1])
    read_s = min(READOUT_S, LONGEST_READ / context.clip.capture_rate_hz)
    late = gone * read_s * (head[1] - grip[1]) / context.clip.height
    return Held(grip, at(club.shaft_end()), head, at(context.body.xy), np.nan_to_num(late))


def measure_club(
    context: SwingContext,
    spec: MeasureSpec,
    names: tuple[MomentName, ...],
    formula: ClubFormula,
) -> Measure | Refusal:
    """A formula of the club at one or more moments, the last of which names the measure's."""
    found = _found(context, spec, names)
    if isinstance(found, Refusal):
        return found
    if isinstance(context.scale, Refusal):
        return Refusal(spec.name, names[-1], context.scale.refused)
    held = [measure_held(context, moment.time_s) for moment in found]
    for name, one in zip(names, held, strict=True):
        lacking = _lacking(context.scale, name, one, angular=spec.unit == "°")
        if lacking:
            return Refusal(spec.name, names[-1], lacking)
    seen = [one for one in held if one is not None]
    value = float(formula(*seen))
    if not math.isfinite(value):
        return Refusal(spec.name, names[-1], f"It has no value here: {spec.degenerate}.")
    unit_px = context.scale.stature_px.value
    askew = [_askew(context.view, name, names[-1]) for name in names]
    inner = measure_club_spread(context, seen, formula, spec, unit_px, askew)
    inner["moment"] = _timing(context, found, formula, spec.unit == "°")
    return measure_club_result(context, spec, names[-1], value, inner)


def measure_club_result(
    context: SwingContext, spec: MeasureSpec, at: MomentName | None, value: float, parts: Parts
) -> Measure | Refusal:
    """A value in degrees or pixels, in the measure's own unit; a refusal where it is too wide."""
    raw = Uncertain(value, math.hypot(*parts.values()))
    result = raw
    if spec.unit != "°":
        if isinstance(context.scale, Refusal):
            return Refusal(spec.name, at, context.scale.refused)
        scale = context.scale
        result = scale.to_centimetres(raw) if spec.unit == "cm" else scale.to_stature_percent(raw)
    if result.sd > spec.widest:
        return Refusal(
            spec.name,
            at,
            f"It would be unsure by ±{result.sd:.0f}{'' if spec.unit == '°' else ' '}{spec.unit}, "
            "which is too much to be of use.",
        )
    told = ", ".join(label for label, part in parts.items() if part >= 0.05 * raw.sd)
    return Measure(spec.name, at, result.value, result.sd, spec.unit, f"{spec.how}; ± holds {told}")


def measure_club_hidden(context: SwingContext, spec: MeasureSpec) -> Refusal | None:
    """Why there is no club to measure at all, or None where there is."""
    hidden = measure_hidden(context, spec)
    if hidden is None and context.club is None:
        return Refusal(spec.name, None, "The club was not looked for in this clip.")
    return hidden


def _askew(view: View, moment: MomentName, last: MomentName) -> Askew:
    """Of a moment of a measure, the last of whose moments is `last`."""
    if view is View.DOWN_THE_LINE and moment is MomentName.ADDRESS is not last:
        return LYING
    if view is View.DOWN_THE_LINE and last in LEVEL:
        return END_ON
    return STANDING if view is View.FACE_ON and moment in DOWN else USUAL[view]


def _found(
    context: SwingContext, spec: MeasureSpec, names: tuple[MomentName, ...]
) -> tuple[Moment, ...] | Refusal:
    hidden = measure_club_hidden(context, spec)
    if hidden is not None:
        return Refusal(spec.name, names[-1], hidden.refused)
    if names[-1] not in spec.moments:
        return Refusal(spec.name, names[-1], f"It is not defined at {_words(names[-1])}.")
    found = []
    for name in names:
        moment = context.moments.get(name)
        if moment is None:
            return Refusal(spec.name, names[-1], measure_lacking(context.moments, name))
        found.append(moment)
    return tuple(found)


def _lacking(scale: Scale, name: MomentName, held: Held | None, angular: bool) -> str | None:
    if held is None:
        return f"The club cannot be made out at {_words(name)}."
    long = float(np.hypot(*(held.hosel - held.grip))) / scale.stature_px.value
    if angular and long < SHORTEST:
        return f"The shaft points at the camera at {_words(name)}; its direction cannot be read."
    return None


def _timing(
    context: SwingContext, found: tuple[Moment, ...], formula: ClubFormula, angular: bool
) -> float:
    """Slope of the formula in each moment's time, by that moment's own ±."""
    frame_s = float(np.median(np.diff(context.body.time_s)))
    parts = []
    for which, moment in enumerate(found):
        reach = max(moment.sd_s, frame_s)
        ends = []
        for time_s in (moment.time_s - reach, moment.time_s + reach):
            held = [
                measure_held(context, time_s if k == which else other.time_s)
                for k, other in enumerate(found)
            ]
            ends.append(float(formula(*held)) if all(held) else math.nan)
        change = ends[1] - ends[0]
        change = float(wrap_deg(change)) if angular else change
        parts.append(0.0 if math.isnan(change) else change / (2 * reach) * moment.sd_s)
    return math.hypot(*parts)


def _words(name: MomentName) -> str:
    return name.replace("_", " ")
