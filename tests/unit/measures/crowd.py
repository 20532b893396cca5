"""A crowd of golfers in three dimensions, each filmed by a phone that is not quite square or level.

Body frame: x toward the ball, y toward the target, z up, metres. Every golfer has another build,
posture and swing; the engine sees each joint a little off, at a place that turns with the body; the
camera is somewhere between 3 and 5 metres away. It shares no code with the room that it tests: what
is true is read off the joints, and what is filmed comes through a pinhole.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from causeline.measures.context import SwingContext, measure_context
from causeline.model.clip import Clip, ScaleFrom, View
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats
from causeline.quantities.clock import Clock
from causeline.quantities.uncertain import Uncertain

Joints = dict[str, Floats]

RATE_HZ, JITTER_PX = 60, 1.5
AT_S = {MomentName.ADDRESS: 0.5, MomentName.TOP: 1.5, MomentName.IMPACT: 2.5}
WIDTH, HEIGHT = 1080, 1920
PLACES = {
    "ear": 0.026,
    "shoulder": 0.020,
    "elbow": 0.018,
    "wrist": 0.016,
    "hip": 0.020,
    "knee": 0.010,
    "ankle": 0.016,
}
"""How far the engine's point lies from the joint along each axis, shares of stature, as seen on
rendered golfers; at hip and knee of the size of Needham et al. 2021, Sci Rep 11:20673."""

SEEN_ANEW = 0.4
"""Share of that which is drawn anew at each moment, because the posture is another one."""

TURNS_WITH = {
    "ear": "head",
    "shoulder": "chest",
    "elbow": "chest",
    "wrist": "chest",
    "hip": "pelvis",
    "knee": "knees",
    "ankle": "feet",
}


@dataclass(frozen=True)
class Build:
    """Lengths in metres."""

    stature: float
    shank: float
    thigh: float
    trunk: float
    arm: float
    ankle: float


@dataclass(frozen=True)
class Posture:
    """Degrees and metres."""

    bend: float
    side: float
    pelvis: float
    chest: float
    head: float
    shift: tuple[float, float, float]
    arm: float
    reach: float


@dataclass(frozen=True)
class Golfer:
    """Joints in space at each moment, how far the engine's points are off them, and the clip."""

    truth: Mapping[MomentName, Joints]
    context: SwingContext


def golfer(rng: np.random.Generator, view: View) -> Golfer:
    """One of the crowd, filmed; the height is known to a centimetre."""
    build = _build(rng)
    stance = build.stature * rng.normal(0.26, 0.03)
    postures = _postures(rng)
    flexion = rng.normal(25.0, 5.0)
    truth = {name: _joints(build, stance, flexion, at) for name, at in postures.items()}
    places = _places(rng, build.stature)
    camera = _Camera.drawn(rng, view)
    seen = {}
    for name, posture in postures.items():
        anew = _places(rng, build.stature)
        mixed = {point: _mixed(places[point], anew[point]) for point in places}
        seen[name] = camera.project(_seen_at(truth[name], mixed, posture))
    body = _track(seen, rng, camera.focal_px / camera.distance * build.stature)
    found = tuple(Moment(name, at, 0.0, round(at * RATE_HZ), "") for name, at in AT_S.items())
    n = len(body)
    clock = Clock(np.arange(n), Fraction(1, RATE_HZ))
    fresh = np.zeros(n, bool)
    clip = Clip("x.mp4", "0", WIDTH, HEIGHT, clock, 0, "h264", ScaleFrom.REAL_TIME, fresh)
    told = Uncertain(build.stature + rng.normal(0, 0.01), 0.01)
    return Golfer(truth, measure_context(clip, view, body, Moments(found), told))


def _build(rng: np.random.Generator) -> Build:
    stature = rng.normal(1.73, 0.08)
    shank, thigh, trunk, arm, ankle = (
        stature * share * rng.normal(1, spread)
        for share, spread in (
            (0.2425, 0.03),
            (0.233, 0.03),
            (0.265, 0.025),
            (0.3215, 0.03),
            (0.0405, 0.07),
        )
    )
    return Build(stature, shank, thigh, trunk, arm, ankle)


