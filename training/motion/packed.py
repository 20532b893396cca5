"""Posed swings as `training.lift.pose` packs them, on the common clock of the motion prior."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from causeline.body.phases import phase_times
from causeline.model.motion import POINTS

Floats = NDArray[np.float64]

STEP = 1e-4
"""Statures in a step of the file."""
MOMENTS = ("address", "arm_level_back", "top", "impact", "finish")
PAIRS = ("ear", "shoulder", "elbow", "wrist", "knuckle", "hip", "knee", "ankle", "heel", "toe")
PACKED = (
    "nose",
    *(f"{side}_{part}" for part in PAIRS for side in ("lead", "trail")),
    "butt",
    "hosel",
    "head",
)
TREMOR_S = {"address": 0.06, "top": 0.015, "impact": 0.008, "finish": 0.06}
"""How far the moments by which a real clip is lined up may be off, one standard deviation."""
OTHERWISE_S = 0.012


class Packed:
    """The swings of a file."""

    def __init__(self, path: Path) -> None:
        with np.load(path) as kept:
            steps = np.cumsum(np.cumsum(kept["bends"].astype(np.int32), axis=1), axis=1)
            self.time_s = kept["time_s"].astype(float)
            self.where = kept["where"].astype(float)
        columns = [PACKED.index(name) for name in POINTS]
        self.points = STEP * steps[:, :, columns]

    def __len__(self) -> int:
        return len(self.points)

    def swing(self, number: int, rng: np.random.Generator | None = None) -> Floats:
        """(P, Q, 3) statures: one swing, its moments shaken where `rng` is given."""
        clock, points = self.time_s[number], self.points[number]
        rows = self.where[number] * len(clock)
        known = dict(zip(MOMENTS, np.interp(rows, np.arange(len(clock)), clock), strict=True))
        known = {name: time for name, time in known.items() if np.isfinite(time)}
        known["arm_level_down"] = _level_again(points, clock, known["top"], known["impact"])
        if rng is not None:
            known = {
                name: time + TREMOR_S.get(name, OTHERWISE_S) * rng.normal()
                for name, time in known.items()
            }
        times = phase_times(known)
        flat = points.reshape(len(clock), -1)
        played = np.stack([np.interp(times, clock, column) for column in flat.T], axis=1)
        return played.reshape(len(times), len(POINTS), 3)


def _level_again(points: Floats, clock: Floats, top: float, impact: float) -> float:
    """When the lead arm is level coming down."""
    shoulder, wrist = (points[:, POINTS.index(f"lead_{part}"), 2] for part in ("shoulder", "wrist"))
    within = (clock >= top) & (clock <= impact)
    under = np.flatnonzero((wrist - shoulder)[within] < 0)
    return float(clock[within][under[0]]) if len(under) else 0.62 * (impact - top) + top
