"""How many pixels the golfer's standing height takes, from the long limbs at address.

The chain ankle-knee-hip-shoulder is 0.78 of stature and varies little between people once it is
divided by stature; breadths and the head vary two to five times more, so they are not used. The
ear is left out too: its distance from the shoulder changes with how the head is carried.
"""

from __future__ import annotations

import math

import numpy as np

from causeline.measures.lacking import measure_lacking
from causeline.measures.pose import Pose, measure_pose
from causeline.model.clip import View
from causeline.model.measures import Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats
from causeline.quantities.length import Scale
from causeline.quantities.uncertain import Uncertain

ASSUMED_STATURE_M = Uncertain(1.75, 0.10)
"""Where the golfer gives no height. ANSUR II (Gordon et al. 2014, NATICK/TR-15/007): men
1.756 ± 0.069 m, women 1.629 ± 0.064 m; near the men's mean, with a ± that reaches both."""

ANSUR_HEIGHTS = {
    "ankle": (0.0405, 0.071),  # lateral malleolus
    "knee": (0.283, 0.033),  # lateral femoral epicondyle
    "hip": (0.516, 0.029),  # trochanterion
    "shoulder": (0.820, 0.012),  # acromion
}
"""Height of each joint as a share of stature and the spread of that share between people, as a
share of itself. ANSUR II, mean of the men's and the women's ratio."""

ANSUR_LENGTHS = {
    "upper_arm": (0.191, 0.033),  # acromion-radiale
    "forearm": (0.1505, 0.046),  # radiale-stylion
    "thigh": (0.516 - 0.283, 0.06),  # from the heights; spread judged
    "shank": (0.283 - 0.0405, 0.04),  # from the heights; spread judged
}
"""Length of each limb as a share of stature, and the spread of that share. ANSUR II."""

TILT_DEG = {
    View.DOWN_THE_LINE: {"shank": (0.0, 5.0), "thigh": (0.0, 8.0), "trunk": (0.0, 6.0)},
    View.FACE_ON: {"shank": (10.0, 6.0), "thigh": (18.0, 7.0), "trunk": (35.0, 8.0)},
}
"""Lean of each part out of the picture's plane at address, mean and spread. Down the line the bend
lies in the picture. Face-on it comes toward the camera: common practice, from memory."""

CHAIN_OFFSET = 0.015
"""Spread of the chain from where the engine sees shoulder and ankle (0.02 m of 1.36 m), judged."""

PERSPECTIVE = {View.DOWN_THE_LINE: 0.005, View.FACE_ON: 0.02}
"""Spread from the parts of the chain being nearer and farther than each other: depth ÷ distance."""


def measure_scale(
    body: BodyTrack, moments: Moments, view: View, stature_m: Uncertain = ASSUMED_STATURE_M
) -> Scale | Refusal:
    """Stature in pixels in the plane of the golfer at address, with its ±.

    Range: above 0. Degenerate: an ankle, knee, hip or shoulder that is unseen on both sides.
    The ± holds the spread of body proportions, of the crouch, of landmark places, and jitter.
    """
    stand = _stand(moments)
    if stand is None:
        return Refusal("scale", MomentName.ADDRESS, measure_lacking(moments, MomentName.ADDRESS))
    pose = measure_pose(body, BODY_LANDMARKS, stand.time_s)
    seen = _chain_px(pose)
    if not math.isfinite(seen):
        return Refusal(
            "scale",
            MomentName.ADDRESS,
            "Your size in the picture cannot be read: an ankle, knee, hip or shoulder is not seen "
            "while you stand over the ball.",
        )
    share, share_sd = _chain_share(view)
    stature_px = seen / share
    jitter = _typical_px(body.sd_px) / seen
    spread = math.hypot(share_sd / share, CHAIN_OFFSET, PERSPECTIVE[view], jitter)
    return Scale(Uncertain(stature_px, stature_px * spread), stature_m)


def _stand(moments: Moments) -> Moment | None:
    return moments.get(MomentName.ADDRESS) or moments.get(MomentName.START)


def _chain_px(pose: Pose) -> float:
    shank = _either_side(pose, "ankle", "knee")
    thigh = _either_side(pose, "knee", "hip")
    trunk = _seen_middle(pose, "shoulder") - _seen_middle(pose, "hip")
    return shank + thigh + float(np.hypot(*trunk))


def _typical_px(sd_px: Floats) -> float:
    known = sd_px[np.isfinite(sd_px)]
    return float(np.median(known)) if len(known) else 0.0


def _seen_middle(pose: Pose, part: str) -> Floats:
    sides = np.stack([pose.point(f"{side}_{part}") for side in ("lead", "trail")])
    seen = sides[np.isfinite(sides).all(axis=-1)]
    return seen.mean(axis=0) if len(seen) else np.full(2, np.nan)


def _either_side(pose: Pose, low: str, high: str) -> float:
    sides = [
        float(np.hypot(*(pose.point(f"{side}_{high}") - pose.point(f"{side}_{low}"))))
        for side in ("lead", "trail")
    ]
    seen = [length for length in sides if math.isfinite(length)]
    return sum(seen) / len(seen) if seen else math.nan


def _chain_share(view: View) -> tuple[float, float]:
    heights = {part: height for part, (height, _) in ANSUR_HEIGHTS.items()}
    parts = {
        "shank": heights["knee"] - heights["ankle"],
        "thigh": heights["hip"] - heights["knee"],
        "trunk": heights["shoulder"] - heights["hip"],
    }
    share, variance = 0.0, 0.0
    for part, length in parts.items():
        lean, lean_sd = (math.radians(angle) for angle in TILT_DEG[view][part])
        share += length * math.cos(lean)
        variance += (length * math.sin(lean) * lean_sd) ** 2
    ends = (ANSUR_HEIGHTS["shoulder"], ANSUR_HEIGHTS["ankle"])
    build = math.hypot(*(height * spread for height, spread in ends))
    return share, math.hypot(math.sqrt(variance), build)
