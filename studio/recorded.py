"""A swing from a motion file: its postures as curves of this studio, to be given to any body.

A file of joints says nothing of the club: the curves of the club stay the swing's own. Time scales
of motion files are not trusted: a recorded swing is played at the stations' times.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.ndimage import gaussian_filter1d

from studio.curves import STATIONS
from studio.motionfile import END, Motion, load_motion
from studio.performance import Floats
from studio.rotation import lean_and_turn, turn_matrix, unit
from studio.swing import NOMINAL, Swing

NAMES: Mapping[str, str] = {
    "hips": "Hips", "chest": "Spine3", "head": "Head",
    "lead_shoulder": "LeftArm", "trail_shoulder": "RightArm",
    "lead_elbow": "LeftForeArm", "trail_elbow": "RightForeArm",
    "lead_wrist": "LeftHand", "trail_wrist": "RightHand",
    "lead_knuckle": "LeftHandMiddle1", "trail_knuckle": "RightHandMiddle1",
    "lead_hip": "LeftUpLeg", "trail_hip": "RightUpLeg",
    "lead_knee": "LeftLeg", "trail_knee": "RightLeg",
    "lead_ankle": "LeftFoot", "trail_ankle": "RightFoot",
}  # fmt: skip
"""This studio's joints as a right-handed golfer's file names them."""

STUDIO_FROM_FILE = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
"""Files have y up, z forward, x to the left."""
PALM_M, ALONG = 0.025, 0.95
"""Where the grip lies in a hand: out of the palm, and of the way from wrist to knuckle."""
STILL_FRAMES = 10
SOFT_FRAMES = 1.5
_BETWEEN: Mapping[str, tuple[str, str, float]] = {
    "shaft_level_back": ("start", "arm_level_back", 0.66),
    "shaft_level_down": ("arm_level_down", "impact", 0.61),
    "shaft_level_through": ("impact", "arm_level_through", 0.45),
}
"""Stations that only the club shows: where they usually lie between two others."""


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """Curves of a recorded swing. F frames."""

    frames: Floats
    """(F,) their numbers."""
    stations: Floats
    """(11,) frame numbers of the stations."""
    rows: Mapping[str, Floats]
    """Curve name to (F,)."""

    def at(self, times: Mapping[str, float], time_s: Floats) -> dict[str, Floats]:
        """The curves at real times, when the stations come at `times`; still before and after."""
        knots = np.array([times[name] for name in STATIONS])
        at = PchipInterpolator(knots, self.stations)(time_s.clip(knots[0], knots[-1]))
        return {name: np.interp(at, self.frames, row) for name, row in self.rows.items()}


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """A motion in the studio's frame, metres: joints (F, 3) and bones' rotations (F, 3, 3)."""

    joints: Mapping[str, Floats]
    turns: Mapping[str, Floats]
    rest: Mapping[str, Floats]
    """(3,) joints at rest."""
    stature: float


def load_swing(path: Path, names: Mapping[str, str] = NAMES) -> Recorded:
    """The curves of a swing in a BVH file (centimetres, y up)."""
    return record(load_motion(path), names)


def record(motion: Motion, names: Mapping[str, str] = NAMES) -> Recorded:
    """The curves of a swing in a motion."""
    seen = _see(motion, names)
    stations = _stations(seen)
    rows = _trunk_rows(seen, stations) | _leg_rows(seen, stations)
    rows |= _arm_rows(seen, stations, rows)
    rows = {name: gaussian_filter1d(row, SOFT_FRAMES, mode="nearest") for name, row in rows.items()}
    return Recorded(np.arange(len(motion.values), dtype=np.float64), stations, rows)


def with_recorded(swing: Swing, recorded: Recorded, share: float = 1.0) -> Swing:
    """The swing with postures of a recorded one: all of them (1), or half-way to it (0.5) ..."""
    times = dict(zip(STATIONS, recorded.stations, strict=True))
    rows = dict(swing.rows)
    for name, curve in recorded.rows.items():
        at = np.interp([times[station] for station in STATIONS], recorded.frames, curve)
        rows[name] = tuple((share * at + (1 - share) * np.array(rows[name])).tolist())
    return replace(swing, rows=rows, recorded=recorded, recorded_share=share)


def _see(motion: Motion, names: Mapping[str, str]) -> _Seen:
    """In the studio's frame: feet along y at the start, mid-ankles at the origin, up to scale."""
    turns, places = motion.pose()
    index = {ours: motion.index(theirs) for ours, theirs in names.items()}
    rest = 0.01 * motion.rest() @ STUDIO_FROM_FILE.T
    places = 0.01 * places @ STUDIO_FROM_FILE.T
    ankles = [
        places[:STILL_FRAMES, index[f"{side}_ankle"]].mean(axis=0) for side in ("lead", "trail")
    ]
    feet = ankles[0] - ankles[1]
    square = turn_matrix(np.array([0.0, 0.0, np.arctan2(feet[0], feet[1])]))
    tips = [i for i, joint in enumerate(motion.joints) if joint.name.endswith(END)]
    origin = np.append(((ankles[0] + ankles[1]) / 2)[:2], places[:STILL_FRAMES, tips, 2].min())
    joints = {ours: (places[:, i] - origin) @ square.T for ours, i in index.items()}
    into = square @ STUDIO_FROM_FILE
    bones = {ours: into @ turns[:, i] @ STUDIO_FROM_FILE.T for ours, i in index.items()}
    low, high = rest[tips, 2].min(), rest[tips, 2].max()
    return _Seen(joints, bones, {k: rest[i] for k, i in index.items()}, float(high - low))