def _postures(rng: np.random.Generator) -> dict[MomentName, Posture]:
    bend = rng.normal(20.0, 6.0)
    n = rng.normal
    return {
        MomentName.ADDRESS: Posture(bend, n(4, 3), 0.0, n(0, 3), 0.0, (0, 0, 0), n(0, 5), n(18, 6)),
        MomentName.TOP: Posture(
            bend + n(0, 4),
            n(-2, 4),
            n(-42, 8),
            n(-85, 10),
            n(-15, 8),
            (n(0, 0.03), n(-0.02, 0.04), n(0, 0.02)),
            n(140, 12),
            n(-25, 10),
        ),
        MomentName.IMPACT: Posture(
            bend + n(-5, 5),
            n(12, 4),
            n(38, 8),
            n(22, 8),
            n(-5, 8),
            (n(0.03, 0.03), n(0.10, 0.03), n(0.01, 0.02)),
            n(0, 6),
            n(22, 6),
        ),
    }


def _joints(build: Build, stance: float, flexion: float, at: Posture) -> Joints:
    bent = np.radians(flexion)
    leg = np.hypot(build.shank + build.thigh * np.cos(bent), build.thigh * np.sin(bent))
    half = 0.05 * build.stature
    level = np.sqrt(leg**2 - (stance / 2 - half) ** 2 - 0.08**2)
    middle = np.array([-0.08, 0.0, build.ankle + level]) + at.shift
    up = _unit([np.tan(np.radians(at.bend)), -np.tan(np.radians(at.side)), 1.0])
    neck = middle + build.trunk * up
    across = _unit(_turned(np.array([0.0, 1.0, 0.0]), at.chest, up))
    joints: Joints = {"nose": neck + 0.2 * up + np.array([0.1, 0.0, 0.0])}
    for side, sign in (("lead", 1.0), ("trail", -1.0)):
        ankle = np.array([0.0, sign * stance / 2, build.ankle])
        hip = middle + sign * half * _level([0.0, 1.0, 0.0], at.pelvis)
        shoulder = neck + sign * 0.11 * build.stature * across
        joints |= {
            f"{side}_ankle": ankle,
            f"{side}_hip": hip,
            f"{side}_knee": _knee(ankle, hip, build, sign * 20.0 + 0.3 * at.pelvis),
            f"{side}_shoulder": shoulder,
            f"{side}_ear": neck + 0.2 * up + sign * 0.075 * _level([0.0, 1.0, 0.0], at.head),
        }
        joints |= _arm(side, shoulder, build.arm, at)
    return joints


def _arm(side: str, shoulder: Floats, length: float, at: Posture) -> Joints:
    swung, out = np.radians(at.arm), np.radians(at.reach)
    along = np.array([np.sin(out), -np.cos(out) * np.sin(swung), -np.cos(out) * np.cos(swung)])
    ends = {"elbow": 0.56, "wrist": 1.0, "knuckle": 1.25}
    return {f"{side}_{part}": shoulder + share * length * along for part, share in ends.items()}


def _knee(ankle: Floats, hip: Floats, build: Build, flare_deg: float) -> Floats:
    """Two bones of known length from ankle to hip, bent forward in the direction of the foot."""
    span = hip - ankle
    reach = min(float(np.linalg.norm(span)), 0.999 * (build.shank + build.thigh))
    along = (build.shank**2 - build.thigh**2 + reach**2) / (2 * reach)
    off = np.sqrt(max(0.0, build.shank**2 - along**2))
    axis = _unit(span)
    forward = _level([1.0, 0.0, 0.0], -flare_deg)
    return ankle + along * axis + off * _unit(forward - (forward @ axis) * axis)


def _places(rng: np.random.Generator, stature: float) -> Joints:
    """Half of the variance mirrored between lead and trail, half each side's own."""
    places: Joints = {"nose": np.zeros(3)}
    for part, share in PLACES.items():
        sd = share * stature / np.sqrt(2)
        alike = rng.normal(0, sd, 3)
        for side, sign in (("lead", 1.0), ("trail", -1.0)):
            places[f"{side}_{part}"] = alike * np.array([1.0, sign, 1.0]) + rng.normal(0, sd, 3)
    return places


