"""Landmarks that a person set right, in the track that everything else is computed from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from causeline.model.motion import Correction
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack

CARRIES_S = 0.03
"""Over how long a correction is carried to the frames beside it: what is wrong in one frame is
mostly wrong in the next. Judged."""


def refine_corrected(body: BodyTrack, corrections: tuple[Correction, ...]) -> BodyTrack:
    """The track through the corrected points, the frames beside them moved along less and less.

    What lies outside the track, or is no landmark of it, is left alone.
    """
    xy, sd, sure = body.xy.copy(), body.sd_px.copy(), body.confidence.copy()
    for each in corrections:
        rows = np.flatnonzero(body.frames == each.frame)
        if each.landmark not in BODY_LANDMARKS or not len(rows):
            continue
        row, column = int(rows[0]), BODY_LANDMARKS.index(each.landmark)
        off = np.array([each.x, each.y]) - xy[row, column]
        if np.isfinite(off).all():
            near = np.exp(-0.5 * ((body.time_s - body.time_s[row]) / CARRIES_S) ** 2)
            xy[:, column] += near[:, None] * off
        xy[row, column] = (each.x, each.y)
        sd[row, column], sure[row, column] = each.sd_px, 1.0
    return replace(body, xy=xy, sd_px=sd, confidence=sure)