def _grip(seen: _Seen, side: str) -> Floats:
    """(F, 3) the grip inside a hand. At rest the palm faces down."""
    along = ALONG * (seen.rest[f"{side}_knuckle"] - seen.rest[f"{side}_wrist"])
    inside = along - np.array([0.0, 0.0, PALM_M])
    return seen.joints[f"{side}_wrist"] + seen.turns[f"{side}_wrist"] @ inside


def _stations(seen: _Seen) -> Floats:
    """(11,) frame numbers, from the arms' own motion."""
    hands = (_grip(seen, "lead") + _grip(seen, "trail")) / 2
    arm = unit(seen.joints["lead_wrist"] - seen.joints["lead_shoulder"])[:, 2]
    still = hands[:STILL_FRAMES].mean(axis=0)
    top = int(np.argmax(np.where(hands[:, 1] < still[1], arm, -1.0)))
    away = np.linalg.norm(hands - still, axis=1)
    start = int(np.flatnonzero(away[:top] < 0.02)[-1])
    back = start + int(np.flatnonzero(arm[start:top] > 0)[0])
    down = top + int(np.flatnonzero(arm[top:] < 0)[0])
    impact = down + int(np.flatnonzero(hands[down:, 1] > still[1] + 0.03 * seen.stature)[0])
    through = impact + int(np.flatnonzero(arm[impact:] > 0)[0])
    finish = through + int(np.argmax(hands[through:, 2] > 0.98 * hands[through:, 2].max()))
    found: dict[str, float] = {
        "address": start - 8, "start": start, "arm_level_back": back, "top": top,
        "arm_level_down": down, "impact": impact, "arm_level_through": through, "finish": finish,
    }  # fmt: skip
    for name, (first, last, share) in _BETWEEN.items():
        found[name] = found[first] + share * (found[last] - found[first])
    return np.array([float(found[name]) for name in STATIONS])


def _middle(seen: _Seen, part: str) -> Floats:
    return (seen.joints[f"lead_{part}"] + seen.joints[f"trail_{part}"]) / 2


def _leans(axis: Floats) -> tuple[Floats, Floats]:
    return (
        np.degrees(np.arctan2(axis[:, 0], axis[:, 2])),
        np.degrees(np.arctan2(axis[:, 1], axis[:, 2])),
    )


def _turn(rotation: Floats, lean_x: Floats, lean_y: Floats) -> Floats:
    """Degrees about the axis that leans so, positive away from the target."""
    spun = np.swapaxes(lean_and_turn(lean_x, lean_y, 0.0), 1, 2) @ rotation
    return -np.degrees(np.unwrap(np.arctan2(spun[:, 1, 0], spun[:, 0, 0])))


def _since(row: Floats, stations: Floats) -> Floats:
    first = int(stations[0])
    return row - row[max(first - STILL_FRAMES, 0) : first + 1].mean()


def _trunk_rows(seen: _Seen, stations: Floats) -> dict[str, Floats]:
    pelvis_x, pelvis_y = _leans(seen.turns["hips"][:, :, 2])
    lean_x, lean_y = _leans(unit(_middle(seen, "shoulder") - _middle(seen, "hip")))
    hips = _middle(seen, "hip")
    forward, side = seen.turns["head"][:, :, 0], seen.turns["head"][:, :, 1]
    rows = {
        "pelvis_lean_x": pelvis_x,
        "pelvis_lean_y": pelvis_y,
        "pelvis_turn": _turn(seen.turns["hips"], pelvis_x, pelvis_y),
        "trunk_lean_x": _since(lean_x, stations),
        "trunk_lean_y": lean_y,
        "chest_turn": _turn(seen.turns["chest"], lean_x, lean_y),
        "head_turn": -np.degrees(np.unwrap(np.arctan2(forward[:, 1], forward[:, 0]))),
        "head_pitch": np.degrees(np.arcsin(np.clip(-forward[:, 2], -1, 1))),
        "head_tilt": -np.degrees(np.arcsin(np.clip(side[:, 2], -1, 1))),
    }
    for axis, name in enumerate("xyz"):
        rows[f"pelvis_{name}"] = _since(hips[:, axis], stations) / seen.stature
    return rows


