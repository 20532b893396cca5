"""Everything that one clip shows, set up for drawing frame after frame."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from studio.camera import Camera
from studio.draw.backdrop import Backdrop, Development
from studio.draw.club import ball_parts, club_parts, club_transforms
from studio.draw.exposure import Shutter, pieces_needed
from studio.draw.light import Light
from studio.draw.mesh import Floats
from studio.draw.painter import STANCE_M, Cast, Painter, Region, Shot, union
from studio.draw.parts import Part
from studio.draw.rigid import Rigid
from studio.draw.tiles import Mask, tiles_about
from studio.dressed import Dressed

SLOW_POINTS = (
    "lead_wrist", "trail_wrist", "lead_knuckle", "trail_knuckle", "lead_elbow", "trail_elbow",
    "nose", "lead_knee", "trail_knee", "lead_toe", "trail_toe",
)  # fmt: skip
FAST_POINTS = ("butt", "hosel", "head")
BLOCKERS = {
    "lead_ankle": 0.07, "trail_ankle": 0.07, "lead_toe": 0.06, "trail_toe": 0.06,
    "lead_knee": 0.08, "trail_knee": 0.08, "lead_hip": 0.14, "trail_hip": 0.14,
    "lead_shoulder": 0.15, "trail_shoulder": 0.15,
}  # fmt: skip
"""Balls that stand for the body where it keeps the sky's light from the ground: radius, metres."""
SLOW_STEP_PX, FAST_STEP_PX = 3.0, 2.5
MOST_SLOW, MOST_FAST = 12, 96
MOST_STREAK_PX = 90.0
"""A ball that flies further than this while a row is open is drawn as a row of dots, not a line."""
STILL_PX = 0.3
"""Rows are told apart in time only where something moves further than this from top to bottom."""
BLURRED_PX = 60.0
"""A club that moves further than this while a row is open casts no shadow that could be seen."""
SPARSE_M = 0.05
"""Size of the cells by which a figure's outline is known before it is drawn."""
BEHIND_M = 0.16
"""A joint this far behind the first surface is hidden: more than half a limb's thickness."""


@dataclass(frozen=True, slots=True, eq=False)
class Scenery:
    """What does not move."""

    camera: Camera
    light: Light
    backdrop: Backdrop
    shutter: Shutter
    development: Development
    shadow_soft: float = 1.2


