"""How many pixels the golfer's standing height takes, from the long limbs at address.

The chain ankle-knee-hip-shoulder is three quarters of stature and varies little between people
once it is divided by stature; breadths and the head vary two to five times more, so they are not
used. The ear is left out too: its distance from the shoulder changes with how the head is carried.
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
    "upper_arm": (0.191, 0.033),  # acromion-radiale; from the joint 0.020 less
    "forearm": (0.1505, 0.046),  # radiale-stylion
    "thigh": (0.516 - 0.283, 0.06),  # from the heights; spread judged
    "shank": (0.283 - 0.0405, 0.04),  # from the heights; spread judged
}
"""Length of each limb as a share of stature, and the spread of that share. ANSUR II."""

SHOULDER_BELOW_ACROMION = (0.020, 0.006)
"""How far the shoulder joint lies below the acromion, and the spread, as shares of stature. A tenth
of the upper arm, from memory; 0.021 ± 0.005 in 14 parametric bodies of the studio."""

CHAIN_AT_ADDRESS = (0.975, 0.020)
"""What is left of the chain at address as the engine sees it: the back is rounded, the shoulders
come forward, and the engine's ankle lies above the joint. Judged, from two rendered golfers."""

TILT_DEG = {
    View.DOWN_THE_LINE: {"shank": (0.0, 5.0), "thigh": (0.0, 8.0), "trunk": (0.0, 6.0)},
    View.FACE_ON: {"shank": (8.0, 5.0), "thigh": (18.0, 7.0), "trunk": (20.0, 8.0)},
}
"""Lean of each part out of the picture's plane at address, mean and spread. Down the line the bend
lies in the picture; face-on it comes toward the camera. Judged: from the joints of hip to those of
shoulder a golfer leans less than the back does."""

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
    spread = math.hypot(share_sd / share, CHAIN_AT_ADDRESS[1], PERSPECTIVE[view])
    return Scale(Uncertain(stature_px, stature_px * spread), stature_m)


def _stand(moments: Moments) -> Moment | None:
    return moments.get(MomentName.ADDRESS) or moments.get(MomentName.START)


def _chain_px(pose: Pose) -> float:
    shank = _either_side(pose, "ankle", "knee")
    thigh = _either_side(pose, "knee", "hip")
    trunk = _seen_middle(pose, "shoulder") - _seen_middle(pose, "hip")
    return shank + thigh + float(np.hypot(*trunk))


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
    """The chain that the view shows at address, as a share of stature, and its spread."""
    share, variance = 0.0, 0.0
    for part, length in _straight().items():
        lean, lean_sd = (math.radians(angle) for angle in TILT_DEG[view][part])
        share += length * math.cos(lean)
        variance += (length * math.sin(lean) * lean_sd) ** 2
    build = (ANSUR_HEIGHTS["shoulder"], ANSUR_HEIGHTS["ankle"])
    variance += sum((height * spread) ** 2 for height, spread in build)
    variance += SHOULDER_BELOW_ACROMION[1] ** 2
    return share * CHAIN_AT_ADDRESS[0], math.sqrt(variance)


def _straight() -> dict[str, float]:
    heights = {part: height for part, (height, _) in ANSUR_HEIGHTS.items()}
    return {
        "shank": heights["knee"] - heights["ankle"],
        "thigh": heights["hip"] - heights["knee"],
        "trunk": heights["shoulder"] - SHOULDER_BELOW_ACROMION[0] - heights["hip"],
    }
