"""What a coach calls with yes or no: outside or inside, above or below, steeper or shallower."""

from __future__ import annotations

import math
from collections.abc import Iterable

from causeline.model.club import ClubCall
from causeline.model.measures import Measure, Refusal

CALLS: dict[str, tuple[str, str]] = {
    "head_outside_hands": ("head outside the hands", "head inside the hands"),
    "head_off_plane": ("head above the plane of address", "head below the plane of address"),
    "shaft_above_forearm": ("shaft above the trail forearm", "shaft below the trail forearm"),
    "shaft_steepening": ("steeper down than up", "shallower down than up"),
    "shaft_against_address": ("steeper than the address line", "flatter than the address line"),
    "hands_loop": ("hands down outside their way up", "hands down inside their way up"),
    "head_loop": ("clubhead down outside its way up", "clubhead down inside its way up"),
    "shaft_lean": ("hands ahead of the clubhead", "hands behind the clubhead"),
}
"""Measure, what it says above zero, and what below."""


SURE_ENOUGH = 0.9
"""A call is made from this probability on; below it, it could easily be the other."""


def measure_club_calls(measures: Iterable[Measure | Refusal]) -> tuple[ClubCall, ...]:
    """Every call that the measures allow, in their order; a refused measure calls nothing.

    The chance of a value above zero, its error taken as normal. A value without a ± is no call,
    nor is one that could easily be the other.
    """
    calls = (
        ClubCall(one.name, one.moment, *CALLS[one.name], chance=_above_zero(one.value, one.sd))
        for one in measures
        if isinstance(one, Measure) and one.name in CALLS and one.sd > 0
    )
    return tuple(call for call in calls if call.sureness >= SURE_ENOUGH)


def _above_zero(value: float, sd: float) -> float:
    return 0.5 * (1.0 + math.erf(value / sd / math.sqrt(2.0)))
