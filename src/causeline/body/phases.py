"""The clock on which one golfer's swing can be laid over another's."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

import numpy as np

from causeline.quantities.angle import Floats

PHASE_MOMENTS = ("address", "arm_level_back", "top", "arm_level_down", "impact", "finish")
SAMPLES_BETWEEN = (12, 10, 6, 6, 16)
"""Even steps from each of these moments to the next."""
PHASES = sum(SAMPLES_BETWEEN) + 1
USUAL = {
    "arm_level_back": ("address", "top", 0.62),
    "arm_level_down": ("top", "impact", 0.62),
}  # fmt: skip
"""Where a moment lies between two others when it was not found: share of posed swings."""
FINISH_AFTER = 3.2
"""A finish that was not found is taken to come this many downswings after impact."""
NEEDED = ("address", "top", "impact")


def phase_times(instants: Mapping[str, float]) -> Floats:
    """(PHASES,) seconds of the clock's samples. Needs address, top and impact, in that order."""
    known = dict(instants)
    for name, (before, after, share) in USUAL.items():
        if not known[before] < known.get(name, np.nan) < known[after]:
            known[name] = known[before] + share * (known[after] - known[before])
    if not known.get("finish", np.nan) > known["impact"]:
        known["finish"] = known["impact"] + FINISH_AFTER * (known["impact"] - known["top"])
    ends = [known[name] for name in PHASE_MOMENTS]
    steps = [
        np.linspace(one, other, count, endpoint=False)
        for (one, other), count in zip(pairwise(ends), SAMPLES_BETWEEN, strict=True)
    ]
    return np.concatenate([*steps, [ends[-1]]])


def phase_place(moment: str) -> int:
    """The clock's sample that lies at one of its moments."""
    return sum(SAMPLES_BETWEEN[: PHASE_MOMENTS.index(moment)])
