"""Two swings of two readings, set beside each other."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.errors import SettingError
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
