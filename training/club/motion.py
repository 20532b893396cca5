"""Many golfers, many swings: joints, hands and club at chosen instants, all at once.

Arrays run over (samples, instants); a point adds a last axis of three. World: metres, x toward the
ball, y toward the target, z up. Nothing here is meant to be a good swing: it is meant to be many.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Draw = np.random.Generator


@dataclass(frozen=True, slots=True, eq=False)
class Moving:
    """`joints` name -> (b, t, 3); `butt`, `hosel`, `toe` (b, t, 3)."""

    joints: dict[str, Floats]
    butt: Floats
    hosel: Floats
    toe: Floats
    stature: Floats
    """(b, 1)."""
    ball: Floats
    """(b, 3)."""


@dataclass(frozen=True, slots=True, eq=False)
class Sight:
    """From where it is looked at, and whose shaft is to point nearly there, or straight away."""

    eye: Floats
    """(b, 3)."""
    pointing: NDArray[np.bool_]
    """(b,)."""


def draw_motion(rng: Draw, count: int, rate_hz: Floats, span_s: Floats, sight: Sight) -> Moving:
    """Nine instants of each sample: three frames times (earliest, middle, latest) of `span_s`."""
    one = lambda low, high: rng.uniform(low, high, (count, 1))  # noqa: E731
    stature = one(1.35, 2.0)
    frames = np.array([-1.0, 0.0, 1.0])[:, None]
    exposure = np.array([-0.5, 0.0, 0.5])
    offsets = frames[None] / rate_hz[:, None, None] + span_s[:, None, None] * exposure
    t_down, t_back = one(0.2, 0.42), one(0.5, 1.2)
    pick = rng.random((count, 1))
    middle = np.where(
        pick < 0.5, one(-0.45, 0.45), np.where(pick < 0.76, -t_down - one(0, 1.2), one(-2.6, 1.5))
    )
    middle = np.where((pick >= 0.5) & (pick < 0.64), one(0.25, 1.1), middle)
    slow = np.where(rng.random((count, 1)) < 0.14, one(0.0, 0.3), 1.0)
    time = middle + offsets.reshape(count, 9) * slow
    arm, hinge, wound = _angles(rng, time, t_down, t_back)
    joints, lead_hand = _body(rng, stature, arm, wound)
    club, ball = _club_axis(rng, arm, hinge)
    club = _toward_the_eye(rng, club, lead_hand, sight)
    return _moving(rng, joints, lead_hand, club, stature, ball)


def _smooth(u: Floats) -> Floats:
    u = np.clip(u, 0, 1)
    return u * u * (3 - 2 * u)


def _angles(rng: Draw, time: Floats, t_down: Floats, t_back: Floats) -> tuple[Floats, ...]:
    """Lead arm in its plane (0 down, positive going back), wrist hinge, and winding -1..1."""
    one = lambda low, high: rng.uniform(low, high, (len(time), 1))  # noqa: E731
    top, end = np.radians(one(70, 175)), np.radians(one(80, 175))
    going_back = _smooth((time + t_down + t_back) / t_back)
    down = _smooth((time + t_down) / (t_down * one(1.7, 2.6)))
    arm = top * going_back - (top + end) * down
    full, start = np.radians(one(50, 125)), np.radians(one(-5, 40))
    set_back = full * going_back ** one(0.4, 2.2)
    g1 = one(0.1, 0.4)
    release = _smooth((down - g1) / one(0.12, 0.35))
    rehinge = np.radians(one(20, 130)) * _smooth((down - one(0.5, 0.65)) / one(0.2, 0.45))
    hinge = start * (1 - going_back) + set_back * (1 - release) - rehinge
    wound = np.where(arm > 0, arm / top, arm / end)
    return arm, hinge, wound


def _body(
    rng: Draw, stature: Floats, arm: Floats, wound: Floats
) -> tuple[dict[str, Floats], Floats]:
    count = len(arm)
    one = lambda low, high: rng.uniform(low, high, (count, 1))  # noqa: E731
    zero = np.zeros_like(arm)
    point = lambda x, y, z: np.stack(np.broadcast_arrays(x + zero, y + zero, z + zero), -1)  # noqa: E731
    bend = np.radians(one(15, 52)) - np.radians(25) * np.clip(-wound, 0, 1)
    side = np.radians(one(-8, 14)) * np.clip(-wound, -0.3, 1)
    pelvis = point(
        -one(0.02, 0.14), -0.06 * one(-1, 1) * wound + 0.12 * np.clip(-wound, 0, 1),
        stature * (one(0.46, 0.52) + 0.02 * np.clip(-wound, 0, 1)),
    )  # fmt: skip
    spine = point(np.sin(bend), -np.sin(side), np.cos(bend))
    spine /= np.linalg.norm(spine, axis=-1, keepdims=True)
    front = np.cross(point(0, 1, 0), spine)
    hip_turn = np.radians(one(15, 60)) * wound
    turn = np.radians(one(50, 115)) * wound
    across_hips = point(np.sin(hip_turn), np.cos(hip_turn), 0)
    across = np.cos(turn)[..., None] * np.cross(spine, front) + np.sin(turn)[..., None] * front
    h = stature[..., None]
    chest = pelvis + spine * h * 0.285
    joints = {"pelvis": pelvis, "chest": chest, "spine": spine, "front": front, "across": across}
    half_stance = one(0.08, 0.34)
    for side_name, sign in (("lead", 1.0), ("trail", -1.0)):
        joints[f"{side_name}_shoulder"] = chest + across * sign * h * rng.uniform(0.095, 0.125)
        joints[f"{side_name}_hip"] = pelvis + across_hips * sign * h * 0.052
        joints[f"{side_name}_ankle"] = point(one(-0.05, 0.05), sign * half_stance, 0.045 * stature)
        joints[f"{side_name}_knee"] = _two_bones(
            joints[f"{side_name}_hip"], joints[f"{side_name}_ankle"], h * 0.235, h * 0.243,
            point(1, sign * 0.25, 0),
        )  # fmt: skip
    plane = np.radians(one(50, 92))
    e1 = point(np.cos(plane), 0.0, -np.sin(plane))
    e2 = point(0, -1.0, 0) + point(-one(0, 0.3), 0, one(-0.2, 0.3))
    reach = h * (0.355 - 0.16 * np.clip(-wound, 0, 1) ** 1.5 * one(0.2, 1.2))[..., None]
    direction = np.cos(arm)[..., None] * e1 + np.sin(arm)[..., None] * e2
    direction /= np.linalg.norm(direction, axis=-1, keepdims=True)
    stray = np.where(rng.random((count, 1, 1)) < 0.25, rng.normal(0, 0.13, (count, 1, 3)), 0.0)
    hand = joints["lead_shoulder"] + direction * reach + stray
    hand[..., 2] = np.maximum(hand[..., 2], 0.25)
    head = chest + spine * h * 0.11 + front * h * 0.02
    joints["head"] = head
    joints["gaze"] = point(0.8, 0.0, 0) - head + rng.normal(0, 0.4, (count, 1, 3))
    return joints, hand


def _two_bones(a: Floats, b: Floats, first: Floats, second: Floats, pole: Floats) -> Floats:
    """The joint between two bones of given lengths, bent toward `pole`; straight at full reach."""
    line = b - a
    span = np.linalg.norm(line, axis=-1, keepdims=True)
    unit = line / np.maximum(span, 1e-6)
    span = np.minimum(span, (first + second) * 0.999)
    along = (span**2 + first**2 - second**2) / (2 * np.maximum(span, 1e-6))
    up = pole - unit * (pole * unit).sum(-1, keepdims=True)
    up /= np.maximum(np.linalg.norm(up, axis=-1, keepdims=True), 1e-6)
    return a + unit * along + up * np.sqrt(np.maximum(first**2 - along**2, 0))


def _club_axis(rng: Draw, arm: Floats, hinge: Floats) -> tuple[Floats, Floats]:
    """Direction of the shaft from butt to head, and where a ball may lie."""
    count = len(arm)
    one = lambda low, high: rng.uniform(low, high, (count, 1))  # noqa: E731
    plane = np.radians(one(38, 72))
    zero = np.zeros_like(arm)
    f1 = np.stack([np.cos(plane) + zero, zero, -np.sin(plane) + zero], -1)
    f2 = np.stack([zero - one(0, 0.4), zero - 1.0, zero + one(-0.3, 0.4)], -1)
    f2 -= f1 * (f1 * f2).sum(-1, keepdims=True)
    f2 /= np.linalg.norm(f2, axis=-1, keepdims=True)
    angle = arm + hinge + np.radians(one(-15, 25))
    club = np.cos(angle)[..., None] * f1 + np.sin(angle)[..., None] * f2
    out = np.cross(f1, f2)
    club = club + out * (np.radians(one(-22, 22)) * np.sin(angle))[..., None]
    spread = np.where(rng.random((count, 1)) < 0.66, rng.choice([0.4, 1.2], (count, 1)), 0.0)
    club = _turned(club, rng.normal(0, 1, (count, 1, 3)) * spread[..., None])
    ball = np.concatenate([one(0.45, 1.0), one(-0.25, 0.3), zero[:, :1] + 0.0213], -1)
    return club / np.linalg.norm(club, axis=-1, keepdims=True), ball


def _toward_the_eye(rng: Draw, club: Floats, hand: Floats, sight: Sight) -> Floats:
    """Some turned as a whole so that in the middle they lie 2 to 40 degrees off the line of sight.

    Half of them point away: so the club lies at the top, seen down the line.
    """
    count = len(club)
    line = sight.eye - hand[:, 4]
    line *= rng.choice([-1.0, 1.0], (count, 1)) / np.linalg.norm(line, axis=-1, keepdims=True)
    aside = np.cross(line, rng.normal(0, 1, (count, 3)))
    aside /= np.maximum(np.linalg.norm(aside, axis=-1, keepdims=True), 1e-9)
    off = np.radians(rng.uniform(2, 40, (count, 1)))
    way = np.cos(off) * line + np.sin(off) * aside
    now = club[:, 4]
    axis = np.cross(now, way)
    sine = np.linalg.norm(axis, axis=-1, keepdims=True)
    angle = np.arctan2(sine, (now * way).sum(-1, keepdims=True))
    by = axis / np.maximum(sine, 1e-9) * angle * sight.pointing[:, None]
    return _turned(club, by[:, None])


def _turned(vector: Floats, by: Floats) -> Floats:
    angle = np.linalg.norm(by, axis=-1, keepdims=True)
    axis = by / np.maximum(angle, 1e-9)
    cross = np.cross(np.broadcast_to(axis, vector.shape), vector)
    along = axis * (axis * vector).sum(-1, keepdims=True)
    return vector * np.cos(angle) + cross * np.sin(angle) + along * (1 - np.cos(angle))


def _moving(
    rng: Draw, joints: dict[str, Floats], hand: Floats, club: Floats, stature: Floats, ball: Floats
) -> Moving:
    count, instants = hand.shape[:2]
    one = lambda low, high: rng.uniform(low, high, (count, 1, 1))  # noqa: E731
    length = one(0.80, 1.14)
    butt = hand - club * one(0.03, 0.09)
    hosel = butt + club * length
    face = np.cross(club, np.broadcast_to(rng.normal(0, 1, (count, 1, 3)), club.shape))
    face /= np.maximum(np.linalg.norm(face, axis=-1, keepdims=True), 1e-6)
    toe = hosel + (face * 0.96 + club * 0.28) * one(0.065, 0.115)
    joints["lead_hand"] = hand
    joints["trail_hand"] = hand + club * one(0.05, 0.10)
    h = stature[..., None]
    for side, pole in (("lead", (0.2, 0.5, -1.0)), ("trail", (-0.3, -0.7, -1.0))):
        shoulder = joints[f"{side}_shoulder"]
        toward = shoulder - joints[f"{side}_hand"]
        toward /= np.maximum(np.linalg.norm(toward, axis=-1, keepdims=True), 1e-6)
        wrist = joints[f"{side}_hand"] + (toward * 0.8 - club * 0.25) * h * 0.04
        joints[f"{side}_wrist"] = wrist
        bent = np.broadcast_to(np.array(pole), wrist.shape) + rng.normal(0, 0.3, (count, 1, 3))
        joints[f"{side}_elbow"] = _two_bones(shoulder, wrist, h * 0.185, h * 0.15, bent)
    del instants
    return Moving(joints, butt, hosel, toe, stature, ball)