class Stage:
    """One golfer, one place, one camera."""

    def __init__(self, dressed: Dressed, scenery: Scenery) -> None:
        self.acting = acting = dressed.acting
        self.scenery = scenery
        self._golfer = dressed.player
        self._keyed = dressed.keyed
        self._club = Rigid(club_parts(acting.performance, dressed.look.club))
        self._ball = Rigid(ball_parts(dressed.look.club))
        self._painter = Painter(
            scenery.camera, scenery.backdrop, scenery.light, scenery.shadow_soft
        )
        self._sparse = _sparse_skin(self._golfer.parts)
        self._cast = Cast(
            slow=(self._golfer,),
            fast=(self._club,) if acting.performance.rehearsal else (self._club, self._ball),
            pose_slow=self._pose_golfer,
            pose_fast=self._pose_club,
        )

    def frame(self, time_s: float) -> NDArray[np.uint8]:
        """(height, width, 3) RGB of the frame whose middle row's exposure is centred there."""
        return self._painter.draw(self._plan(time_s), self._cast, self.scenery.development)

    def empty(self, time_s: float) -> NDArray[np.uint8]:
        """The same frame with nobody in it."""
        plan = self._plan(time_s)
        nobody = Cast((), (), lambda _: None, lambda _: None)
        return self._painter.draw(plan, nobody, self.scenery.development)

    def visible(self, names: tuple[str, ...], time_s: float) -> dict[str, bool]:
        """Which points of the last frame drawn are in the picture with nothing far in front."""
        camera = self.scenery.camera
        points = np.array([self.acting.point(name, time_s) for name in names])
        pixels, depth = camera.project(points, time_s)
        nearest = self._painter.nearest(pixels)
        inside = (pixels > -0.5).all(1) & (pixels < [camera.width - 0.5, camera.height - 0.5]).all(
            1
        )
        hidden = nearest < depth - BEHIND_M
        if self.acting.performance.rehearsal:
            inside &= np.array([name != "ball" for name in names])
        return {name: bool(ok) for name, ok in zip(names, inside & ~hidden, strict=True)}

    def _pose_golfer(self, time_s: float) -> None:
        times = self._rolls(SLOW_POINTS, time_s)
        self._golfer.pose(*(self.acting.bones(when) for when in times))
        self._golfer.set_key(self._keyed.at(time_s))

    def _pose_club(self, time_s: float) -> None:
        times = self.scenery.shutter.rolls(time_s)
        self._club.pose(*(self._club_frame(when) for when in times))
        places = [np.hstack([np.eye(3), self.acting.ball(when)[:, None]]) for when in times]
        self._ball.pose(*places)

    def _club_frame(self, time_s: float) -> Floats:
        at = partial(self.acting.point, time_s=time_s)
        return club_transforms(at("butt"), at("hosel"), at("face_normal"))

    def _rolls(self, names: tuple[str, ...], time_s: float) -> tuple[float, ...]:
        """Instants of the middle, top and bottom row; the middle one's alone where that will do."""
        times = self.scenery.shutter.rolls(time_s)
        speed = self._speed_px(names, time_s)
        return times if speed * self.scenery.shutter.readout_s > STILL_PX else times[:1]

    def _plan(self, time_s: float) -> Shot:
        camera, shutter = self.scenery.camera, self.scenery.shutter
        slow = pieces_needed(
            self._speed_px(SLOW_POINTS, time_s), shutter.exposure_s, SLOW_STEP_PX, MOST_SLOW
        )
        moved = self._speed_px(FAST_POINTS, time_s) * shutter.exposure_s
        streak = min(self._ball_speed_px(time_s) * shutter.exposure_s, MOST_STREAK_PX)
        steps = np.clip(max(moved, streak) / FAST_STEP_PX, 1, MOST_FAST)
        each = int(np.ceil(steps / slow))
        fast_at = shutter.pieces(time_s, slow * each).reshape(slow, each)
        fast = [[self._fast_region(float(when)) for when in row] for row in fast_at]
        skin = self._skin(np.array(shutter.rolls(time_s)[1:]))
        margin = 6.0 + SLOW_STEP_PX
        body = _region(camera.project(skin, time_s)[0], camera, margin)
        slow_region = union(body, *(region for row in fast for region in row))
        return Shot(
            time_s=time_s,
            slow_at=shutter.pieces(time_s, slow),
            fast_at=fast_at,
            slow_region=slow_region,
            fast_regions=fast,
            lit=self._lit(skin, self._swept(fast_at), time_s),
            blockers=np.array(
                [[*self.acting.point(name, time_s), size] for name, size in BLOCKERS.items()]
            ),
            stance=self._stance(time_s),
            club_shadow=moved < BLURRED_PX,
        )

    def _stance(self, time_s: float) -> Floats:
        """(2,) the ground between the feet."""
        feet = [self.acting.point(f"{side}_ankle", time_s)[:2] for side in ("lead", "trail")]
        return np.mean(feet, axis=0)

    def _swept(self, fast_at: Floats) -> Floats:
        """(n, 3) points along the shaft, and the ball, over all instants of a frame."""
        half = self.scenery.shutter.readout_s / 2
        first, last = float(fast_at.min()) - half, float(fast_at.max()) + half
        points = []
        for time_s in np.linspace(first, last, 2 + min(fast_at.size, 10)):
            butt, head = (self.acting.point(name, float(time_s)) for name in ("butt", "head"))
            points += [butt + share * (head - butt) for share in np.linspace(0, 1, 16)]
            points.append(self.acting.ball(float(time_s)))
        return np.array(points)

    def _fast_region(self, time_s: float) -> Region:
        """The box about club and ball at an instant, whichever row sees them."""
        camera = self.scenery.camera
        times = self._rolls(FAST_POINTS, time_s)
        names = FAST_POINTS if self.acting.performance.rehearsal else (*FAST_POINTS, "ball")
        points = np.array([[self.acting.point(name, when) for name in names] for when in times])
        return _region(
            camera.project(points, time_s)[0].reshape(-1, 2), camera, 0.11 * self._px_per_m(time_s)
        )

    def _ball_speed_px(self, time_s: float) -> float:
        """Of the ball while it is in the picture."""
        camera = self.scenery.camera
        pixel = camera.project(self.acting.ball(time_s), time_s)[0]
        inside = (pixel > -100).all() and (pixel < [camera.width + 100, camera.height + 100]).all()
        return self._speed_px(("ball",), time_s) if inside else 0.0

    def _speed_px(self, names: tuple[str, ...], time_s: float) -> float:
        """Pixels in a second of the fastest of some points."""
        step = 0.002
        ends = [
            self.scenery.camera.project(
                [self.acting.point(name, time_s + side * step) for name in names], time_s
            )[0]
            for side in (-1, 1)
        ]
        speeds = np.linalg.norm(ends[1] - ends[0], axis=-1) / (2 * step)
        return float(np.nanmax(speeds, initial=0.0))

    def _lit(self, skin: Floats, club: Floats, time_s: float) -> Mask:
        """Tiles of the picture with golfer, club, ball, or their shade on the ground."""
        camera = self.scenery.camera
        size = (camera.width, camera.height)
        finest = 1.3 * SPARSE_M * self._px_per_m(time_s)

        def about(points: Floats, reach: float) -> Mask:
            return tiles_about(camera.project(points, time_s)[0], size, reach)

        sun = self.scenery.light.toward_sun
        solid = np.vstack([skin, club])
        fallen = solid - sun * (solid[:, 2:] / sun[2])
        longer = float(np.clip(0.7 / sun[2], 1.0, 2.5))
        ground = np.append(self._stance(time_s), 0.0) + STANCE_M * _disc()
        head = 0.11 * self._px_per_m(time_s)
        return (
            about(skin, finest)
            | about(club, max(head, finest))
            | about(fallen, finest * longer)
            | about(ground, finest)
        )

    def _skin(self, times: Floats) -> Floats:
        points, bones, weights = self._sparse
        placed = []
        for time_s in times:
            moves = self.acting.bones(float(time_s))[bones]
            moved = np.einsum("vbij,vj->vbi", moves[..., :3], points) + moves[..., 3]
            placed.append((moved * weights[..., None]).sum(1))
        return np.concatenate(placed)

    def _px_per_m(self, time_s: float) -> float:
        camera = self.scenery.camera
        away = np.linalg.norm(self.acting.point("hands", time_s) - camera.position)
        return float(camera.focal_px / away)