def _mixed(lasting: Floats, anew: Floats) -> Floats:
    return np.sqrt(1 - SEEN_ANEW**2) * lasting + SEEN_ANEW * anew


def _seen_at(joints: Joints, places: Joints, at: Posture) -> Joints:
    turns = {
        "head": at.head,
        "chest": at.chest,
        "pelvis": at.pelvis,
        "knees": 0.5 * at.pelvis,
        "feet": 0.0,
    }
    seen = {}
    for name, point in joints.items():
        turn = turns[TURNS_WITH.get(name.rsplit("_", 1)[-1], "feet")]
        seen[name] = point + _level(places.get(name, np.zeros(3)), turn)
    return seen


@dataclass(frozen=True)
class _Camera:
    distance: float
    height: float
    focal_px: float
    axes: Floats
    aim: Floats

    @classmethod
    def drawn(cls, rng: np.random.Generator, view: View) -> _Camera:
        yaw, roll = np.radians(rng.normal(0, 5.0)), np.radians(rng.normal(0, 2.0))
        base = 0.0 if view is View.FACE_ON else -np.pi / 2
        outward = np.array([np.cos(base + yaw), np.sin(base + yaw), 0.0])
        right = np.array([-np.sin(base + yaw), np.cos(base + yaw), 0.0])
        up = np.array([0.0, 0.0, 1.0])
        axes = np.stack(
            [
                np.cos(roll) * right + np.sin(roll) * up,
                np.cos(roll) * up - np.sin(roll) * right,
                outward,
            ]
        )
        aim = np.array([0.0, 0.0, rng.normal(0.95, 0.1)]) + right * rng.normal(0, 0.15)
        return cls(rng.uniform(3.0, 5.0), 0.0, 0.8 * HEIGHT * rng.normal(1, 0.1), axes, aim)

    def project(self, joints: Joints) -> Floats:
        points = np.stack([joints.get(name, np.full(3, np.nan)) for name in BODY_LANDMARKS])
        right, up, out = ((points - self.aim) @ self.axes.T).T
        zoom = self.focal_px / (self.distance - out)
        return np.stack([(WIDTH - 1) / 2 + zoom * right, (HEIGHT - 1) / 2 - zoom * up], axis=-1)


def _track(
    seen: Mapping[MomentName, Floats], rng: np.random.Generator, stature_px: float
) -> BodyTrack:
    """Still for a second about each moment. The track knows how unsure it is."""
    time_s = np.arange(3 * RATE_HZ) / RATE_HZ
    which = np.minimum(time_s.astype(int), 2)
    xy = np.stack([seen[name] for name in AT_S])[which]
    xy = xy + rng.normal(0, JITTER_PX, xy.shape)
    places = [PLACES.get(name.rsplit("_", 1)[-1], 0.0) * stature_px for name in BODY_LANDMARKS]
    sd_px = np.tile(np.hypot(places, JITTER_PX), (len(time_s), 1))
    sure = np.ones(xy.shape[:2])
    return BodyTrack(np.arange(len(time_s)), time_s, xy, sure, sd_px, WIDTH)


def _unit(vector: Floats | list[float]) -> Floats:
    array = np.asarray(vector, float)
    return array / np.linalg.norm(array)


def _level(vector: Floats | list[float], turn_deg: float) -> Floats:
    """Turned about the vertical; positive opens toward the target, as seen from above."""
    return _turned(np.asarray(vector, float), turn_deg, np.array([0.0, 0.0, 1.0]))


def _turned(vector: Floats, turn_deg: float, axis: Floats) -> Floats:
    """Rodrigues' rotation: opening takes the lead side back, away from the ball."""
    angle = np.radians(turn_deg)
    return (
        vector * np.cos(angle)
        + np.cross(axis, vector) * np.sin(angle)
        + axis * (axis @ vector) * (1 - np.cos(angle))
    )
