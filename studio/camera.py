"""A phone on a tripod, or in a hand: where it stands, what it sees, and where a point falls.

Pixels have x right and y down, and whole numbers at the middle of a pixel: (0, 0) is the middle of
the first one, so that a mirrored x is `width - 1 - x`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

FACE_ON = "face-on"
DOWN_THE_LINE = "down-the-line"
NEAR_M, FAR_M = 0.15, 600.0


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """A pinhole with mild lens distortion, standing still but for small turns of the hand."""

    view: str
    width: int
    height: int
    hfov_deg: float
    """Horizontal field of view of the picture as stored upright."""
    position: Floats
    """(3,) metres."""
    pan_deg: float
    """Heading of the optical axis: 0 looks along +x, 90 along +y."""
    tilt_deg: float
    """Rise of the optical axis; negative looks down."""
    roll_deg: float = 0.0
    shake_deg: Floats = field(default_factory=lambda: np.zeros((0, 3)))
    """(k, 3) pan, tilt and roll added over time, `shake_rate_hz` samples a second, from 0 s."""
    shake_from_s: float = 0.0
    shake_rate_hz: float = 60.0
    distortion: float = 0.0
    """First radial coefficient on normalised coordinates; negative is a barrel."""

    @property
    def focal_px(self) -> float:
        """Focal length in pixels."""
        return self.width / 2 / math.tan(math.radians(self.hfov_deg) / 2)

    def angles_deg(self, time_s: float) -> Floats:
        """Pan, tilt and roll at an instant, (3,)."""
        still = np.array([self.pan_deg, self.tilt_deg, self.roll_deg])
        if len(self.shake_deg) == 0:
            return still
        at = (time_s - self.shake_from_s) * self.shake_rate_hz
        grid = np.arange(len(self.shake_deg))
        return still + [np.interp(at, grid, self.shake_deg[:, axis]) for axis in range(3)]

    def rotation(self, time_s: float) -> Floats:
        """(3, 3), rows: right, down, forward of the camera in the world's axes."""
        pan, tilt, roll = (math.radians(angle) for angle in self.angles_deg(time_s))
        (cos_p, sin_p), (cos_t, sin_t), (cos_r, sin_r) = (
            (math.cos(angle), math.sin(angle)) for angle in (pan, tilt, roll)
        )
        right = np.array([sin_p, -cos_p, 0.0])
        down = np.array([cos_p * sin_t, sin_p * sin_t, -cos_t])
        forward = np.array([cos_p * cos_t, sin_p * cos_t, sin_t])
        return np.array([cos_r * right + sin_r * down, cos_r * down - sin_r * right, forward])

    def view_projection(self, time_s: float) -> Floats:
        """(4, 4) world to clip space (y up, as OpenGL has it), without distortion."""
        rotation = self.rotation(time_s) * np.array([[1.0], [-1.0], [-1.0]])
        view = np.eye(4)
        view[:3, :3] = rotation
        view[:3, 3] = -rotation @ self.position
        focal = 2 * self.focal_px / self.width
        span = FAR_M - NEAR_M
        lens = np.array(
            [
                [focal, 0, 0, 0],
                [0, focal * self.width / self.height, 0, 0],
                [0, 0, -(FAR_M + NEAR_M) / span, -2 * FAR_M * NEAR_M / span],
                [0, 0, -1, 0],
            ]
        )
        return lens @ view

    def rays(self, time_s: float) -> Floats:
        """(3, 3): a picture's (x, y, 1), x and y from -1 to 1 with y up, to a ray in the world."""
        focal = 2 * self.focal_px / self.width
        lens = np.diag([1 / focal, self.height / self.width / focal, 1.0])
        right, down, forward = self.rotation(time_s)
        return np.stack([right, -down, forward], 1) @ lens

    def project(self, points: ArrayLike, time_s: float) -> tuple[Floats, Floats]:
        """Pixels (..., 2) and depth (...) of world points at an instant; behind the lens is NaN."""
        return self._on_picture(
            (np.asarray(points, float) - self.position) @ self.rotation(time_s).T
        )

    def project_each(self, points: Floats, times_s: Floats) -> tuple[Floats, Floats]:
        """The same of (n, 3) points, each at its own instant."""
        turned = np.stack([self.rotation(float(time_s)) for time_s in times_s])
        return self._on_picture(np.einsum("nij,nj->ni", turned, points - self.position))

    def _on_picture(self, seen: Floats) -> tuple[Floats, Floats]:
        """Of points right, down and forward of the camera."""
        depth = seen[..., 2]
        depth = np.where(depth > NEAR_M, depth, np.nan)
        flat = seen[..., :2] / depth[..., None]
        flat = flat * (1 + self.distortion * (flat**2).sum(-1, keepdims=True))
        middle = np.array([(self.width - 1) / 2, (self.height - 1) / 2])
        return flat * self.focal_px + middle, depth

    def resized(self, width: int, height: int) -> Camera:
        """The same camera, storing another number of pixels of the same shape."""
        return replace(self, width=width, height=height)


@dataclass(frozen=True, slots=True)
class Station:
    """How somebody put the phone up."""

    view: str
    distance_m: float
    height_m: float
    off_axis_deg: float = 0.0
    """Error of the standpoint about the golfer; positive moves the camera toward the target."""
    hfov_deg: float = 40.0
    aim_height_m: float = 0.95
    roll_deg: float = 0.0


def stand(station: Station, size: tuple[int, int], ball_x_m: float = 0.75) -> Camera:
    """The camera of a station: on a line through mid-stance, or (down the line) the hands."""
    face_on = station.view == FACE_ON
    aim = np.array([0.25 if face_on else ball_x_m * 0.45, 0.0, station.aim_height_m])
    heading = np.radians(station.off_axis_deg)
    away = np.array([np.cos(heading), np.sin(heading), 0.0])
    if not face_on:
        away = np.array([np.sin(heading), -np.cos(heading), 0.0])
    position = aim + away * station.distance_m
    position[2] = station.height_m
    look = aim - position
    return Camera(
        view=station.view,
        width=size[0],
        height=size[1],
        hfov_deg=station.hfov_deg,
        position=position,
        pan_deg=float(np.degrees(np.arctan2(look[1], look[0]))),
        tilt_deg=float(np.degrees(np.arctan2(look[2], np.hypot(look[0], look[1])))),
        roll_deg=station.roll_deg,
    )


def hand_shake(
    rng: np.random.Generator, duration_s: float, amount_deg: float, rate_hz: float = 60.0
) -> Floats:
    """Small turns of a hand-held phone, (k, 3): low-passed noise of about 0.3 to 4 Hz."""
    count = int(np.ceil((duration_s + 1.0) * rate_hz)) + 1
    grid = np.arange(count) / rate_hz
    shake = np.zeros((count, 3))
    for hz in (0.3, 0.7, 1.3, 2.4, 4.1):
        phase = rng.uniform(0, 2 * np.pi, 3)
        strength = rng.normal(0, 1, 3) * amount_deg / (1 + hz)
        shake += strength * np.sin(2 * np.pi * hz * grid[:, None] + phase)
    return shake * np.array([1.0, 1.0, 0.5])
