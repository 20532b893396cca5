"""A golfer made of circles and levers, whose ten moments are the times that the test wrote down.

Frame of reference (metres): x from the golfer toward the ball, y toward the target, z up; always a
right-hander, and a left-hander is the mirrored picture. The posture at each moment is a row of
`_table`; between moments every angle is a monotone cubic in time, so that an angle which is level
at a moment is level at no other time nearby. The hands run on a circle about the middle of the
shoulders, tilted 25° from the vertical; the lead arm is one straight lever toward them; the shaft
turns in a plane of its own. At the top everything stands still at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS, ENGINE_LANDMARKS, BodyTrack, LandmarkTrack

Floats = NDArray[np.float64]

PLAIN_SWING = {
    MomentName.ADDRESS: 1.0,
    MomentName.START: 1.0,
    MomentName.SHAFT_LEVEL_BACK: 1.30,
    MomentName.ARM_LEVEL_BACK: 1.47,
    MomentName.TOP: 1.84,
    MomentName.ARM_LEVEL_DOWN: 1.99,
    MomentName.SHAFT_LEVEL_DOWN: 2.04,
    MomentName.IMPACT: 2.10,
    MomentName.SHAFT_LEVEL_THROUGH: 2.15,
    MomentName.FINISH: 2.80,
}
"""Seconds. Backswing 0.84, downswing 0.26: a skilled player's plain swing (common practice)."""

HAND_PLANE_DEG = 25.0
SHAFT_PLANE_DEG = 40.0
TRUNK_LEAN_DEG = 35.0
HAND_CIRCLE = 0.30
ARM = 0.335
UPPER_ARM = 0.187
SHOULDER_MARK = 0.0174
"""Fractions of the stature; the last is how far an engine's shoulder lies above the joint."""

_SIDES = {"lead": 1.0, "trail": -1.0}
_MADE_UP = {
    "eye_inner": (0.25, "nose", "ear"),
    "eye": (0.4, "nose", "ear"),
    "eye_outer": (0.55, "nose", "ear"),
    "mouth": (0.2, "nose", "ear"),
    "pinky": (0.9, "wrist", "knuckle"),
    "thumb": (0.7, "wrist", "knuckle"),
    "index": (1.0, "wrist", "knuckle"),
    "foot_index": (1.0, "ankle", "toe"),
}
"""Engine points that the body track lacks: a share of the way from one of its points to another."""


@dataclass(frozen=True)
class Camera:
    """A pinhole at hand height, `distance_m` away, turned `off_axis_deg` to the golfer's front."""

    view: View = View.FACE_ON
    distance_m: float = 4.0
    height_m: float = 1.0
    off_axis_deg: float = 0.0
    width: int = 720
    height: int = 1280
    focal_px: float = 1500.0

    def project(self, points: Floats) -> Floats:
        """World (..., 3) metres to the picture (..., 2) pixels, y down."""
        angle = np.radians(self.off_axis_deg) - (
            np.pi / 2 if self.view == View.DOWN_THE_LINE else 0
        )
        out = np.array([np.cos(angle), np.sin(angle), 0.0])
        right = np.array([-np.sin(angle), np.cos(angle), 0.0])
        centre = self.distance_m * out + np.array([0.0, 0.0, self.height_m])
        seen = points - centre
        depth = -seen @ out
        x = self.width / 2 + self.focal_px * (seen @ right) / depth
        y = self.height / 2 - self.focal_px * seen[..., 2] / depth
        return np.stack([x, y], axis=-1)


@dataclass(frozen=True)
class Flaws:
    """What an engine does to the truth. Swaps are (first, last, part), both ends included."""

    noise_px: float = 0.0
    missing: tuple[int, ...] = ()
    """Frames that are absent from the track."""
    swaps: tuple[tuple[int, int, str], ...] = ()
    """Part is `whole`, `arms` or `legs`."""
    seed: int = 0


