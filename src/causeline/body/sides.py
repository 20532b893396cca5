"""From the engine's left and right to lead and trail, and the mirror for left-handers."""

from __future__ import annotations

import numpy as np

from causeline.model.clip import Hand
from causeline.model.tracks import BODY_LANDMARKS, ENGINE_LANDMARKS, LandmarkTrack
from causeline.quantities.angle import Floats

_ENGINE_PART = {"knuckle": "index", "toe": "foot_index"}


def name_sides(track: LandmarkTrack, hand: Hand, width: int) -> tuple[Floats, Floats]:
    """Points (n, J, 2) and confidence (n, J) in body words, a left-hander mirrored to the right."""
    columns = [_engine_column(name, hand) for name in BODY_LANDMARKS]
    xy = track.xy[:, columns].astype(float)
    confidence = np.nan_to_num(track.confidence[:, columns].astype(float))
    if hand == Hand.LEFT:
        xy[..., 0] = width - 1 - xy[..., 0]
    return xy, confidence


def _engine_column(name: str, hand: Hand) -> int:
    side, _, part = name.partition("_")
    if not part:
        return ENGINE_LANDMARKS.index(name)
    lead_is_left = hand == Hand.RIGHT
    engine_side = "left" if (side == "lead") == lead_is_left else "right"
    return ENGINE_LANDMARKS.index(f"{engine_side}_{_ENGINE_PART.get(part, part)}")
