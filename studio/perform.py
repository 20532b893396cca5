"""A body performs a swing: plan, pose at key frames, interpolate, and write down what is true."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from threadpoolctl import threadpool_limits

from studio.body import Build, make_body
from studio.clubs import Club, head_in_club
from studio.curves import RATE_HZ
from studio.figures import true_club, true_measures, true_turns
from studio.goals import make_goals
from studio.hands import finger_curls, hold_of
from studio.instants import find_moments, motion_of
from studio.performance import Floats, Performance
from studio.plan import Plan, make_plan
from studio.pose import Goals, solve_in_turn, solve_pose
from studio.rotation import turn_matrix
from studio.setup import HAND_APART_M, HANDS_FROM_BUTT_M, Setup, make_setup
from studio.skeleton import SIDES, Skeleton
from studio.swing import Swing, fitted_to

SAMPLE_HZ = 240.0
KEY_STEPS_S = (
    ("address", 0.0, 0.07), ("start", 0.0, 0.02), ("top", 0.0, 0.036), ("impact", 0.0, 0.0105),
    ("arm_level_through", 0.0, 0.010), ("arm_level_through", 0.2, 0.015), ("finish", 0.1, 0.035),
)  # fmt: skip
"""Key frames up to a time after each station, no farther apart than the last number."""
HELD_STEP_S = 0.045
REHEARSED_STEP_S = 0.016
ROUGH_EVERY = 3
LOOSE_M = 0.0015
"""A frame whose hands are farther from the grip becomes a key frame."""
REFINEMENTS, REFINING_STEPS = 2, 6

_JOINTS = {
    "shoulder": "upperarm01", "elbow": "lowerarm01", "wrist": "wrist", "knuckle": "finger2-1",
    "hip": "upperleg01", "knee": "lowerleg01", "ankle": "foot",
}  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A posed swing, before it is written down."""

    skeleton: Skeleton
    setup: Setup
    plan: Plan
    time_s: Floats
    settings: Floats
    """(n, D) at `time_s`, `SAMPLE_HZ` apart."""
    frames: NDArray[np.int64]
    """(n,) places of `time_s` in the plan."""


def perform(build: Build, swing: Swing, club: Club, seed: int = 0) -> Performance:
    """One swing of one body. The same arguments give the same performance."""
    skeleton = Skeleton(make_body(build))
    swing = fitted_to(swing, club)
    setup = make_setup(skeleton, swing, club)
    plan = make_plan(setup, swing, club, seed)
    frames = np.arange(0, len(plan.time_s), int(RATE_HZ / SAMPLE_HZ))
    with threadpool_limits(1):
        every = _settings(skeleton, setup, plan, swing, frames)
    solved = Solved(skeleton, setup, plan, plan.time_s[frames], every, frames)
    return write_down(solved, swing, club, seed)


def _settings(
    skeleton: Skeleton, setup: Setup, plan: Plan, swing: Swing, frames: NDArray[np.int64]
) -> Floats:
    """(n, D) at those frames: keys posed, the rest interpolated, or posed where that fails."""
    keys = key_frames(plan.time_s, swing)
    goals = make_goals(skeleton, setup, plan, swing, keys)
    settings = solve_keys(skeleton, goals)
    for _ in range(REFINEMENTS):
        curve = CubicSpline(plan.time_s[keys], settings)
        loose = frames[_off_grip(skeleton, plan, frames, curve(plan.time_s[frames])) > LOOSE_M]
        more = np.setdiff1d(loose, keys)
        if len(more) == 0:
            break
        keys = np.union1d(keys, more)
        goals = make_goals(skeleton, setup, plan, swing, keys)
        settings = solve_pose(skeleton, goals, curve(plan.time_s[keys]), REFINING_STEPS)
    return CubicSpline(plan.time_s[keys], settings)(plan.time_s[frames])


def _off_grip(
    skeleton: Skeleton, plan: Plan, frames: NDArray[np.int64], settings: Floats
) -> Floats:
    """(n,) how far the worse of the hands is from its place on the grip, metres."""
    world, places = skeleton.pose(settings)
    shaft = plan.club[frames][:, :, 0]
    worst = np.zeros(len(frames))
    for side, letter in SIDES:
        bone = skeleton.slot[f"wrist.{letter}"]
        point = hold_of(skeleton.body, side).point - skeleton.heads[bone]
        held = places[:, bone] + world[:, bone] @ point
        place = plan.hands[frames] + (HAND_APART_M if side == "trail" else -HAND_APART_M) * shaft
        worst = np.maximum(worst, np.linalg.norm(held - place, axis=1))
    return worst


def solve_keys(skeleton: Skeleton, goals: Goals) -> Floats:
    """Settings at the key frames: a rough pass frame after frame, then all of them together."""
    count = len(goals.wish)
    rough_at = np.unique(np.append(np.arange(0, count, ROUGH_EVERY), count - 1))
    rough = solve_in_turn(skeleton, goals.some(rough_at), np.zeros(len(skeleton.names)))
    return solve_pose(skeleton, goals, CubicSpline(rough_at, rough)(np.arange(count)))