@dataclass(frozen=True)
class Puppet:
    """One swing. `moments` may be any increasing times; address and start may coincide."""

    moments: Mapping[MomentName, float] = field(default_factory=lambda: dict(PLAIN_SWING))
    camera: Camera = field(default_factory=Camera)
    hand: Hand = Hand.RIGHT
    rate_hz: float = 60.0
    duration_s: float = 3.5
    times: tuple[float, ...] | None = None
    """Real seconds of every frame, where the rate is not constant."""
    stature_m: float = 1.75
    backswing: float = 1.0
    """Share of a full swing: 0.4 makes a waist-high half swing."""
    at_m: tuple[float, float] = (0.0, 0.0)
    """Where on the ground the golfer stands."""
    wrists_low: float = 0.0
    """Share of the stature by which the wrists are drawn below the joints."""

    @property
    def time_s(self) -> Floats:
        """Real seconds of every frame, (n,)."""
        if self.times is not None:
            return np.array(self.times)
        return np.arange(round(self.duration_s * self.rate_hz)) / self.rate_hz

    def angles(self, time_s: Floats) -> dict[str, Floats]:
        """Degrees at any times: hands and shaft from hanging, shoulders and pelvis from address.

        All zero at address, negative going back.
        """
        knots, rows = _table(self)
        inside = np.clip(time_s, knots[0], knots[-1])
        curves = PchipInterpolator(knots, rows)(inside)
        return dict(zip(("hands", "shoulders", "pelvis", "shaft"), curves.T, strict=True))

    def joints(self, time_s: Floats) -> dict[str, Floats]:
        """World metres, name to (n, 3): the body track's points, `grip` and `head` of the club."""
        posture = _posture(self.angles(time_s))
        away = np.array([*self.at_m, 0.0])
        return {name: self.stature_m * at + away for name, at in posture.items()}

    def body(self, sd_px: float = 0.5) -> BodyTrack:
        """The true body track, mirrored once where the golfer is left-handed, as the house does."""
        time_s = self.time_s
        joints = self.joints(time_s)
        for side in _SIDES:
            joints[f"{side}_shoulder"] += [0.0, 0.0, SHOULDER_MARK * self.stature_m]
            joints[f"{side}_wrist"] -= [0.0, 0.0, self.wrists_low * self.stature_m]
        xy = np.stack([self.camera.project(joints[name]) for name in BODY_LANDMARKS], axis=1)
        sure = np.ones(xy.shape[:2])
        frames = np.arange(len(time_s))
        mirrored = self.hand == Hand.LEFT
        return BodyTrack(frames, time_s, xy, sure, sure * sd_px, self.camera.width, mirrored)

    def club(self) -> tuple[Floats, Floats]:
        """True grip and head in the body track's picture, two of (n, 2)."""
        joints = self.joints(self.time_s)
        return self.camera.project(joints["grip"]), self.camera.project(joints["head"])

    def landmarks(self, flaws: Flaws | None = None) -> LandmarkTrack:
        """What an engine would answer, in its own names and in the picture as filmed."""
        body = self.body()
        lead, trail = ("left", "right") if self.hand == Hand.RIGHT else ("right", "left")
        shown = body.shown_xy()
        xy = np.stack([_engine_point(shown, name, lead, trail) for name in ENGINE_LANDMARKS], 1)
        return _flawed(body.time_s, xy, flaws or Flaws())

    def slowed(self, factor: float) -> Puppet:
        """The same swing lasting `factor` times as long, filmed with as many frames a second."""
        moments = {name: time * factor for name, time in self.moments.items()}
        return replace(self, moments=moments, duration_s=self.duration_s * factor)


