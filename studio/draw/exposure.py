"""When each row of a frame is open, and at which instants to draw what moves meanwhile."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from studio.draw.mesh import Floats


@dataclass(frozen=True, slots=True)
class Shutter:
    """How a phone records one frame: rows one after another, each open for a while."""

    exposure_s: float
    readout_s: float
    """From the middle of the top row's exposure to the bottom one's; 0 is a global shutter."""

    def row_time(self, time_s: Floats | float, row: Floats | float, rows: int) -> Floats:
        """Middle of the exposure of (fractional) rows; NaN rows stay NaN."""
        return time_s + self.readout_s * (np.asarray(row) - (rows - 1) / 2) / rows

    def rolls(self, time_s: float) -> tuple[float, float, float]:
        """Middle row's, top row's and bottom row's instants."""
        half = self.readout_s / 2
        return time_s, time_s - half, time_s + half

    def pieces(self, time_s: float, count: int) -> Floats:
        """(count,) middles of equal parts of the exposure that is centred on an instant."""
        return time_s + self.exposure_s * ((np.arange(count) + 0.5) / count - 0.5)


def pieces_needed(speed_px_s: float, exposure_s: float, step_px: float, most: int) -> int:
    """Into how many parts an exposure falls, so that nothing moves further than a step in one."""
    return int(np.clip(np.ceil(speed_px_s * exposure_s / step_px), 1, most))
