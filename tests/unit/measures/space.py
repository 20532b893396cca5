"""A golfer of straight sticks in space, turned and bent by angles written down.

Feet 0.46 m apart, hips at 0.9 m; the trunk leans toward the ball, the shoulder line turns about the
trunk's own axis, the hip line about the vertical, the hands ride on a circle round the chest.
Between the moments of `stick.TIMES` every point runs on a straight line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial.transform import Rotation

from causeline.measures.context import SwingContext
from causeline.model.clip import View
from causeline.model.moments import MomentName
from causeline.model.motion import POINTS, TURNS, Known, Motion
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats
from tests.unit.measures import stick

TRUNK_M, HALF_SHOULDERS, HALF_HIPS, ARM_M = 0.5, 0.18, 0.09, 0.5
HIP_M, KNEE_M = 0.9, 0.45


@dataclass(frozen=True)
class Stance:
    """Degrees and metres; turns positive away from the target."""

    shoulders: float = 0.0
    pelvis: float = 0.0
    bend: float = 30.0
    side: float = 0.0
    """Trunk leaned away from the target, in the plane of the lean."""
    knee: float = 0.0
    """Lead thigh leaned back from the upright shank."""
    sway: tuple[float, float, float] = (0.0, 0.0, 0.0)
    hands: tuple[float, float] = (0.4, 0.0)
    """From the chest's middle: in front of it, and to the trail side."""


def points_of(stance: Stance) -> Floats:
    """(Q, 3) metres."""
    lean = Rotation.from_euler("xy", [stance.side, stance.bend], degrees=True)
    axis = lean.apply([0.0, 0.0, 1.0])
    turn = Rotation.from_rotvec(-np.radians(stance.shoulders) * axis)
    hips = np.array([0.0, 0.0, HIP_M]) + stance.sway
    chest = hips + TRUNK_M * axis
    line = turn.apply(lean.apply([0.0, 1.0, 0.0]))
    front = turn.apply(lean.apply([1.0, 0.0, 0.0]))
    pelvis = Rotation.from_euler("z", -stance.pelvis, degrees=True).apply([0.0, 1.0, 0.0])
    hands = chest + stance.hands[0] * front - stance.hands[1] * line
    at = dict.fromkeys(POINTS, np.zeros(3))
    for sign, side in ((1.0, "lead"), (-1.0, "trail")):
        at[f"{side}_shoulder"] = chest + sign * HALF_SHOULDERS * line
        at[f"{side}_hip"] = hips + sign * HALF_HIPS * pelvis
        at[f"{side}_wrist"] = hands
        at[f"{side}_ear"] = chest + 0.2 * axis
        back = np.radians(stance.knee)
        knee = at[f"{side}_hip"] + KNEE_M * np.array([np.sin(back), 0.0, -np.cos(back)])
        at[f"{side}_knee"], at[f"{side}_ankle"] = knee, knee - [0.0, 0.0, 0.4]
    return np.array([at[name] for name in POINTS])


def swing(
    address: Stance,
    later: Mapping[MomentName, Stance] | None = None,
    view: View = View.FACE_ON,
    sd_s: float = 0.0,
    wrong: Floats | None = None,
) -> SwingContext:
    """A whole swing; a moment without a stance of its own has that of address.

    `wrong` (W, Q, 3) metres: the same ways to be wrong at every instant.
    """
    later = later or {}
    picture = stick.face_on() if view is View.FACE_ON else stick.down_the_line()
    context = stick.swing(view, picture, sd_s=sd_s)
    clock = np.array(list(stick.TIMES.values()))
    points = np.stack([points_of(later.get(name, address)) for name in stick.TIMES])
    given = np.zeros((1, len(POINTS), 3)) if wrong is None else wrong
    ways = np.repeat(given[:, None], len(clock), axis=1)
    known = Known(
        clock, points, ways, stick.STATURE_M, np.zeros(len(ways)), (view,), np.zeros(0), np.zeros(3)
    )
    return replace(context, motion=_motion(context, known, address, later))


def _motion(
    context: SwingContext, known: Known, address: Stance, later: Mapping[MomentName, Stance]
) -> Motion:
    """Curves of the turns as they are written down, each known to 2°."""
    times = context.body.time_s
    stances = [later.get(name, address) for name in stick.TIMES]
    shoulders = np.interp(times, known.time_s, [each.shoulders for each in stances])
    pelvis = np.interp(times, known.time_s, [each.pelvis for each in stances])
    turns = np.stack([shoulders, shoulders, pelvis], axis=1)
    joints = np.zeros((len(times), len(BODY_LANDMARKS), 3))
    spread = np.full((len(times), len(TURNS)), 2.0)
    frames = context.body.frames
    return Motion(frames, times, joints, joints, turns, spread, "written down", known)