def _table(puppet: Puppet) -> tuple[Floats, Floats]:
    """Times of the knots (k,), and hands, shoulders, pelvis, shaft there (k, 4), degrees."""
    at, share = puppet.moments, puppet.backswing
    top = -158.0 * share
    mid_back, mid_down = -45.0 * share, -38.0 * share
    rows: list[tuple[float, tuple[float, float, float, float]]] = [
        (at[MomentName.START], (0, 0, 0, 0)),
        (at[MomentName.SHAFT_LEVEL_BACK], (-38 * share, -26 * share, -10 * share, -90)),
        (at[MomentName.ARM_LEVEL_BACK], (_level(mid_back), mid_back, -20 * share, -150)),
        (at[MomentName.TOP], (top, -92 * share, -45 * share, -250)),
        (at[MomentName.ARM_LEVEL_DOWN], (_level(mid_down), mid_down, -2 * share, -165)),
        (at[MomentName.SHAFT_LEVEL_DOWN], (-32 * share, -8 * share, 18, -90)),
        (at[MomentName.IMPACT], (6, 22, 38, 0)),
        (at[MomentName.SHAFT_LEVEL_THROUGH], (52, 48, 52, 90)),
        (at[MomentName.FINISH], (150, 110, 95, 260)),
    ]
    if share < 0.6:
        del rows[4], rows[2]
    return np.array([time for time, _ in rows]), np.array([row for _, row in rows], float)


def _level(shoulders_deg: float) -> float:
    """The hands' angle going back at which wrist and lead shoulder are equally high."""

    def rise(hands_deg: float) -> float:
        angles = {"hands": hands_deg, "shoulders": shoulders_deg, "pelvis": 0.0, "shaft": 0.0}
        at = _posture({name: np.array([value]) for name, value in angles.items()})
        return float(at["lead_wrist"][0, 2] - at["lead_shoulder"][0, 2])

    return float(brentq(rise, -140.0, -40.0))


def _posture(angles: Mapping[str, Floats]) -> dict[str, Floats]:
    """Points at statures from the feet, name to (n, 3), from the four angles (n,) in degrees."""
    n = len(angles["hands"])
    at: dict[str, Floats] = {}
    pelvis = np.tile([-0.06, 0.0, 0.50], (n, 1))
    lean = np.radians(TRUNK_LEAN_DEG)
    up = np.array([np.sin(lean), 0.0, np.cos(lean)])
    middle = pelvis + 0.29 * up
    for side, sign in _SIDES.items():
        at[f"{side}_hip"] = pelvis + sign * 0.055 * _turned(angles["pelvis"], np.array([0, 0, 1.0]))
        at[f"{side}_shoulder"] = middle + sign * 0.10 * _turned(angles["shoulders"], up)
    _add_head(at, middle, angles["shoulders"])
    _add_arms(at, middle, angles)
    _add_legs(at, angles["pelvis"])
    return at


def _turned(turn_deg: Floats, axis: Floats) -> Floats:
    """The line toward the target after a turn about `axis`: positive toward the target, (n, 3)."""
    turn = np.radians(turn_deg)[:, None]
    target = np.array([0.0, 1.0, 0.0])
    return np.cos(turn) * target + np.sin(turn) * np.cross(axis, target)


def _add_head(at: dict[str, Floats], middle: Floats, shoulders_deg: Floats) -> None:
    lean = np.radians(20.0)
    up = np.array([np.sin(lean), 0.0, np.cos(lean)])
    centre = middle + 0.11 * up
    across = _turned(np.maximum(0.0, shoulders_deg - 22.0), up)
    ahead = np.cross(across, up)
    at["nose"] = centre + 0.055 * ahead - 0.02 * up
    at["lead_ear"], at["trail_ear"] = centre + 0.042 * across, centre - 0.042 * across


def _add_arms(at: dict[str, Floats], middle: Floats, angles: Mapping[str, Floats]) -> None:
    nominal = middle + HAND_CIRCLE * _in_plane(angles["hands"], HAND_PLANE_DEG)
    shoulder = at["lead_shoulder"]
    arm = _unit(nominal - shoulder)
    shaft = _in_plane(angles["shaft"], SHAFT_PLANE_DEG)
    at["lead_elbow"] = shoulder + UPPER_ARM * arm
    at["lead_wrist"] = shoulder + ARM * arm
    at["trail_wrist"] = at["lead_wrist"] + 0.04 * shaft
    at["trail_elbow"] = _bent(at["trail_shoulder"], at["trail_wrist"])
    for side in _SIDES:
        at[f"{side}_knuckle"] = at[f"{side}_wrist"] + 0.05 * shaft
    at["grip"] = at["lead_wrist"] - 0.01 * shaft
    at["head"] = at["grip"] + 0.58 * shaft


