"""True measures of a performance over time, by the definitions of the measures' catalogue.

All are computed from joint centres and club alone, not from the parameters that drove them. Lines
and travels are seen straight along the axes: face-on along x, down the line along y.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from studio.performance import Floats
from studio.rotation import turn_matrix, unit

Joints = Mapping[str, Floats]


def true_turns(joints: Joints, address: int) -> dict[str, Floats]:
    """Turns by each definition, (n,) degrees.

    Zero at the sample `address`, positive away from the target.
    """
    level = turn_from_above(shoulder_line(joints))
    pelvis = turn_from_above(hip_line(joints))
    about_trunk = turn_about(shoulder_line(joints), trunk_line(joints))
    turns = {
        "shoulder_turn": about_trunk,
        "shoulder_turn_level": level,
        "pelvis_turn": pelvis,
        "separation": level - pelvis,
    }
    return {name: turn - turn[address] for name, turn in turns.items()}


def shoulder_line(joints: Joints) -> Floats:
    """(n, 3) from the trail to the lead shoulder."""
    return joints["lead_shoulder"] - joints["trail_shoulder"]


def hip_line(joints: Joints) -> Floats:
    """(n, 3) from the trail to the lead hip."""
    return joints["lead_hip"] - joints["trail_hip"]


def trunk_line(joints: Joints) -> Floats:
    """(n, 3) from the middle of the hips to that of the shoulders."""
    return middle(joints, "shoulder") - middle(joints, "hip")


def middle(joints: Joints, part: str) -> Floats:
    """(n, 3) half-way between the lead and the trail joint."""
    return (joints[f"lead_{part}"] + joints[f"trail_{part}"]) / 2


def turn_from_above(line: Floats) -> Floats:
    """Degrees from the target's direction in the horizontal plane, (n,), unwrapped.

    Positive toward the ball: a lead side going back. Degenerate: an upright line.
    """
    return np.degrees(np.unwrap(np.arctan2(line[:, 0], line[:, 1])))


def turn_about(line: Floats, axis: Floats) -> Floats:
    """Degrees by which `line` turned about `axis`, both (n, 3) and moving; unwrapped.

    From the target's direction, tilted as the axis is; positive away from the target.
    """
    axis = unit(axis)
    hinge = np.cross([0.0, 0.0, 1.0], axis)
    sine = np.linalg.norm(hinge, axis=1, keepdims=True)
    angle = np.arctan2(sine, axis[:, 2:])
    stand = turn_matrix(-hinge / np.maximum(sine, 1e-12) * angle)
    return turn_from_above((stand @ line[..., None])[..., 0])


def true_measures(joints: Joints, address: int, stature_m: float) -> dict[str, Floats]:
    """Posture, arms, hands and travels, (n,) each: degrees, centimetres, per cent of stature."""
    angles = {
        "trunk_forward_bend": _lean(trunk_line(joints), 0),
        "trunk_side_bend": -_lean(trunk_line(joints), 1),
        "lead_arm_angle": _hanging(joints["lead_wrist"] - joints["lead_shoulder"]),
        "lead_knee_flexion": _bend(joints, "lead", ("hip", "knee", "ankle")),
        "trail_knee_flexion": _bend(joints, "trail", ("hip", "knee", "ankle")),
        "lead_elbow_angle": 180.0 - _bend(joints, "lead", ("shoulder", "elbow", "wrist")),
        "trail_elbow_angle": 180.0 - _bend(joints, "trail", ("shoulder", "elbow", "wrist")),
    }
    angles["posture_change"] = angles["trunk_forward_bend"] - angles["trunk_forward_bend"][address]
    lengths = _lengths_cm(joints, address)
    shares = {f"{name}_percent": value / stature_m for name, value in lengths.items()}
    return angles | lengths | shares


def _lengths_cm(joints: Joints, address: int) -> dict[str, Floats]:
    hands = middle(joints, "wrist") - middle(joints, "shoulder")
    ankles = joints["lead_ankle"] - joints["trail_ankle"]
    lengths = {
        "stance_width": 100 * ankles[:, 1],
        "hands_height": 100 * hands[:, 2],
        "hands_depth": -100 * hands[:, 0],
    }
    for name, path in (
        ("head", middle(joints, "ear")),
        ("pelvis", middle(joints, "hip")),
        ("lead_knee", joints["lead_knee"]),
    ):
        travel = 100 * (path - path[address])
        lengths[f"{name}_toward_ball"] = travel[:, 0]
        lengths[f"{name}_toward_target"] = travel[:, 1]
        lengths[f"{name}_rise"] = travel[:, 2]
    return lengths


def true_club(butt: Floats, hosel: Floats, joints: Joints) -> dict[str, Floats]:
    """Directions of the shaft, (n,) degrees.

    `shaft_elevation`: of the head's end above the level. `shaft_heading`: from above, of the
    shaft from grip to head, 0 at the target, positive to the right of it. `shaft_face_on`: in the
    face-on picture, 0 hanging down, positive away from the target. `shaft_down_the_line`: in the
    other picture, above the level, 90 upright; more is past upright, toward the golfer's back.
    `lag`: lead forearm to shaft, 180 in line.
    """
    shaft = unit(hosel - butt)
    forearm = unit(joints["lead_elbow"] - joints["lead_wrist"])
    return {
        "shaft_elevation": np.degrees(np.arcsin(np.clip(shaft[:, 2], -1, 1))),
        "shaft_heading": np.degrees(np.arctan2(shaft[:, 0], shaft[:, 1])),
        "shaft_face_on": _hanging(shaft),
        "shaft_down_the_line": np.degrees(np.arctan2(shaft[:, 2], shaft[:, 0])),
        "lag": angle_between(forearm, shaft),
    }


def _lean(line: Floats, axis: int) -> Floats:
    """Degrees from the upright toward +axis, in the plane of that axis and the vertical."""
    return np.degrees(np.arctan2(line[:, axis], line[:, 2]))


def _hanging(line: Floats) -> Floats:
    """Face-on direction in degrees, 0 straight down, positive away from the target; unwrapped."""
    return np.degrees(np.unwrap(np.arctan2(-line[:, 1], -line[:, 2])))


def angle_between(one: Floats, other: Floats) -> Floats:
    """Degrees between two directions (n, 3), 0 to 180."""
    sine = np.linalg.norm(np.cross(one, other), axis=-1)
    return np.degrees(np.arctan2(sine, np.sum(one * other, axis=-1)))


def _bend(joints: Joints, side: str, parts: tuple[str, str, str]) -> Floats:
    """Degrees by which a joint is bent in space: 0 straight."""
    near, joint, far = (joints[f"{side}_{part}"] for part in parts)
    return angle_between(joint - near, far - joint)
