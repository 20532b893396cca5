"""What the catalogue says about one measure: its definition, in words that a golfer can check."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from causeline.measures.holds import SHARE_HOLDS
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName

MeasureFunction = Callable[..., Measure | Refusal]
"""(context) for a quantity of the whole swing, (context, moment) otherwise."""

ANYWHERE = (View.FACE_ON, View.DOWN_THE_LINE)

COMMON_PRACTICE = "common practice"
"""A fact of the trade that coaches share; it has no published source."""


@dataclass(frozen=True, slots=True)
class MeasureSpec:
    """One measure of the catalogue. Every field is shown in docs/measures.md."""

    name: str
    title: str
    """For the golfer."""
    unit: str
    """"°", "s", "cm", "% of stature" or "ratio"."""
    moments: tuple[MomentName, ...]
    """Where it is defined; empty for a quantity of the whole swing."""
    views: tuple[View, ...]
    """Which views show it in the picture itself."""
    landmarks: tuple[str, ...]
    """The points of the body track that it is computed from."""
    how: str
    """How it is computed, in words."""
    zero: str
    positive: str
    """Which way it grows."""
    range: str
    degenerate: str
    """When it has no value."""
    holds: str
    """What its ± contains."""
    source: str
    """Where the definition or its error comes from, or `COMMON_PRACTICE`."""
    widest: float
    """The largest ± that is worth giving, in the measure's unit; a wider one is refused."""
    measure: MeasureFunction
    space_views: tuple[View, ...] = ()
    """In which other views it is taken from the body in three dimensions."""


def measure_spec_percent(spec: MeasureSpec, measure: MeasureFunction) -> MeasureSpec:
    """The same length as a share of stature: it carries no error of the height in metres."""
    return replace(
        spec,
        name=f"{spec.name}_percent",
        unit="% of stature",
        holds=SHARE_HOLDS,
        widest=spec.widest / 1.75,
        measure=measure,
    )
