"""Draws one frame: still picture, figures over their exposure, what the phone makes of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import moderngl
import numpy as np
from numpy.typing import NDArray

from studio.camera import FAR_M, NEAR_M, Camera
from studio.draw import gl
from studio.draw.backdrop import Backdrop, Development
from studio.draw.folds import folds_texture
from studio.draw.light import Light, Shadow
from studio.draw.mesh import Floats
from studio.draw.player import Player, apply_light
from studio.draw.rigid import Rigid
from studio.draw.tiles import Mask, corners_of, grown

Region = tuple[int, int, int, int]
"""Part of a picture: left, bottom, width, height, in pixels from the bottom left."""
FINER = 1.5
"""Drawn pixels across one of the picture, where an instant is drawn only once."""
MOST_BLOCKERS = 16
STANCE_M = 0.75
"""How far from the feet the body darkens the ground by hiding the sky."""


@dataclass(frozen=True, slots=True, eq=False)
class Cast:
    """Who is drawn, and how to pose them for an instant of the middle row."""

    slow: tuple[Player, ...]
    fast: tuple[Rigid, ...]
    """Drawn at more instants: club and ball."""
    pose_slow: Callable[[float], None]
    pose_fast: Callable[[float], None]


@dataclass(frozen=True, slots=True, eq=False)
class Shot:
    """One frame to draw."""

    time_s: float
    slow_at: Floats
    """(k,) instants at which to draw the slow figures."""
    fast_at: Floats
    """(k, m) instants of the fast ones, for each of the slow ones."""
    slow_region: Region
    fast_regions: list[list[Region]]
    lit: Mask
    """Tiles in which figures or their shadow on the ground are, with some room about them."""
    blockers: Floats
    """(k, 4) balls that keep the sky from the ground: centre and radius, metres."""
    stance: Floats
    """(2,) middle of the feet."""
    club_shadow: bool = True


class Painter:
    """Holds the targets for one picture size, and draws frames of one place with one camera."""

    def __init__(self, camera: Camera, backdrop: Backdrop, light: Light, soft: float) -> None:
        self.camera = camera
        self.backdrop = backdrop
        self.light = light
        self.soft = soft
        self.shadow = Shadow(light.toward_sun, np.array([0.3, 0.0, 0.9]))
        self._size = size = (camera.width, camera.height)
        large = (int(camera.width * FINER) + 2, int(camera.height * FINER) + 2)
        depth = gl.context().depth_texture(large)
        depth.compare_func = ""
        self._depth_of: tuple[Region, float] = ((0, 0, 2, 2), 1.0)
        self._slow = _target(large, depth)
        self._fast = _target(large, depth)
        self._sum = _target(size)
        self._graded = _target(size, kind="f1")
        self._shade = _target((64, 64), kind="f1")
        self._toned: moderngl.Texture | None = None
        self._picture = _target(size, kind="f1")

    def draw(self, shot: Shot, cast: Cast, development: Development) -> NDArray[np.uint8]:
        """(height, width, 3) RGB, row 0 at the top."""
        self._cast_shadow(shot, cast)
        self._sum.use()
        self._sum.clear()
        for index in range(len(shot.slow_at)):
            self._expose(shot, cast, index)
        self._compose(shot, development)
        data = self._bend().read(components=3, alignment=1)
        flipped = np.frombuffer(data, np.uint8).reshape(self.camera.height, self.camera.width, 3)
        return flipped[::-1]

    def nearest(self, pixels: Floats) -> Floats:
        """(n,) distance along the optical axis to the figure's first surface at pixels.

        Of the last frame drawn; infinite where there is none.
        """
        (left, bottom, width, height), finer = self._depth_of
        box = (0, 0, int(width * finer), int(height * finer))
        data = self._slow.read(viewport=box, attachment=-1, dtype="f4", components=1)
        stored = np.frombuffer(data, "f4").reshape(box[3], box[2])
        column = np.floor((pixels[:, 0] + 0.5 - left) * finer)
        row = np.floor((self.camera.height - 0.5 - pixels[:, 1] - bottom) * finer)
        known = (column >= 0) & (column < box[2]) & (row >= 0) & (row < box[3])
        cell = np.where(known, row, 0).astype(int), np.where(known, column, 0).astype(int)
        depth = 2.0 * stored[cell].astype(float) - 1.0
        away = 2 * FAR_M * NEAR_M / (FAR_M + NEAR_M - depth * (FAR_M - NEAR_M))
        return np.where(known & (depth < 1.0), away, np.inf)

    def _cast_shadow(self, shot: Shot, cast: Cast) -> None:
        cast.pose_slow(shot.time_s)
        cast.pose_fast(shot.time_s)
        gl.context().enable(moderngl.DEPTH_TEST)
        self.shadow.cast([*cast.slow, *(cast.fast if shot.club_shadow else ())])

    def _expose(self, shot: Shot, cast: Cast, index: int) -> None:
        """Draw one part of the exposure: the slow figures, and over them club and ball."""
        parts = len(shot.slow_at)
        finer = FINER if parts == 1 else 1.0
        shift = _jitter(index) if parts > 1 else np.zeros(2)
        frame = (shot.slow_region, finer)
        self._depth_of = frame
        gl.context().enable(moderngl.DEPTH_TEST)
        if parts > 1:
            cast.pose_slow(float(shot.slow_at[index]))
        crop = _crop(shot.slow_region, self.camera, shift)
        matrix = crop @ self.camera.view_projection(shot.time_s)
        self._paint_slow(frame, cast, matrix, shot.time_s)
        self._gather(frame, (shot.slow_region, shot.lit), 1.0 / parts, fast=False)
        if cast.fast:
            region = self._paint_fast(shot, cast, (frame, matrix), index)
            self._gather(frame, (region, shot.lit), 1.0 / parts, fast=True)

    def _paint_slow(
        self, frame: tuple[Region, float], cast: Cast, matrix: Floats, time_s: float
    ) -> None:
        (_, _, width, height), finer = frame
        box = (0, 0, int(width * finer), int(height * finer))
        self._slow.use()
        self._slow.clear(depth=1.0, viewport=box)
        self._slow.viewport = box
        for player in cast.slow:
            player.paint(matrix, self._lighting(time_s))

    def _paint_fast(
        self, shot: Shot, cast: Cast, view: tuple[tuple[Region, float], Floats], index: int
    ) -> Region:
        """Club and ball at all their instants, laid over one another; where that is.

        They heed the slow figures' depth without touching it.
        """
        (slow, finer), matrix = view
        times, regions = shot.fast_at[index], shot.fast_regions[index]
        region = union(*regions)
        context = gl.context()
        self._fast.use()
        self._fast.depth_mask = False
        self._fast.clear(viewport=_inner(region, slow, finer))
        self._fast.viewport = (0, 0, int(slow[2] * finer), int(slow[3] * finer))
        light = self._lighting(shot.time_s) | {"share": 1.0 / len(times)}
        if len(times) > 1:
            context.enable(moderngl.BLEND)
            context.blend_func = moderngl.ONE, moderngl.ONE
        for time_s, part in zip(times, regions, strict=True):
            if shot.fast_at.size > 1:
                cast.pose_fast(float(time_s))
            self._fast.scissor = _inner(part, slow, finer)
            for rigid in cast.fast:
                rigid.paint(matrix, light)
        context.disable(moderngl.BLEND)
        self._fast.scissor = None
        self._fast.depth_mask = True
        return region

    def _gather(
        self, frame: tuple[Region, float], part: tuple[Region, Mask], share: float, fast: bool
    ) -> None:
        """Add what was drawn to the frame, in those tiles that lie in a region."""
        shader = gl.program("screen.vert", "gather.frag")
        gl.bind(shader, 0, "instant", (self._fast if fast else self._slow).color_attachments[0])
        gl.bind(shader, 1, "under", self._slow.color_attachments[0])
        shader["hides"].value = int(fast)
        shader["finer"].value = frame[1]
        shader["part_corner"].value = frame[0][:2]
        shader["share"].value = share
        context = gl.context()
        self._sum.use()
        self._sum.scissor = part[0]
        context.disable(moderngl.DEPTH_TEST)
        context.enable(moderngl.BLEND)
        context.blend_func = moderngl.ONE, moderngl.ONE
        gl.fill_part(shader, corners_of(part[1], self._size))
        context.disable(moderngl.BLEND)
        context.enable(moderngl.DEPTH_TEST)
        self._sum.scissor = None

    def _compose(self, shot: Shot, development: Development) -> None:
        """The whole picture from the finished still one; then anew where something moves."""
        gl.context().disable(moderngl.DEPTH_TEST)
        to_world = self.camera.rays(shot.time_s)
        to_backdrop = self.backdrop.from_rays @ to_world
        toned = self._toned_backdrop(development)
        still = gl.program("screen.vert", "still.frag", define=self._alignment())
        gl.bind(still, 0, "backdrop", toned)
        self._finish(still, development, shot)
        gl.set_uniforms(still, to_backdrop=to_backdrop)
        self._picture.use()
        gl.fill(still)
        self._shade_ground(shot)
        self._grade(shot, development, to_world, to_backdrop)
        develop = gl.program("screen.vert", "develop.frag")
        gl.bind(develop, 0, "graded", self._graded.color_attachments[0])
        self._finish(develop, development, shot)
        self._picture.use()
        gl.fill_part(develop, corners_of(shot.lit, self._size))

    def _shade_ground(self, shot: Shot) -> None:
        """The map of how much sky the body leaves open about the feet."""
        shader = gl.program("screen.vert", "ground_shade.frag")
        blockers = np.zeros((MOST_BLOCKERS, 4))
        blockers[: len(shot.blockers)] = shot.blockers
        gl.set_uniforms(
            shader,
            blockers=blockers,
            blocker_count=len(shot.blockers),
            stance=shot.stance,
            reach=STANCE_M,
        )
        self._shade.use()
        gl.fill(shader)

    def _grade(
        self, shot: Shot, development: Development, to_world: Floats, to_backdrop: Floats
    ) -> None:
        shader = gl.program("screen.vert", "compose.frag", define=self._alignment())
        gl.bind(shader, 0, "figures", self._sum.color_attachments[0])
        gl.bind(shader, 1, "backdrop", self.backdrop.picture)
        apply_light(
            shader,
            {
                **self._lighting(shot.time_s),
                "to_world": to_world,
                "to_backdrop": to_backdrop,
                "soft": self.soft,
                "texture:ground_shade": self._shade.color_attachments[0],
                "stance": shot.stance,
                "reach": STANCE_M,
                "exposure": development.exposure,
                "balance": development.balance,
            },
        )
        self._graded.use()
        # One tile more, so that sharpening finds what it looks at around the outer ones.
        gl.fill_part(shader, corners_of(grown(shot.lit), self._size))

    def _finish(self, shader: moderngl.Program, development: Development, shot: Shot) -> None:
        """Sharpening and noise, the latter other in each frame."""
        rng = np.random.default_rng(int(shot.time_s * 1e6) & 0xFFFFFFFF)
        gl.bind(shader, 1, "grains", _grains())
        shader["grain_shift"].value = tuple(int(value) for value in rng.integers(0, 512, 2))
        gl.set_uniforms(shader, sharpen=development.sharpen, grain=development.grain)

    def _alignment(self) -> str:
        return "ALIGNED" if self.backdrop.aligned else ""

    def _toned_backdrop(self, development: Development) -> moderngl.Texture:
        if self._toned is None:
            self._toned = self.backdrop.toned(development)
        return self._toned

    def _bend(self) -> moderngl.Framebuffer:
        """The finished picture, bent where the lens does so."""
        if self.camera.distortion == 0.0:
            return self._picture
        shader = gl.program("screen.vert", "lens.frag")
        gl.bind(shader, 0, "straight", self._picture.color_attachments[0])
        gl.set_uniforms(
            shader,
            size=(self.camera.width, self.camera.height),
            distortion=self.camera.distortion,
            focal=2 * self.camera.focal_px / self.camera.width,
        )
        self._graded.use()
        gl.fill(shader)
        return self._graded

    def _lighting(self, time_s: float) -> dict[str, Any]:
        whole = self.camera.view_projection(time_s)
        return {
            **self.light.uniforms(),
            **self.shadow.uniforms(),
            "eye": self.camera.position,
            "share": 1.0,
            "texture:folds": folds_texture(),
            "height_row": whole[1],
            "depth_row": whole[3],
        }


def union(*regions: Region) -> Region:
    """The smallest part that holds all of some parts."""
    left, low = min(one[0] for one in regions), min(one[1] for one in regions)
    right = max(one[0] + one[2] for one in regions)
    high = max(one[1] + one[3] for one in regions)
    return left, low, right - left, high - low


def _inner(region: Region, frame: Region, finer: float) -> Region:
    """Where a part of the picture lies in a frame that is drawn finer."""
    left, low = (int((region[k] - frame[k]) * finer) for k in (0, 1))
    return left, low, int(region[2] * finer), int(region[3] * finer)


def _target(
    size: tuple[int, int], depth: moderngl.Texture | None = None, kind: str = "f2"
) -> moderngl.Framebuffer:
    texture = gl.context().texture(size, 4, dtype=kind)
    texture.filter = (moderngl.LINEAR, moderngl.LINEAR)
    texture.repeat_x = texture.repeat_y = False
    return gl.context().framebuffer([texture], depth)


def _crop(region: Region, camera: Camera, shift: Floats) -> Floats:
    """Clip space of a part of the picture, moved by a part of a pixel."""
    left, bottom, width, height = region
    scale = np.array([camera.width / width, camera.height / height])
    middle = np.array([left + width / 2, bottom + height / 2]) + shift
    move = np.array([1 - 2 * middle[0] / camera.width, 1 - 2 * middle[1] / camera.height])
    matrix = np.diag([scale[0], scale[1], 1.0, 1.0])
    matrix[:2, 3] = move * scale
    return matrix


def _jitter(index: int) -> Floats:
    """A part of a pixel, other for each piece, so that many pieces smooth the edges."""
    golden = np.array([0.7548776662, 0.5698402910])
    return (0.5 + index * golden) % 1.0 - 0.5


@cache
def _grains() -> moderngl.Texture:
    """Noise of a sensor after the phone's own smoothing: fine in brightness, coarse in colour."""
    rng = np.random.default_rng(11)
    luma = rng.normal(0, 1, (512, 512, 1))
    luma = luma + 0.5 * np.roll(luma, 1, 0) + 0.5 * np.roll(luma, 1, 1)
    chroma = rng.normal(0, 1, (256, 256, 3)).repeat(2, 0).repeat(2, 1)
    rough = 0.5 + (luma + 0.6 * chroma) / 12.0
    return gl.picture_texture((np.clip(rough, 0, 1) * 255).astype(np.uint8), smooth=False)
