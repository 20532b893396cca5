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

    def span(self, time_s: float) -> tuple[float, float]:
        """From the first row's opening to the last row's closing, for a frame whose middle row's
        exposure is centred on `time_s`."""
        half = (self.readout_s + self.exposure_s) / 2
        return time_s - half, time_s + half

    def row_time(self, time_s: float, row: Floats, rows: int) -> Floats:
        """Middle of the exposure of (fractional) rows; NaN rows stay NaN."""
        return time_s + self.readout_s * (np.asarray(row) - (rows - 1) / 2) / rows


@dataclass(frozen=True, slots=True)
class Instant:
    """One time to draw, and the span of time that it stands for."""

    time_s: float
    begin_s: float
    end_s: float


def instants(span: tuple[float, float], count: int) -> list[Instant]:
    """`count` equal pieces of a span, each drawn at its middle."""
    edges = np.linspace(*span, count + 1)
    return [
        Instant(float(a + b) / 2, float(a), float(b))
        for a, b in zip(edges[:-1], edges[1:], strict=True)
    ]


def pieces_needed(path_px: Floats, step_px: float, most: int) -> int:
    """Into how many pieces a span must fall so that no point moves further than a step in one.

    `path_px` is (instants, points, 2): positions over the span; NaN points are ignored.
    """
    steps = np.linalg.norm(np.diff(path_px, axis=0), axis=-1)
    longest = float(np.nanmax(np.nansum(steps, axis=0), initial=0.0))
    return int(np.clip(np.ceil(longest / step_px), 1, most))
