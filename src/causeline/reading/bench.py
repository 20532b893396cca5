"""What the bench asks of the measuring rooms: how large the golfer is, and what a measure is of."""

from __future__ import annotations

from collections.abc import Mapping

from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.measures.context import measure_context
from causeline.model.clip import Clip, View
from causeline.model.measures import Refusal
from causeline.model.reading import Swing
from causeline.quantities.length import Scale
from causeline.quantities.uncertain import Uncertain


def run_scale(
    clip: Clip, view: View, swing: Swing, stature_m: Uncertain | None = None
) -> Scale | None:
    """The golfer's stature in pixels and in metres; None where the swing does not show it.

    Without a stature the usual one is taken, with a ± that reaches most people.
    """
    moments, body = swing.moments, swing.body
    context = measure_context(clip, view, body, moments, stature_m, swing.club)
    return None if isinstance(context.scale, Refusal) else context.scale


def run_places() -> Mapping[str, tuple[str, tuple[str, ...]]]:
    """Each measure's title, and the points that it is taken from, by its name."""
    return {spec.name: (spec.title, spec.landmarks) for spec in FULL_CATALOGUE}