def _add_legs(at: dict[str, Floats], pelvis_deg: Floats) -> None:
    lift = np.clip((pelvis_deg - 38.0) / 57.0, 0.0, 1.0)[:, None]
    for side, sign in _SIDES.items():
        raised = lift * (side == "trail")
        foot = np.array([0.0, sign * 0.13, 0.045]) + raised * np.array([0.04, 0.03, 0.09])
        hip = at[f"{side}_hip"]
        at[f"{side}_ankle"] = foot
        at[f"{side}_knee"] = (hip + foot) / 2 + np.array([0.05, 0.0, 0.0])
        at[f"{side}_heel"] = foot + np.array([-0.03, 0.0, -0.03])
        at[f"{side}_toe"] = foot + np.array([0.11, sign * 0.02, -0.04]) - raised * [0, 0, 0.07]


def _in_plane(angle_deg: Floats, tilt_deg: float) -> Floats:
    """Unit vectors hanging at zero, in a plane tilted from the vertical toward the ball."""
    angle, tilt = np.radians(angle_deg)[:, None], np.radians(tilt_deg)
    hanging = np.array([np.sin(tilt), 0.0, -np.cos(tilt)])
    return np.cos(angle) * hanging + np.sin(angle) * np.array([0.0, 1.0, 0.0])


def _bent(shoulder: Floats, wrist: Floats) -> Floats:
    """The elbow of two levers, dropping toward the ground."""
    span = wrist - shoulder
    reach = np.linalg.norm(span, axis=1, keepdims=True)
    along = _unit(span)
    down = np.array([0.0, 0.0, -1.0]) - along * -along[:, 2:]
    drop = np.sqrt(np.maximum(0.0, UPPER_ARM**2 - (0.55 * reach) ** 2))
    return shoulder + 0.55 * span + drop * _unit(down)


def _unit(vectors: Floats) -> Floats:
    unit: Floats = vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-12)
    return unit


def _engine_point(shown: Floats, name: str, lead: str, trail: str) -> Floats:
    """One of the engine's points, (n, 2), out of the body track's points as shown."""
    if name == "nose":
        return shown[:, 0]
    side = "lead" if lead in name else "trail"
    part = name.replace(f"{lead}_", "").replace(f"{trail}_", "")
    part = part.replace(f"_{lead}", "").replace(f"_{trail}", "")
    share, first, second = _MADE_UP.get(part, (1.0, part, part))
    start, end = (_column(shown, side, each) for each in (first, second))
    point: Floats = start + share * (end - start)
    return point


def _column(shown: Floats, side: str, part: str) -> Floats:
    name = part if part == "nose" else f"{side}_{part}"
    return shown[:, BODY_LANDMARKS.index(name)]


def _flawed(time_s: Floats, xy: Floats, flaws: Flaws) -> LandmarkTrack:
    rng = np.random.default_rng(flaws.seed)
    xy = xy + flaws.noise_px * rng.standard_normal(xy.shape)
    for first, last, part in flaws.swaps:
        xy[first : last + 1] = swapped(xy[first : last + 1], part)
    kept = np.setdiff1d(np.arange(len(time_s)), flaws.missing)
    return LandmarkTrack(kept, time_s[kept], xy[kept], np.full(xy.shape[:2], 0.95)[kept])


def swapped(xy: Floats, part: str) -> Floats:
    """Left and right exchanged in `whole`, `arms` or `legs` of the engine's points (n, 33, 2)."""
    groups = {
        "arms": ("elbow", "wrist", "pinky", "index", "thumb"),
        "legs": ("knee", "ankle", "heel", "foot_index"),
    }
    other = xy.copy()
    for index, name in enumerate(ENGINE_LANDMARKS):
        twin = name.replace("left", "#").replace("right", "left").replace("#", "right")
        if part == "whole" or name.partition("_")[2] in groups[part]:
            other[:, index] = xy[:, ENGINE_LANDMARKS.index(twin)]
    return other
