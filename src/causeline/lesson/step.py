"""How far a golfer is asked to move a measure before filming again."""

from __future__ import annotations

SHARE = 0.5
"""Of the way to the band; a judgement of ours."""


def compose_target(now: float, low: float, high: float, detectable: float) -> float | None:
    """A step from `now` towards the band, all in the measure's own unit.

    Half the way to the nearer end, but at least `detectable`, the smallest change that filming
    again could show. None where `now` is in the band, or where so small a way is left that a step
    that could be seen would overshoot the whole band.
    """
    if low <= now <= high:
        return None
    end, far = (low, high) if now < low else (high, low)
    step = max(SHARE * abs(end - now), detectable)
    if step > abs(far - now):
        return None
    return now + step if end > now else now - step
