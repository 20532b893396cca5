"""The engine's 33 points of somebody who stands upright, arms hanging, placed as a test likes."""

from __future__ import annotations

import numpy as np

from causeline.model.tracks import ENGINE_LANDMARKS
from causeline.quantities.angle import Floats

_HEIGHTS = {
    "nose": -0.40, "inner": -0.42, "eye": -0.42, "outer": -0.42, "ear": -0.41, "mouth": -0.38,
    "shoulder": -0.29, "elbow": -0.11, "wrist": 0.04, "pinky": 0.09, "index": 0.10, "thumb": 0.08,
    "hip": 0.0, "knee": 0.25, "ankle": 0.49, "heel": 0.51,
}  # fmt: skip
"""Of the stature, downward from the hips."""


def standing(x: float, y: float, stature: float) -> Floats:
    """Landmarks (33, 2) of a person facing the camera whose hips are at (x, y), in pixels.

    Heel lowest at 0.51 statures below the hips, so the region's side is close to 2.25 × 0.51.
    """
    shares = [_share(name) for name in ENGINE_LANDMARKS]
    return np.array(shares) * stature + (x, y)


def _share(name: str) -> tuple[float, float]:
    part = name.replace("left", "").replace("right", "").strip("_")
    if part == "foot_index":
        part = "heel"
    height = _HEIGHTS[part.removeprefix("eye_")]
    side = (name.startswith("left") or name.endswith("left")) - (
        name.startswith("right") or name.endswith("right")
    )
    width = 0.1 if height > -0.35 else 0.03
    return side * width, height
