"""Targets for posing, made from a plan at chosen times."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from studio.hands import hold_of
from studio.performance import Floats
from studio.plan import Plan
from studio.pose import Goals, PlaneGoal, PointGoal, TurnGoal
from studio.rotation import lean_and_turn, turn_matrix, unit
from studio.setup import HAND_APART_M, Setup
from studio.skeleton import SIDES, Skeleton
from studio.swing import Swing

_LIMITS_DEG: tuple[tuple[str, float, float], ...] = (
    ("elbow", -40.0, 110.0),
    ("knee", -8.0, 110.0),
    ("forearm_twist", -95.0, 95.0),
    ("upper_arm_twist", -45.0, 45.0),
    ("wrist_flexion", -60.0, 60.0),
    ("wrist_deviation", -50.0, 50.0),
    ("thigh_twist", -25.0, 25.0),
    ("shank_twist", -15.0, 15.0),
    ("toes", -60.0, 20.0),
    ("clavicle_x", -25.0, 25.0),
    ("clavicle_y", -25.0, 25.0),
    ("clavicle_z", -25.0, 25.0),
    ("ankle_x", -30.0, 30.0),
    ("ankle_y", -35.0, 55.0),
    ("ankle_z", -20.0, 20.0),
)
"""Joint limits from the rest pose, whose elbows and knees are part bent (set by eye)."""

_EASE_DEG: tuple[tuple[str, float], ...] = (
    ("pelvis", 400.0),
    ("spine_low", 30.0),
    ("spine_high", 30.0),
    ("neck", 60.0),
    ("clavicle", 10.0),
    ("shoulder", 120.0),
    ("hip", 90.0),
    ("ankle", 40.0),
    ("elbow", 120.0),
    ("forearm_twist", 60.0),
    ("wrist", 30.0),
    ("twist", 15.0),
    ("knee", 120.0),
    ("toes", 20.0),
)
"""How far from rest (one SD) a setting may lie without cost; the first name found counts."""


def make_goals(
    skeleton: Skeleton, setup: Setup, plan: Plan, swing: Swing, frames: NDArray[np.int64]
) -> Goals:
    """Everything asked of the body at those frames of the plan."""
    rows = {name: row[frames] for name, row in plan.rows.items()}
    points = [
        _middle_goal(skeleton, "root", ("upperleg01.L", "upperleg01.R"), plan.hips[frames], 0.006),
        _middle_goal(
            skeleton, "spine01", ("upperarm01.L", "upperarm01.R"), plan.hub[frames], 0.012
        ),
    ]
    turns = [
        TurnGoal("root", plan.pelvis[frames], np.radians([2.0, 2.0, 2.0])),
        TurnGoal("spine01", plan.chest[frames], np.radians([6.0, 6.0, 3.0])),
        TurnGoal("head", _head(rows), np.radians([5.0, 5.0, 5.0])),
    ]
    planes = []
    for side, _ in SIDES:
        hand_point, hand_turn = _hand_goals(skeleton, plan, swing, frames, side)
        foot_points, foot_turn = _foot_goals(skeleton, setup, swing, rows, side)
        points += [hand_point, *foot_points]
        turns += [hand_turn, foot_turn]
        elbow_plane, elbow_point = _elbow_goals(skeleton, setup, plan, rows, frames, side)
        planes += [_knee_goal(skeleton, setup, plan, rows, frames, side), elbow_plane]
        points.append(elbow_point)
    wish, wish_sd = _wishes(skeleton, rows, len(frames))
    low, high = _limits(skeleton)
    return Goals(tuple(points), tuple(planes), tuple(turns), wish, wish_sd, low, high)


def _middle_goal(
    skeleton: Skeleton, bone: str, between: tuple[str, str], place: Floats, sd_m: float
) -> PointGoal:
    middle = (skeleton.at(between[0]) + skeleton.at(between[1])) / 2
    return PointGoal(bone, middle, place, np.full(len(place), sd_m))


def _head(rows: dict[str, Floats]) -> Floats:
    """Looking down by the pitch, turned with positive away from the target, tilted."""
    count = len(rows["head_turn"])
    zero = np.zeros(count)
    turn = turn_matrix(np.stack([zero, zero, -np.radians(rows["head_turn"])], axis=1))
    pitch = turn_matrix(np.stack([zero, np.radians(rows["head_pitch"]), zero], axis=1))
    tilt = lean_and_turn(zero, rows["head_tilt"], zero)
    return tilt @ turn @ pitch


def _hand_goals(
    skeleton: Skeleton, plan: Plan, swing: Swing, frames: NDArray[np.int64], side: str
) -> tuple[PointGoal, TurnGoal]:
    """The hand on its place of the grip, turned as it grips; loosely about the shaft."""
    hold = hold_of(skeleton.body, side)
    bone = f"wrist.{dict(SIDES)[side]}"
    club = plan.club[frames]
    shaft = club[:, :, 0]
    sense = 1.0 if side == "lead" else -1.0
    place = plan.hands[frames] - sense * HAND_APART_M * shaft
    strength = np.radians(swing.grip_strength_deg[0 if side == "lead" else 1])
    back = sense * np.cos(strength) * club[:, :, 1] + np.sin(strength) * club[:, :, 2]
    frame = np.stack([shaft, back, np.cross(shaft, back)], axis=2)
    point = PointGoal(bone, hold.point, place, np.full(len(frames), 0.0008))
    sd = np.radians([10.0, 5.0, 5.0] if side == "lead" else [14.0, 7.0, 7.0])
    return point, TurnGoal(bone, frame @ hold.frame.T, sd, hold.frame, shaft)


def _foot_goals(
    skeleton: Skeleton, setup: Setup, swing: Swing, rows: dict[str, Floats], side: str
) -> tuple[list[PointGoal], TurnGoal]:
    letter = dict(SIDES)[side]
    marks, vertices = skeleton.body.marks, skeleton.body.vertices
    heel, inner, outer = (
        vertices[marks[f"{side}_{name}"]] for name in ("heel", "inner_ball", "outer_ball")
    )
    rest = (inner + outer) / 2 - heel
    flare = swing.flare_deg[0] if side == "lead" else -swing.flare_deg[1]
    yaw = np.radians(flare) - np.arctan2(rest[1], rest[0])
    ankle = setup.ankles[0 if side == "lead" else 1]
    standing = turn_matrix(np.array([0.0, 0.0, yaw]))
    pivot_rest = inner if side == "trail" else (inner + outer) / 2
    pivot = ankle + standing @ (pivot_rest - skeleton.at(f"foot.{letter}"))
    rotation = _foot_turn(rows, side, np.radians(flare)) @ standing
    count = len(rotation)
    goals = []
    for mark, sd in ((heel, 0.002), (inner, 0.0015), (outer, 0.003)):
        place = pivot + (rotation @ (mark - pivot_rest)[:, None])[..., 0]
        goals.append(PointGoal(f"foot.{letter}", mark, place, np.full(count, sd)))
    return goals, TurnGoal(f"foot.{letter}", rotation, np.radians([3.0, 3.0, 3.0]))


def _foot_turn(rows: dict[str, Floats], side: str, flare: float) -> Floats:
    """(n, 3, 3) the foot's rotation since address: heel up, turned, rolled to its outer edge."""
    count = len(rows["trail_heel"])
    along = np.array([np.cos(flare), np.sin(flare), 0.0])
    across = np.array([-np.sin(flare), np.cos(flare), 0.0])
    lift = turn_matrix(across * np.radians(rows[f"{side}_heel"])[:, None])
    if side == "lead":
        return turn_matrix(along * -np.radians(rows["lead_foot_roll"])[:, None]) @ lift
    up = np.tile([0.0, 0.0, 1.0], (count, 1))
    return turn_matrix(up * np.radians(rows["trail_foot_turn"])[:, None]) @ lift


