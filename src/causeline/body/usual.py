"""Where the engine usually sees the points of a body, by how it sees the whole of it.

The engine's points are not the joints, and by how far they are off follows the posture: shoulders
that have turned away are seen too broad, and the more so the lower the hands. What is learned is
the usual offset at each instant of a swing, and how that changes with the figure as it is seen.
"""

from __future__ import annotations

import numpy as np

from causeline.model.clip import View
from causeline.model.motion import MotionPrior
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

J = len(BODY_LANDMARKS)
ANKLES = [BODY_LANDMARKS.index(f"{side}_ankle") for side in ("lead", "trail")]
STILL = 3
"""First samples of the clock, whose ankles are where a figure stands."""
STRANGE = 2.5
"""A figure that lies farther from the usual one, in its standard deviations, counts as this far:
what was learned says nothing beyond."""


def usual_offsets(prior: MotionPrior, view: View, xy: Floats, size_px: float) -> Floats:
    """(P, Q, 2) pixels to take off points (P, Q, 2) as the engine saw them; zero without a prior.

    `size_px` is the stature in pixels. A point that is missing is taken to be where it usually is.
    """
    if prior.offsets is None:
        return np.zeros_like(xy)
    which = 0 if view == View.FACE_ON else 1
    offsets = prior.offsets[which].copy()
    if prior.figures is not None and prior.figures_sd is not None and prior.slopes is not None:
        away = figure_of(xy, size_px) - prior.figures[which]
        limit = STRANGE * prior.figures_sd[which]
        away = np.nan_to_num(np.clip(away, -limit, limit)).reshape(len(xy), -1)
        offsets[:, :J] += np.einsum("pf,pfo->po", away, prior.slopes[which]).reshape(-1, J, 2)
    pixels: Floats = offsets * size_px
    return pixels


def figure_of(xy: Floats, size_px: float) -> Floats:
    """(P, J, 2) the joints in statures from where the golfer stands; NaN where one is missing."""
    seen = xy[:STILL, ANKLES].reshape(-1, 2)
    stands = np.nanmean(seen, axis=0) if np.isfinite(seen).any() else np.full(2, np.nan)
    figure: Floats = (xy[:, :J] - stands) / size_px
    return figure
