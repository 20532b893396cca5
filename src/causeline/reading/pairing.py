"""Two swings of two readings, set beside each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from causeline.errors import SettingError
from causeline.model.clip import View
from causeline.model.comparison import Comparison, Fit
from causeline.progress.align import TimeMap, compare_times
from causeline.progress.beside import Side, compare_swings
from causeline.reading.teaching import Shown


@dataclass(frozen=True, slots=True, eq=False)
class Paired:
    """What pairs two swings: the instants, the fit of the golfers, the differences."""

    comparison: Comparison
    times: TimeMap
    fit: Fit


def run_pairing(a: Shown, b: Shown, mirrored: bool | None = None) -> Paired:
    """Swing B beside swing A. `mirrored` None turns B's picture where the hands differ.

    Raises SettingError where the views differ, no moment is common, or a golfer cannot be sized.
    """
    if a.view is not b.view:
        raise SettingError(
            f"{a.reading.clip.name} is filmed {a.view.value}, {b.reading.clip.name} {b.view.value}",
            "two swings filmed from the same place were expected",
            "choose another clip, or read it again with --view where the view was called wrongly",
        )
    if mirrored is None:
        mirrored = a.reading.hand.name != b.reading.hand.name
    side_a, side_b = (Side(one.reading.clip.sha256, one.swing) for one in (a, b))
    comparison = compare_swings(side_a, side_b, mirrored)
    times = compare_times(a.swing.moments, b.swing.moments)
    if times is None or comparison.fit is None:
        lacks = "have no moment in common" if times is None else "cannot be sized at address"
        raise SettingError(
            f"the swings of {a.reading.clip.name} and {b.reading.clip.name} {lacks}",
            "two whole swings were expected",
            "choose other swings with --swing-a and --swing-b, or film again",
        )
    return Paired(comparison, times, comparison.fit)


def run_fitting(
    shown: Sequence[Shown], references: Sequence[Shown]
) -> tuple[Mapping[View, Shown], tuple[str, ...]]:
    """For each view of a swing the first reference that can stand beside it.

    And of those tried before it, in words for the coach, why they cannot.
    """
    beside: dict[View, Shown] = {}
    views = {one.view: one for one in shown}
    reasons: list[str] = []
    for other in references:
        if other.view in beside:
            continue
        reason = _unfit(views.get(other.view), other)
        if reason:
            reasons.append(f"{other.reading.clip.name} is not shown beside the swing: {reason}.")
        else:
            beside[other.view] = other
    return beside, tuple(reasons)


def _unfit(one: Shown | None, other: Shown) -> str:
    """Why the other swing cannot stand beside the one; nothing where it can."""
    if one is None:
        return f"it is filmed {other.view.value}, the swing is not"
    try:
        run_pairing(one, other)
    except SettingError as error:
        return error.came
    return ""