def _sparse_skin(parts: list[Part]) -> tuple[Floats, NDArray[np.int32], Floats]:
    """A vertex for each small cell of space that a part runs through, with its four main bones."""
    points = np.concatenate([part.mesh.points for part in parts])
    owner = np.repeat(np.arange(len(parts)), [len(part.mesh) for part in parts])
    cells = np.column_stack([owner, np.floor(points / SPARSE_M)])
    rows = np.unique(cells, axis=0, return_index=True)[1]
    bones = np.concatenate([part.mesh.bones for part in parts])[rows, :4]
    weights = np.concatenate([part.mesh.weights for part in parts])[rows, :4]
    return points[rows], bones, weights / weights.sum(1, keepdims=True)


def _disc() -> Floats:
    """(n, 3) points all over a disc of radius 1 on the ground."""
    grid = np.linspace(-1, 1, 23)
    points = np.stack([*np.meshgrid(grid, grid), np.zeros((23, 23))], -1).reshape(-1, 3)
    return points[np.linalg.norm(points, axis=1) <= 1.0]


def _region(pixels: Floats, camera: Camera, margin: float) -> Region:
    """The box around points, from the bottom left, inside the picture, at least a few pixels."""
    known = pixels[np.isfinite(pixels).all(1)]
    if len(known) == 0:
        return (0, 0, 2, 2)
    low = np.floor(known.min(0) - margin).astype(int)
    high = np.ceil(known.max(0) + margin).astype(int) + 1
    left, right = np.clip([low[0], high[0]], 0, camera.width)
    top, bottom = np.clip([low[1], high[1]], 0, camera.height)
    return _even(
        int(left), int(camera.height - bottom), int(right), int(camera.height - top), camera
    )


def _even(left: int, low: int, right: int, high: int, camera: Camera) -> Region:
    """Edges on even pixels, so that they stay whole when drawn finer; never empty."""
    left, low = min(left // 2 * 2, camera.width - 2), min(low // 2 * 2, camera.height - 2)
    right, high = max(-(-right // 2) * 2, left + 2), max(-(-high // 2) * 2, low + 2)
    return left, low, right - left, high - low