def _leg_rows(seen: _Seen, stations: Floats) -> dict[str, Floats]:
    rows = {}
    first = int(stations[0])
    for side in ("lead", "trail"):
        foot = seen.turns[f"{side}_ankle"]
        since = foot @ foot[first].T
        toes = since @ foot[first][:, 0]
        rows[f"{side}_heel"] = np.clip(np.degrees(np.arcsin(np.clip(-toes[:, 2], -1, 1))), 0, 75)
        yaw = np.degrees(np.unwrap(np.arctan2(toes[:, 1], toes[:, 0])))
        if side == "trail":
            rows["trail_foot_turn"] = _since(yaw, stations)
        leg = seen.joints[f"{side}_hip"] - seen.joints[f"{side}_ankle"]
        knee = seen.joints[f"{side}_knee"] - seen.joints[f"{side}_ankle"]
        out = knee - np.sum(knee * leg, 1, keepdims=True) / np.sum(leg**2, 1, keepdims=True) * leg
        bent = np.linalg.norm(out, axis=1) > 0.03
        points = np.degrees(np.arctan2(out[:, 1], out[:, 0]))
        points = np.interp(np.arange(len(points)), np.flatnonzero(bent), points[bent])
        rows[f"{side}_knee_in"] = 10.0 - points if side == "lead" else points + 8.0
    return rows


def _arm_rows(seen: _Seen, stations: Floats, rows: Mapping[str, Floats]) -> dict[str, Floats]:
    hub = _middle(seen, "shoulder")
    lean_x, lean_y = _leans(unit(hub - _middle(seen, "hip")))
    chest = lean_and_turn(lean_x, lean_y, rows["chest_turn"])
    into = np.swapaxes(chest, 1, 2)
    grips = {
        side: (into @ (_grip(seen, side) - hub)[..., None])[..., 0] for side in ("lead", "trail")
    }
    share = np.interp(np.arange(len(hub)), stations, np.array(NOMINAL["lead_share"]))[:, None]
    along = unit(share * grips["lead"] + (1 - share) * grips["trail"])
    lift = np.degrees(np.arctan2(np.hypot(along[:, 0], along[:, 1]), -along[:, 2]))
    across = np.degrees(np.unwrap(np.arctan2(-along[:, 1], along[:, 0])))
    out = {"hands_lift": lift, "hands_across": _since(across, stations), "lead_share": share[:, 0]}
    for side, sign in (("lead", 1.0), ("trail", -1.0)):
        half = np.linalg.norm(seen.rest["lead_shoulder"] - seen.rest["trail_shoulder"]) / 2
        forward = np.abs(np.sin(np.radians(across))) * 0.02 * seen.stature
        shoulder = np.stack([forward, np.full_like(forward, sign * half), 0 * forward], axis=1)
        upper = np.linalg.norm(seen.rest[f"{side}_elbow"] - seen.rest[f"{side}_shoulder"])
        lower = np.linalg.norm(seen.rest[f"{side}_wrist"] - seen.rest[f"{side}_elbow"])
        span = float(np.linalg.norm(seen.rest[f"{side}_knuckle"] - seen.rest[f"{side}_wrist"]))
        hand = np.linalg.norm([ALONG * span, PALM_M])
        reach = np.linalg.norm(grips[side] - shoulder, axis=1)
        out[f"{side}_reach"] = np.clip((reach - hand) / (upper + lower), 0.4, 0.99)
        out[f"{side}_elbow_out"] = _elbow_out(seen, side, chest[:, :, 1] * sign)
    return out


def _elbow_out(seen: _Seen, side: str, aside: Floats) -> Floats:
    """How far out an elbow points, of how far down; where the arm is straight, as before."""
    arm = seen.joints[f"{side}_wrist"] - seen.joints[f"{side}_shoulder"]
    elbow = seen.joints[f"{side}_elbow"] - seen.joints[f"{side}_shoulder"]
    out = elbow - np.sum(elbow * arm, 1, keepdims=True) / np.sum(arm**2, 1, keepdims=True) * arm
    bent = np.linalg.norm(out, axis=1) > 0.04
    ratio = np.sum(out * aside, axis=1) / np.maximum(-out[:, 2], 0.25 * np.linalg.norm(out, axis=1))
    return np.interp(np.arange(len(ratio)), np.flatnonzero(bent), np.clip(ratio[bent], -1.5, 2.0))