def _knee_goal(
    skeleton: Skeleton,
    setup: Setup,
    plan: Plan,
    rows: dict[str, Floats],
    frames: NDArray[np.int64],
    side: str,
) -> PlaneGoal:
    """The knee points between the foot and the pelvis, and inward by `knee_in`."""
    letter = dict(SIDES)[side]
    middle = (skeleton.at("upperleg01.L") + skeleton.at("upperleg01.R")) / 2
    hip = plan.hips[frames] + plan.pelvis[frames] @ (skeleton.at(f"upperleg01.{letter}") - middle)
    lead = side == "lead"
    leg = hip - setup.ankles[0 if lead else 1]
    inward = rows[f"{side}_knee_in"]
    yaw = np.radians((10.0 - inward if lead else inward - 8.0) - 0.2 * rows["pelvis_turn"])
    toward = np.stack([np.cos(yaw), np.sin(yaw), 0 * yaw], axis=1)
    normal = unit(np.cross(leg, toward))
    return PlaneGoal(f"lowerleg01.{letter}", f"upperleg01.{letter}", normal, 0.015)


def _elbow_goals(
    skeleton: Skeleton,
    setup: Setup,
    plan: Plan,
    rows: dict[str, Floats],
    frames: NDArray[np.int64],
    side: str,
) -> tuple[PlaneGoal, PointGoal]:
    """The elbow hangs below the line from shoulder to hand, and out by `elbow_out`.

    The plane says so; the loose point keeps the elbow from the plane's other half, above the line.
    """
    letter = dict(SIDES)[side]
    sense = 1.0 if side == "lead" else -1.0
    aside = plan.chest[frames][:, :, 1]
    shoulder = plan.hub[frames] + sense * setup.sizes.shoulder_width / 2 * aside
    down = sense * rows[f"{side}_elbow_out"][:, None] * aside - [0.0, 0.0, 1.0]
    arm = plan.hands[frames] - shoulder
    length = np.linalg.norm(arm, axis=1, keepdims=True)
    wrist = shoulder + arm * (1 - setup.sizes.hand / length)
    place = _bent_joint(shoulder, wrist, down, setup.sizes.upper_arm)
    bone, near = f"lowerarm01.{letter}", f"upperarm01.{letter}"
    return (
        PlaneGoal(bone, near, unit(np.cross(arm, down)), 0.02),
        PointGoal(bone, skeleton.at(bone), place, np.full(len(place), 0.10)),
    )


