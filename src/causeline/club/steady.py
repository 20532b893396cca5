"""A shaft that points nearly at the camera, steadied over time.

There the same error of the shaft's end turns its line far more, and the end moves little.
"""

from __future__ import annotations

import numpy as np

from causeline.quantities.angle import Floats

SHORT, FADE = 0.27, 0.12
"""Below the first, in lengths of the club, a shaft begins to be steadied, and is wholly at the
second less. Chosen on rendered clips of known truth; see training/club/README.md."""
HALF = 3
"""Frames on either side."""
WIDEST_S = 0.25
"""Frames farther apart than this on the whole are not fitted together."""
LEAST = 0.02
"""What a frame weighs at least."""


def track_steady(way: Floats, confidence: Floats, time_s: Floats, length_px: float) -> Floats:
    """(n, 2) `way` from grip end to shaft end, short ones moved to a parabola through those around.

    `confidence` (n,) weighs the frames. The first and the last frames stay as they are.
    """
    steady = way.copy()
    long = np.hypot(*way.T) / length_px
    share = np.clip((SHORT - long) / FADE, 0.0, 1.0)
    for frame in np.flatnonzero(share > 0):
        rows = np.arange(frame - HALF, frame + HALF + 1)
        if rows[0] < 0 or rows[-1] >= len(way):
            continue
        at = time_s[rows] - time_s[frame]
        if at[-1] - at[0] > WIDEST_S or not np.isfinite(way[rows]).all():
            continue
        weight = np.sqrt(np.clip(confidence[rows], LEAST, 1.0))
        terms = np.stack([np.ones(len(at)), at / at[-1], (at / at[-1]) ** 2], axis=1)
        fit = np.linalg.lstsq(terms * weight[:, None], way[rows] * weight[:, None], rcond=None)[0]
        steady[frame] += share[frame] * (fit[0] - way[frame])
    return steady
