"""How far a golfer is asked to move a measure before filming again."""

from __future__ import annotations

SHARE = 0.5
"""Of the way to the band; a judgement of ours."""


def compose_target(now: float, low: float, high: float, detectable: float) -> float | None:
    """A step from `now` towards the band, all in the measure's own unit.

    Half the way to the nearer end, or `detectable`, the smallest change that one film could show,
    where that is more; but never past the end, for nobody is asked for more than is usual. An open
    end is infinite. None where `now` is in the band.
    """
    if low <= now <= high:
        return None
    way = (low if now < low else high) - now
    step = min(max(SHARE * abs(way), detectable), abs(way))
    return now + step if way > 0 else now - step
