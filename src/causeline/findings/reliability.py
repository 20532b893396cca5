"""Are the probabilities honest? Of the faults said to be there with 0.8, four in five must be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

STEPS = 10


@dataclass(frozen=True, slots=True)
class Bin:
    """Statements whose probability fell between `low` and `high`."""

    low: float
    high: float
    count: int
    said: float
    """Mean probability that was said."""
    true: float
    """Share that was true."""


def explain_reliability(said: Sequence[float], true: Sequence[bool]) -> tuple[Bin, ...]:
    """A table for a reliability plot: tenths of probability, those without statements left out.

    Raises ValueError for lists of different lengths, or a probability outside 0 to 1.
    """
    if len(said) != len(true) or not all(0 <= each <= 1 for each in said):
        raise ValueError(
            f"got {len(said)} probabilities and {len(true)} outcomes; expected as many of each, "
            "every probability from 0 to 1"
        )
    bins = []
    for k in range(STEPS):
        held = [
            (p, t) for p, t in zip(said, true, strict=True) if min(int(p * STEPS), STEPS - 1) == k
        ]
        if held:
            count = len(held)
            mean, share = sum(p for p, _ in held) / count, sum(t for _, t in held) / count
            bins.append(Bin(k / STEPS, (k + 1) / STEPS, count, mean, share))
    return tuple(bins)


def explain_calibration_error(bins: Sequence[Bin]) -> float:
    """Mean distance of what was said from what was true, weighed by how often it was said."""
    total = sum(one.count for one in bins)
    return sum(one.count * abs(one.said - one.true) for one in bins) / total if total else 0.0
