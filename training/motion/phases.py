"""Posed swings on the common clock of the motion prior, in shares of the stature."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from causeline.body.phases import PHASE_MOMENTS, phase_times
from causeline.model.motion import POINTS

Floats = NDArray[np.float64]

TREMOR_S = {"address": 0.06, "top": 0.015, "impact": 0.008, "finish": 0.06}
"""How far the moments by which a real clip is lined up may be off, one standard deviation."""
OTHERWISE_S = 0.012


def load_swing(path: Path, rng: np.random.Generator | None = None) -> Floats:
    """(P, Q, 3) statures: one posed swing, its moments shaken where `rng` is given."""
    with np.load(path) as kept:
        facts = json.loads(str(kept["facts"]))
        clock = kept["time_s"]
        paths = [kept[name if name in kept.files else f"j_{name}"] for name in POINTS]
    known = facts["moments"]
    instants = {name: known[name] for name in PHASE_MOMENTS if name in known}
    if rng is not None:
        instants = {k: v + TREMOR_S.get(k, OTHERWISE_S) * rng.normal() for k, v in instants.items()}
    times = phase_times(instants)
    points = np.stack(
        [[np.interp(times, clock, path[:, axis]) for axis in range(3)] for path in paths]
    )
    return np.moveaxis(points, 2, 0) / facts["stature"]
