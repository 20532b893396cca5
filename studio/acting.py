"""A performance at any instant: bones, joints, club; and the ball after impact."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from studio.performance import Floats, Performance

GRAVITY = 9.81
DRAG = 0.0075
"""Slowing of a ball in air, 1/m: times the speed squared (drag coefficient 0.27, from memory)."""
SMASH = {"driver": 1.46, "hybrid": 1.42, "long iron": 1.38, "mid iron": 1.34, "wedge": 1.22}
"""Ball speed over head speed (common practice)."""
LAUNCH_DEG = {"driver": 12.0, "hybrid": 14.0, "long iron": 15.0, "mid iron": 18.0, "wedge": 26.0}


@dataclass(frozen=True, slots=True, eq=False)
class Acting:
    """A performance with its ball in flight."""

    performance: Performance
    ball_time_s: Floats = field(default_factory=lambda: np.zeros(0))
    ball_path: Floats = field(default_factory=lambda: np.zeros((0, 3)))

    def bones(self, time_s: float) -> Floats:
        """(B, 3, 4) transforms."""
        return self._between(self.performance.bone_transforms, time_s)

    def point(self, name: str, time_s: float) -> Floats:
        """(3,) a joint, or butt, hands, head, hosel, face_normal, ball."""
        if name == "ball":
            return self.ball(time_s)
        if name in self.performance.joints:
            return self._between(self.performance.joints[name], time_s)
        return self._between(getattr(self.performance, name), time_s)

    def path(self, name: str, times_s: Floats) -> Floats:
        """(n, 3) the same at many instants."""
        performance = self.performance
        if name == "ball" and len(self.ball_time_s) == 0:
            return np.tile(performance.ball, (len(times_s), 1))
        known_s, samples = self.ball_time_s, self.ball_path
        if name != "ball":
            joints = performance.joints
            known_s = performance.time_s
            samples = joints[name] if name in joints else getattr(performance, name)
        return np.stack([np.interp(times_s, known_s, samples[:, axis]) for axis in range(3)], 1)

    def ball(self, time_s: float) -> Floats:
        """(3,) its centre: at rest until impact, then in flight."""
        if len(self.ball_time_s) == 0 or time_s <= self.ball_time_s[0]:
            return self.performance.ball
        return np.array(
            [np.interp(time_s, self.ball_time_s, self.ball_path[:, axis]) for axis in range(3)]
        )

    @property
    def ends_s(self) -> tuple[float, float]:
        """First and last instant of the performance."""
        return float(self.performance.time_s[0]), float(self.performance.time_s[-1])

    def _between(self, samples: NDArray[np.floating], time_s: float) -> Floats:
        times = self.performance.time_s
        after = min(max(int(times.searchsorted(time_s)), 1), len(times) - 1)
        begin, end = float(times[after - 1]), float(times[after])
        share = min(max((time_s - begin) / (end - begin), 0.0), 1.0)
        between = (1 - share) * samples[after - 1] + share * samples[after]
        return np.asarray(between, np.float64)


def act(performance: Performance) -> Acting:
    """The performance with the flight that its impact gives the ball."""
    impact = performance.moments.get("impact")
    if impact is None or performance.rehearsal:
        return Acting(performance)
    plain = Acting(performance)
    step = 0.004
    velocity = (plain.point("head", impact + step) - plain.point("head", impact - step)) / (
        2 * step
    )
    kind = str(performance.club.get("kind", "mid iron"))
    speed = float(np.linalg.norm(velocity)) * SMASH.get(kind, 1.35)
    rise = np.radians(LAUNCH_DEG.get(kind, 17.0))
    heading = velocity[:2] / max(float(np.linalg.norm(velocity[:2])), 1e-9)
    launch = np.array([*(heading * np.cos(rise)), np.sin(rise)]) * speed
    times, path = _flight(performance.ball, launch)
    return Acting(performance, impact + times, path)


def _flight(start: Floats, velocity: Floats) -> tuple[Floats, Floats]:
    """(k,) seconds from impact and (k, 3) positions: gravity, drag, and lift of half the weight."""
    step, place, path = 0.004, start.copy(), [start.copy()]
    for _ in range(1000):
        slow = DRAG * float(np.linalg.norm(velocity)) * velocity
        velocity = velocity - step * (slow + np.array([0.0, 0.0, GRAVITY * 0.5]))
        place = place + step * velocity
        path.append(place.copy())
        if place[2] < 0.0:
            break
    return step * np.arange(len(path), dtype=np.float64), np.array(path)