def _bent_joint(near: Floats, far: Floats, toward: Floats, bone: float) -> Floats:
    """(n, 3): where a joint between two equal bones lies when it bends that way."""
    line = far - near
    length = np.linalg.norm(line, axis=1, keepdims=True)
    toward = toward - np.sum(toward * line, axis=1, keepdims=True) * line / length**2
    out = np.sqrt(np.maximum(bone**2 - length**2 / 4, 1e-4))
    return near + line / 2 + unit(toward) * out


def _wishes(skeleton: Skeleton, rows: dict[str, Floats], count: int) -> tuple[Floats, Floats]:
    wish = np.zeros((count, len(skeleton.names)))
    sd = np.full((count, len(skeleton.names)), 10.0)
    for i, name in enumerate(skeleton.names):
        found = next((ease for part, ease in _EASE_DEG if part in name), None)
        if found is not None and "travel" not in name:
            sd[:, i] = np.radians(found)
    wish[:, skeleton.index["trail_toes"]] = -np.radians(np.minimum(rows["trail_heel"], 55.0))
    wish[:, skeleton.index["club_roll"]] = np.radians(rows["club_roll"])
    sd[:, skeleton.index["club_roll"]] = np.radians(8.0)
    return wish, sd


def _limits(skeleton: Skeleton) -> tuple[Floats, Floats]:
    low = np.full(len(skeleton.names), -20.0)
    high = np.full(len(skeleton.names), 20.0)
    for part, least, most in _LIMITS_DEG:
        for side, _ in SIDES:
            column = skeleton.index[f"{side}_{part}"]
            low[column], high[column] = np.radians(least), np.radians(most)
    return low, high
