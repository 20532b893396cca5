"""What one picture tells of light and sharpness around the golfer."""

from __future__ import annotations

import numpy as np

from causeline.model.clip import Picture
from causeline.model.filming import PictureFacts
from causeline.quantities.angle import Floats

LUMA = (0.2126, 0.7152, 0.0722)  # ITU-R BT.709
BLACK, WHITE = 4, 251
"""8-bit luma at and beyond which nothing is left to see."""


FINEST_PX = 500


def measure_picture(picture: Picture, box: tuple[float, float, float, float]) -> PictureFacts:
    """Light and sharpness of a picture within `box` (left, top, right, bottom; its own pixels).

    Sharpness is the mean absolute step between neighbours that a 5-pixel mean removes, over the
    mean step before it: an edge that is already 5 pixels wide loses little, a step edge loses most
    (the idea of Crete et al. 2007, "The blur effect", SPIE 6492). It is taken at a size at which
    the box is at most `FINEST_PX` high, so that it means the same in a small and a large picture;
    it is 0 in a flat one, and noise counts as detail.
    """
    height, width = picture.shape[:2]
    left, right = (int(np.clip(round(x), 0, width)) for x in (box[0], box[2]))
    top, bottom = (int(np.clip(round(y), 0, height)) for y in (box[1], box[3]))
    luma = picture[top:bottom, left:right] @ np.array(LUMA)
    if min(luma.shape) < 8:
        return PictureFacts(np.nan, np.nan, np.nan)
    clipped = np.mean((luma <= BLACK) | (luma >= WHITE))
    return PictureFacts(float(luma.mean()) / 255.0, _sharpness(_shrunk(luma)), float(clipped))


def _shrunk(luma: Floats) -> Floats:
    """Means of square blocks of pixels; what is left over at the far edges is dropped."""
    block = -(-luma.shape[0] // FINEST_PX)
    rows, columns = (size // block for size in luma.shape)
    whole = luma[: rows * block, : columns * block]
    return whole.reshape(rows, block, columns, block).mean(axis=(1, 3))


def _sharpness(luma: Floats) -> float:
    return min(_sharpness_along(luma), _sharpness_along(luma.T))


def _sharpness_along(luma: Floats) -> float:
    before = np.abs(np.diff(luma, axis=1))
    total = np.cumsum(np.pad(luma, ((0, 0), (3, 2)), mode="edge"), axis=1)
    blurred = (total[:, 5:] - total[:, :-5]) / 5.0
    lost = np.maximum(0.0, before - np.abs(np.diff(blurred, axis=1)))
    return float(lost.sum() / before.sum()) if before.sum() > 0 else 0.0
