"""A golfer of straight sticks in the picture's own plane, with angles and lengths written down.

Each moment has a posture: a landmark to (across, up) in metres, across being toward the target
face-on and toward the ball down the line. Between moments every landmark runs on a straight line at
constant speed. The camera sees `PER_METRE` pixels in a metre, with no perspective.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from math import cos, radians, sin

import numpy as np

from causeline.measures.context import SwingContext, measure_context
from causeline.model.clip import Clip, ScaleFrom, View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.clock import Clock
from causeline.quantities.uncertain import Uncertain

Point = tuple[float, float]
Posture = Mapping[str, Point]

RATE_HZ = 100
PER_METRE = 500.0
WIDTH, HEIGHT = 2001, 2001
GROUND_Y, MIDDLE_X = 1450.0, 1000.0
STATURE_M = 1.75

SEEN = 0.975 * STATURE_M
SHANK, THIGH, TRUNK = 0.2425 * SEEN, 0.233 * SEEN, 0.284 * SEEN
UPPER_ARM, FOREARM = 0.171 * STATURE_M, 0.1505 * STATURE_M
"""The body that the scale takes for granted, as the engine sees it at address, so that its pixels
come out exact: ANSUR II ratios, the shoulder 0.020 below the acromion, the chain 2.5 % short."""

TIMES = {
    MomentName.ADDRESS: 0.50,
    MomentName.START: 0.60,
    MomentName.SHAFT_LEVEL_BACK: 0.90,
    MomentName.ARM_LEVEL_BACK: 1.10,
    MomentName.TOP: 1.40,
    MomentName.ARM_LEVEL_DOWN: 1.55,
    MomentName.SHAFT_LEVEL_DOWN: 1.62,
    MomentName.IMPACT: 1.66,
    MomentName.SHAFT_LEVEL_THROUGH: 1.72,
    MomentName.FINISH: 2.20,
}
"""Backswing 0.80 s, downswing 0.26 s."""


def toward(start: Point, length: float, from_up_deg: float) -> Point:
    """The end of a stick leaning by an angle from straight up, to the right where positive."""
    lean = radians(from_up_deg)
    return (start[0] + length * sin(lean), start[1] + length * cos(lean))


def down_the_line(
    bend: float = 40.0, knee: float = 28.0, shank: float = 15.0, pelvis: Point = (0.0, 0.0)
) -> dict[str, Point]:
    """Lead and trail coincide; the trunk leans by `bend`, the knees are flexed by `knee`."""
    ankle = (0.0, 0.0709)
    at_knee = toward(ankle, SHANK, shank)
    hip = _moved(toward(at_knee, THIGH, shank - knee), pelvis)
    shoulder = toward(hip, TRUNK, bend)
    elbow = (shoulder[0], shoulder[1] - UPPER_ARM)
    wrist = (shoulder[0], elbow[1] - FOREARM)
    ear = toward(shoulder, 0.22, bend)
    parts = _parts(ankle, at_knee, hip, shoulder, elbow, wrist, ear)
    both = {f"{side}_{part}": at for part, at in parts.items() for side in ("lead", "trail")}
    return {**both, "nose": _moved(ear, (0.1, -0.02))}


def face_on(
    arm: float = 0.0, side_bend: float = 0.0, pelvis: Point = (0.0, 0.0), stance: float = 0.46
) -> dict[str, Point]:
    """Arms straight and alike, swung by `arm` away from the target; trunk leaning likewise."""
    shoulder_half, lean = 0.18, -side_bend
    ankles = {"lead": (stance / 2, 0.0709), "trail": (-stance / 2, 0.0709)}
    shank, thigh = SHANK * cos(radians(8.0)), THIGH * cos(radians(18.0))
    trunk = TRUNK * cos(radians(20.0))
    posture: dict[str, Point] = {}
    for side, away in (("lead", 1.0), ("trail", -1.0)):
        at_knee = toward(ankles[side], shank, -10.0 * away)
        hip = _moved(toward(at_knee, thigh, -10.0 * away), pelvis)
        neck = toward((hip[0] - away * abs(hip[0] - pelvis[0]), hip[1]), trunk, lean)
        shoulder = (neck[0] + away * shoulder_half, neck[1])
        elbow = toward(shoulder, UPPER_ARM, 180.0 + arm)
        wrist = toward(elbow, FOREARM, 180.0 + arm)
        ear = _moved(neck, (0.08 * away, 0.2))
        parts = _parts(ankles[side], at_knee, hip, shoulder, elbow, wrist, ear)
        posture |= {f"{side}_{part}": at for part, at in parts.items()}
    neck = _middle(posture["lead_shoulder"], posture["trail_shoulder"])
    return {**posture, "nose": _moved(neck, (0.0, 0.18))}


def swing(
    view: View,
    address: Posture,
    later: Mapping[MomentName, Posture] | None = None,
    sd_px: float = 5.0,
    sd_s: float = 0.005,
) -> SwingContext:
    """A whole swing. A moment without a posture of its own has that of address."""
    later = later or {}
    postures = [later.get(name, address) for name in TIMES]
    body = body_track(postures, sd_px)
    stature = Uncertain(STATURE_M, 0.01)
    return measure_context(clip(len(body)), view, body, moments(sd_s), stature)


def body_track(postures: list[Posture], sd_px: float = 1.0) -> BodyTrack:
    """One posture for each of `TIMES`, straight between."""
    time_s = np.arange(round(2.4 * RATE_HZ)) / RATE_HZ
    knots = np.array([[posture[name] for name in BODY_LANDMARKS] for posture in postures])
    at = list(TIMES.values())
    metres = np.stack(
        [
            [np.interp(time_s, at, knots[:, j, axis]) for axis in (0, 1)]
            for j in range(len(BODY_LANDMARKS))
        ]
    ).transpose(2, 0, 1)
    xy = np.stack(
        [MIDDLE_X + PER_METRE * metres[..., 0], GROUND_Y - PER_METRE * metres[..., 1]], axis=-1
    )
    sure = np.ones(xy.shape[:2])
    return BodyTrack(np.arange(len(time_s)), time_s, xy, sure, sd_px * sure, WIDTH)


def moments(sd_s: float = 0.005, without: tuple[MomentName, ...] = ()) -> Moments:
    """The moments at `TIMES`; those in `without` are missing because it is cloudy."""
    found = tuple(
        Moment(name, at, sd_s, round(at * RATE_HZ), "written down")
        for name, at in TIMES.items()
        if name not in without
    )
    return Moments(found, tuple((name, "it is cloudy") for name in without))


def clip(
    frames: int,
    rate_hz: int = RATE_HZ,
    scale_from: ScaleFrom = ScaleFrom.REAL_TIME,
) -> Clip:
    """A clean clip at a constant rate."""
    clock = Clock(np.arange(frames), Fraction(1, rate_hz))
    fresh = np.zeros(frames, bool)
    return Clip("swing.mp4", "0" * 64, WIDTH, HEIGHT, clock, 0, "h264", scale_from, fresh)


def hiding(context: SwingContext, *names: str) -> SwingContext:
    """The same swing with landmarks that are never seen."""
    xy = context.body.xy.copy()
    xy[:, [BODY_LANDMARKS.index(name) for name in names]] = np.nan
    return replace(context, body=replace(context.body, xy=xy))


def value(result: Measure | Refusal) -> float:
    """The value of what must be a measure."""
    assert isinstance(result, Measure), result
    return result.value


def spread(result: Measure | Refusal) -> float:
    """The ± of what must be a measure."""
    assert isinstance(result, Measure), result
    return result.sd


def reason(result: Measure | Refusal) -> str:
    """Why what must be a refusal was refused."""
    assert isinstance(result, Refusal), result
    return result.refused


def _parts(*places: Point) -> dict[str, Point]:
    ankle, knee, hip, shoulder, elbow, wrist, ear = places
    return {
        "ankle": ankle,
        "knee": knee,
        "hip": hip,
        "shoulder": shoulder,
        "elbow": elbow,
        "wrist": wrist,
        "ear": ear,
        "knuckle": _moved(wrist, (0.0, -0.08)),
        "heel": _moved(ankle, (-0.03, -0.05)),
        "toe": _moved(ankle, (0.15, -0.06)),
    }


def _moved(point: Point, by: Point) -> Point:
    return (point[0] + by[0], point[1] + by[1])


def _middle(first: Point, second: Point) -> Point:
    return ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
