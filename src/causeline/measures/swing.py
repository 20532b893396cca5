"""The whole catalogue, measured on one swing."""

from __future__ import annotations

from dataclasses import replace

from causeline.measures.catalogue import CATALOGUE
from causeline.measures.context import SwingContext
from causeline.measures.spec import MeasureSpec
from causeline.model.measures import Measure, Refusal


def measure_swing(
    context: SwingContext, catalogue: tuple[MeasureSpec, ...] = CATALOGUE
) -> tuple[Measure | Refusal, ...]:
    """Every measure at every moment where it is defined.

    What the view cannot show at any moment is refused once, with no moment.
    """
    return tuple(result for spec in catalogue for result in _all_moments(context, spec))


def _all_moments(context: SwingContext, spec: MeasureSpec) -> tuple[Measure | Refusal, ...]:
    if not spec.moments:
        return (spec.measure(context),)
    in_space = context.motion is not None and context.view in spec.space_views
    if context.view not in spec.views and not in_space:
        refused = spec.measure(context, spec.moments[0])
        return (replace(refused, moment=None),)
    return tuple(spec.measure(context, moment) for moment in spec.moments)