def key_frames(time_s: Floats, swing: Swing) -> NDArray[np.int64]:
    """Places in an even grid of times: dense where the swing is fast."""
    times, now = swing.times(), time_s[0]
    keys = []
    for name, later, step in KEY_STEPS_S:
        until = min(times[name] + later, time_s[-1])
        count = max(int(np.ceil((until - now) / step)), 1)
        keys.append(now + (until - now) * np.arange(count) / count)
        now = until
    keys.append(np.append(np.arange(now, time_s[-1], HELD_STEP_S), time_s[-1]))
    keys += [np.arange(a, b + 0.25, REHEARSED_STEP_S) for a, b in swing.rehearsals_s]
    places = np.searchsorted(time_s, np.concatenate(keys) - 1e-9)
    return np.unique(places.clip(0, len(time_s) - 1))


def write_down(solved: Solved, swing: Swing, club: Club, seed: int = 0) -> Performance:
    """The performance with its truth, from settings alone."""
    skeleton, body = solved.skeleton, solved.skeleton.body
    transforms = skeleton.bone_transforms(solved.settings, finger_curls(body))
    joints = joint_centres(skeleton, transforms)
    tracks = club_tracks(solved, club)
    motion = motion_of(solved.time_s, joints, tracks, solved.setup.ball, club.head_size_m[2] / 2)
    begins = max((last for _, last in swing.rehearsals_s), default=-np.inf)
    moments = find_moments(motion.within(begins, np.inf))
    address = int(np.searchsorted(solved.time_s, moments.get("address", 0.0)))
    shaft = true_club(tracks["butt"], tracks["hosel"], joints)
    return Performance(
        body=body,
        time_s=solved.time_s,
        bone_transforms=transforms.astype(np.float32),
        joints=joints,
        ball=solved.setup.ball,
        club=asdict(club),
        moments=moments,
        turns=true_turns(joints, address),
        measures=true_measures(joints, address, body.stature_m) | shaft,
        rehearsal=swing.rehearsal,
        rehearsals=tuple(find_moments(motion.within(*span)) for span in swing.rehearsals_s),
        residuals=residuals(solved, transforms, tracks),
        faults=swing.faults,
        seed=seed,
        **tracks,
    )


def club_tracks(solved: Solved, club: Club) -> dict[str, Floats]:
    """The club's points and face, (n, 3) each."""
    frames = solved.plan.club[solved.frames]
    frames = turn_matrix(frames[:, :, 0] * solved.settings[:, -1:]) @ frames
    hands = solved.plan.hands[solved.frames]
    butt = hands - HANDS_FROM_BUTT_M * frames[:, :, 0]
    return {
        "butt": butt,
        "hands": hands,
        "head": butt + frames @ head_in_club(club),
        "hosel": butt + club.length_m * frames[:, :, 0],
        "face_normal": frames[:, :, 1],
    }


def residuals(solved: Solved, transforms: Floats, tracks: dict[str, Floats]) -> dict[str, float]:
    """Worst distances of hands from the grip, and of feet from their places, millimetres."""
    body = solved.skeleton.body
    shaft = (tracks["hosel"] - tracks["butt"]) / np.linalg.norm(
        tracks["hosel"] - tracks["butt"], axis=1, keepdims=True
    )
    worst = {}
    for side, letter in SIDES:
        bone = body.bones.index(f"wrist.{letter}")
        held = _carried(transforms, bone, hold_of(body, side).point)
        place = tracks["hands"] + (HAND_APART_M if side == "trail" else -HAND_APART_M) * shaft
        worst[f"{side}_grip_mm"] = float(1000 * np.linalg.norm(held - place, axis=1).max())
        mark = body.marks[f"{side}_inner_ball"]
        foot = _carried(transforms, body.bones.index(f"foot.{letter}"), body.vertices[mark])
        slide = np.linalg.norm(foot[:, :2] - foot[0, :2], axis=1)
        worst[f"{side}_foot_slide_mm"] = float(1000 * slide.max())
    return worst


def joint_centres(skeleton: Skeleton, transforms: Floats) -> dict[str, Floats]:
    """(n, 3) of every landmark of a body track."""
    body = skeleton.body
    joints = {}
    for side, letter in SIDES:
        for name, bone in _JOINTS.items():
            i = body.bones.index(f"{bone}.{letter}")
            joints[f"{side}_{name}"] = _carried(transforms, i, body.bone_heads[i])
    for mark, vertex in body.marks.items():
        if "ball" not in mark:
            weights, bones = body.skin_weights[vertex], body.skin_bones[vertex]
            carried = [_carried(transforms, int(b), body.vertices[vertex]) for b in bones]
            joints[mark] = np.einsum("b,bnc->nc", weights, np.stack(carried))
    return joints


def _carried(transforms: Floats, bone: int, point: Floats) -> Floats:
    moved = transforms[:, bone]
    return moved[..., :3] @ point + moved[..., 3]
