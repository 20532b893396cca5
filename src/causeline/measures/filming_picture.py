"""Advice from light and sharpness around the golfer."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from causeline.model.filming import Advice, PictureFacts, Severity

DARK, BRIGHT = 0.15, 0.85
"""Mean luma of the golfer's surroundings, 0 to 1."""

CLIPPED = 0.25
BLURRED = 0.2
"""A real clip scores 0.55, and 0.2 after a blur of 1.5 pixels with the golfer 200 pixels tall."""


def measure_light(pictures: Sequence[PictureFacts]) -> list[Advice | None]:
    """Too dark, too bright, burnt out or blurred, by the median of the pictures."""
    luminance, sharpness, clipped = (
        _median(pictures, read)
        for read in (lambda f: f.luminance, lambda f: f.sharpness, lambda f: f.clipped)
    )
    return [_light(luminance), _contrast(clipped), _blur(sharpness)]


def _median(pictures: Sequence[PictureFacts], read: Callable[[PictureFacts], float]) -> float:
    seen = [value for value in map(read, pictures) if math.isfinite(value)]
    return float(np.median(seen)) if seen else math.nan


def _light(luminance: float) -> Advice | None:
    if luminance < DARK:
        return Advice(
            "too_dark",
            Severity.COSTS,
            "You are hard to see: the picture is too dark. Film in daylight with the light behind "
            "the camera.",
        )
    if luminance > BRIGHT:
        return Advice(
            "too_bright",
            Severity.COSTS,
            "The picture is too bright around you. Tap on yourself before filming, and keep the "
            "sun behind the camera.",
        )
    return None


def _contrast(clipped: float) -> Advice | None:
    if not clipped > CLIPPED:
        return None
    return Advice(
        "harsh_light",
        Severity.NOTE,
        f"{clipped:.0%} of the picture around you is pure black or pure white. Avoid filming "
        "against the sky, or half in shade.",
    )


def _blur(sharpness: float) -> Advice | None:
    if not sharpness < BLURRED:
        return None
    return Advice(
        "blurred",
        Severity.COSTS,
        "The picture is blurred. Wipe the lens, hold the focus on yourself, and film in more "
        "light, so that the shutter is faster.",
    )
