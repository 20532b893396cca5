"""What the lifter sees and says, and at which instants: shared by pool, training and export."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

PAIRS = (
    "ear", "shoulder", "elbow", "wrist", "knuckle", "hip", "knee", "ankle", "heel", "toe",
)  # fmt: skip
JOINTS = ("nose", *(f"{side}_{part}" for part in PAIRS for side in ("lead", "trail")))
"""The package's BODY_LANDMARKS."""
POINTS = (*JOINTS, "butt", "hosel", "head")
MOMENTS = ("address", "arm_level_back", "top", "impact", "finish")

SPANS = (8, 56, 32, 24, 8)
"""Samples before address, up to the top, up to impact, up to the finish, after it."""
STEPS = sum(SPANS)
FINE = 2 * STEPS
BEFORE_S, AFTER_S = 0.3, 0.4
ADDRESS = SPANS[0]

FEATURES = 3 * len(JOINTS) + 4 + 3
"""x, y and trust of each joint; the shaft's direction, length and trust; view, seconds a step,
whether there is a picture."""
SAID = 3 * len(JOINTS) + 3 + len(JOINTS) + 3
"""Joints in statures, turns in `TURN_UNIT`, then the logarithm of each one's spread."""
TURN_UNIT = 30.0


def phase_times(knots: Sequence[float], steps: int = STEPS) -> Floats:
    """(steps,) seconds of the samples, from address, top, impact and finish in seconds."""
    address, top, impact, finish = knots
    at = np.cumsum((0, *SPANS)) * (steps / STEPS)
    times = (address - BEFORE_S, address, top, impact, finish, finish + AFTER_S)
    return np.interp(np.arange(steps), at, times)
