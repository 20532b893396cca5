"""The phone that filmed: seven numbers, what is likely about them, and where a point falls."""

from __future__ import annotations

import numpy as np

from causeline.model.clip import View
from causeline.quantities.angle import Floats

AIM = np.array([0.2, 0.0, 1.0])
"""What phones are pointed at, metres in the body frame: the hands at address."""
NAMES = ("log_distance", "off_axis", "height", "pan", "tilt", "roll", "log_focal")
"""Distance to `AIM` in metres; standpoint off the view's axis; height of the lens in metres; how
far the lens looks beside `AIM`; roll; focal length over the picture's longer side. Radians."""
LIKELY = np.array([np.log(4.0), 0.0, 1.1, 0.0, 0.0, 0.0, np.log(0.85)])
LIKELY_SD = np.array(
    [0.6, np.radians(7.0), 0.35, np.radians(12.0), np.radians(10.0), np.radians(1.5), 0.3]
)
"""Phones are put up by eye: judged. A focal length of 0.7 to 0.85 of the picture is a phone's main
camera (from memory); zoomed and cropped clips reach twice that."""
STEP = 1e-5


def place_phone(phone: Floats, view: View) -> tuple[Floats, Floats]:
    """(3, 3) rows right, down, forward in the body frame, and the standpoint (3,)."""
    distance, off, height, pan, tilt, roll, _ = phone
    away = np.array([np.cos(off), np.sin(off), 0.0])
    if view != View.FACE_ON:
        away = np.array([np.sin(off), -np.cos(off), 0.0])
    stand = AIM + away * np.exp(distance)
    stand[2] = height
    look = AIM - stand
    heading = np.arctan2(look[1], look[0]) + pan
    rise = np.arctan2(look[2], np.hypot(look[0], look[1])) + tilt
    forward = np.array(
        [np.cos(rise) * np.cos(heading), np.cos(rise) * np.sin(heading), np.sin(rise)]
    )
    level = np.array([np.sin(heading), -np.cos(heading), 0.0])
    under = np.cross(forward, level)
    right = np.cos(roll) * level + np.sin(roll) * under
    return np.stack([right, np.cross(forward, right), forward]), stand


def project_points(points: Floats, phone: Floats, view: View, size: tuple[int, int]) -> Floats:
    """Pixels (..., 2) of body-frame points (..., 3). Degenerate: beside the lens, huge numbers."""
    axes, stand = place_phone(phone, view)
    seen = (points - stand) @ axes.T
    middle = (np.array(size) - 1) / 2
    pixels: Floats = seen[..., :2] / _depth(seen) * _focal_px(phone, size) + middle
    return pixels


def project_slopes(
    points: Floats, phone: Floats, view: View, size: tuple[int, int]
) -> tuple[Floats, Floats]:
    """Change of the pixels with the points, (..., 2, 3), and with the phone, (..., 2, 7)."""
    axes, stand = place_phone(phone, view)
    seen = (points - stand) @ axes.T
    depth = _depth(seen)[..., None]
    flat = seen[..., :2, None] / depth
    along = (axes[:2] - flat * axes[2]) / depth * _focal_px(phone, size)
    rest = project_points(points, phone, view, size)
    turned = [
        (project_points(points, phone + STEP * unit, view, size) - rest) / STEP
        for unit in np.eye(len(NAMES))
    ]
    return along, np.stack(turned, axis=-1)


def guess_phone(xy: Floats, points: Floats, view: View, size: tuple[int, int]) -> Floats:
    """A first idea from the golfer's height in the picture, NaN left out."""
    phone = LIKELY.copy()
    tall_px = np.nanmax(xy[..., 1]) - np.nanmin(xy[..., 1])
    tall_m = points[..., 2].max() - points[..., 2].min()
    phone[0] = np.log(max(_focal_px(phone, size) * tall_m / max(tall_px, 1.0), 1.5))
    off = np.nanmedian((xy - project_points(points, phone, view, size)).reshape(-1, 2), axis=0)
    phone[3:5] = np.array([1.0, 1.0]) * off / _focal_px(phone, size)
    return phone


def _depth(seen: Floats) -> Floats:
    return np.maximum(seen[..., 2:], 0.1)


def _focal_px(phone: Floats, size: tuple[int, int]) -> float:
    return float(np.exp(phone[-1]) * max(size))
