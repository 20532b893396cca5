"""The still part of the picture: drawn once for a clip, a little wider than the frame."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import moderngl
import numpy as np

from studio.camera import Camera
from studio.draw import gl
from studio.draw.light import Shadow
from studio.draw.mesh import Floats
from studio.draw.parts import Part
from studio.draw.player import Player, apply_light
from studio.draw.props import thing_parts
from studio.draw.trees import tree_picture
from studio.place import Place, Tree

FINER = 2
MARGIN = 1.12
"""How much wider than the frame, for the shake of the hand."""
SURFACES = ("fairway", "rough", "tarmac", "turf")
STILL = np.eye(4)[None, :3]


@dataclass(frozen=True, slots=True, eq=False)
class Bystander:
    """Somebody standing about: parts, and rest-to-world transforms of the bones."""

    parts: list[Part]
    transforms: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Backdrop:
    """A picture of the place; alpha is 1 where the golfer's shadow may fall."""

    picture: moderngl.Texture
    """8 bits: the square root of half the light."""
    from_rays: Floats
    """(3, 3) a ray in the world to the picture's -1..1, y up, after division by the third."""
    aligned: bool
    """Whether its pixels are the frame's: the camera stands on a tripod."""

    def toned(self, development: Development) -> moderngl.Texture:
        """The same picture as the phone stores it, 8 bits, sharpened, without noise."""
        texture = gl.context().texture(self.picture.size, 4, dtype="f1")
        texture.filter = (moderngl.LINEAR, moderngl.LINEAR)
        texture.repeat_x = texture.repeat_y = False
        gl.context().framebuffer([texture]).use()
        shader = gl.program("screen.vert", "toned.frag")
        gl.bind(shader, 0, "backdrop", self.picture)
        gl.set_uniforms(
            shader,
            exposure=development.exposure,
            balance=development.balance,
            sharpen=development.sharpen,
        )
        gl.fill(shader)
        return texture


@dataclass(frozen=True, slots=True)
class Development:
    """The phone's own processing."""

    exposure: float = 1.0
    sharpen: float = 0.5
    grain: float = 0.012
    balance: tuple[float, float, float] = (1.0, 1.0, 1.0)


def margin(camera: Camera) -> float:
    """How much wider than the frame a backdrop must be."""
    return MARGIN if len(camera.shake_deg) else 1.0


def wide(camera: Camera) -> Camera:
    """The camera at rest, seeing a little more on each side where it will shake."""
    half = np.tan(np.radians(camera.hfov_deg) / 2) * margin(camera)
    return replace(
        camera, hfov_deg=float(2 * np.degrees(np.arctan(half))), shake_deg=np.zeros((0, 3))
    )


def draw_backdrop(camera: Camera, place: Place, bystanders: list[Bystander]) -> Backdrop:
    """Draw the place as the camera sees it."""
    seen = wide(camera)
    more = margin(camera)
    size = (int(camera.width * more), int(camera.height * more))
    players = _players(place, bystanders)
    shadow = Shadow(place.light.toward_sun, np.array([0.0, 2.0, 0.5]), 9.0)
    gl.context().enable(moderngl.DEPTH_TEST)
    shadow.cast(players)
    large = gl.context().texture((size[0] * FINER, size[1] * FINER), 4, dtype="f2")
    depth = gl.context().depth_renderbuffer(large.size)
    target = gl.context().framebuffer([large], depth)
    screen = _screen_picture(place) if place.room else _blank()
    target.use()
    target.clear(depth=1.0)
    _draw_far(seen, place, shadow, screen)
    _draw_trees(seen, place)
    _draw_players(seen, place, shadow, players)
    return Backdrop(
        _shrunk(large, size), np.asarray(np.linalg.inv(seen.rays(0.0)), np.float64), more == 1.0
    )


def place_uniforms(place: Place) -> dict[str, Any]:
    """What the outdoor and indoor shaders need to know of a place."""
    ground, sky = place.ground, place.sky
    mats, colours = np.zeros((3, 4)), np.zeros((3, 4))
    for row, (mat, colour) in enumerate(zip(ground.mats, ground.mat_colours, strict=True)):
        mats[row], colours[row, :3] = mat, colour
    low, high = place.room or (np.zeros(3), np.ones(3))
    return {
        **place.light.uniforms(),
        "zenith": sky.zenith,
        "horizon": sky.horizon,
        "cloud": sky.cloud,
        "cloud_seed": sky.seed,
        "hills": sky.hills,
        "grass": ground.colour,
        "surface": SURFACES.index(ground.surface),
        "blade": ground.blade_m,
        "stripes": ground.stripes_m,
        "worn": ground.worn,
        "bunkers": _bunkers(place),
        "mats": mats,
        "mat_colour": colours,
        "hall": int(place.room is not None),
        "room_low": low,
        "room_high": high,
        "wall_colour": place.wall,
    }


def _bunkers(place: Place) -> Floats:
    """(4, 4) sand hollows far off: middle and half sizes."""
    rng = np.random.default_rng(int(place.sky.seed * 1000))
    if place.room or place.ground.surface == "tarmac":
        return np.zeros((4, 4))
    heading = rng.uniform(0, 2 * np.pi, 4)
    far = rng.uniform(26, 80, 4)
    middle = np.stack([far * np.cos(heading), far * np.sin(heading)], 1)
    return np.hstack([middle, rng.uniform(2.5, 6, (4, 2))]) * (rng.random((4, 1)) < 0.7)


def _players(place: Place, bystanders: list[Bystander]) -> list[Player]:
    players = []
    parts = [part for thing in place.things for part in thing_parts(thing)]
    if parts:
        players.append(Player(parts, 1))
        players[0].pose(STILL)
    for bystander in bystanders:
        player = Player(bystander.parts, len(bystander.transforms))
        player.pose(bystander.transforms)
        players.append(player)
    return players


def _draw_far(camera: Camera, place: Place, shadow: Shadow, screen: moderngl.Texture) -> None:
    shader = gl.program("screen.vert", "backdrop.frag")
    context = gl.context()
    context.depth_func = "1"
    apply_light(
        shader,
        {
            **place_uniforms(place),
            **shadow.uniforms(),
            "eye": camera.position,
            "to_world": camera.rays(0.0),
            "clip": camera.view_projection(0.0),
            "texture:screen": screen,
        },
    )
    gl.fill(shader)
    context.depth_func = "<="


def _draw_players(camera: Camera, place: Place, shadow: Shadow, players: list[Player]) -> None:
    from studio.draw.folds import folds_texture

    light = {
        **place.light.uniforms(),
        **shadow.uniforms(),
        "eye": camera.position,
        "share": 1.0,
        "texture:folds": folds_texture(),
    }
    for player in players:
        player.paint(camera.view_projection(0.0), light)


def _draw_trees(camera: Camera, place: Place) -> None:
    """Far ones first, each a picture that faces the camera."""
    shader = gl.program("sprite.vert", "sprite.frag")
    gl.context().disable(moderngl.CULL_FACE)
    gl.set_uniforms(
        shader,
        view_projection=camera.view_projection(0.0),
        sun_colour=place.light.sun,
        sky_colour=place.light.sky,
        horizon=place.sky.horizon,
    )
    away = [np.hypot(*(np.array(tree.at) - camera.position[:2])) for tree in place.trees]
    for index in np.argsort(-np.array(away)):
        _draw_tree(shader, camera, place, place.trees[index])


def _draw_tree(shader: moderngl.Program, camera: Camera, place: Place, tree: Tree) -> None:
    foot = np.array([*tree.at, 0.0])
    toward = foot[:2] - camera.position[:2]
    toward = toward / max(float(np.linalg.norm(toward)), 1e-9)
    right = np.array([toward[1], -toward[0], 0.0])
    side = float(right @ place.light.toward_sun)
    picture = _tree_texture(tree.kind, tree.seed, int(np.sign(side)) if abs(side) > 0.3 else 0)
    wide_m = tree.height_m * picture.width / picture.height
    up = np.array([0.0, 0.0, tree.height_m])
    corners = [foot - right * wide_m / 2, foot + right * wide_m / 2]
    rows = [
        [*corners[0], 0, 1],
        [*corners[1], 1, 1],
        [*(corners[0] + up), 0, 0],
        [*(corners[1] + up), 1, 0],
    ]
    gl.bind(shader, 0, "picture", picture)
    rng = np.random.default_rng(int(1000 * abs(tree.at[0])) + tree.seed)
    gl.set_uniforms(shader, tint=rng.uniform(0.75, 1.25) * rng.uniform(0.88, 1.12, 3))
    buffer = gl.context().buffer(np.array(rows, "f4"))
    array = gl.context().vertex_array(shader, [(buffer, "3f 2f", "place", "uv")])
    array.render(moderngl.TRIANGLE_STRIP)
    array.release()
    buffer.release()


@cache
def _tree_texture(kind: str, seed: int, side: int) -> moderngl.Texture:
    return gl.picture_texture(tree_picture(kind, seed, side))


@cache
def _blank() -> moderngl.Texture:
    return gl.picture_texture(np.zeros((2, 2, 4), np.uint8), smooth=False)


def _screen_picture(place: Place) -> moderngl.Texture:
    """What a hall's screen shows: a fairway under a sky, dim and soft."""
    from studio.draw.light import Light, sun_from

    outside = replace(
        place,
        room=None,
        light=Light(
            sun_from(200, 45), np.array([1.2, 1.15, 1.0]), place.light.sky * 0.6, place.light.ground
        ),
        ground=replace(
            place.ground,
            surface="fairway",
            colour=(0.09, 0.17, 0.04),
            mats=(),
            mat_colours=(),
            stripes_m=6.0,
        ),
        things=(),
        sky=replace(place.sky, hills=0.10, cloud=0.45),
    )
    camera = Camera("screen", 512, 320, 60.0, np.array([0.0, 0.0, 3.0]), 90.0, -3.0)
    shadow = Shadow(outside.light.toward_sun, np.zeros(3), 9.0)
    shadow.cast([])
    texture = gl.context().texture((512, 320), 4, dtype="f2")
    target = gl.context().framebuffer([texture], gl.context().depth_renderbuffer((512, 320)))
    target.use()
    target.clear(depth=1.0)
    _draw_far(camera, outside, shadow, _blank())
    texture.filter = (moderngl.LINEAR, moderngl.LINEAR)
    return texture


def _shrunk(large: moderngl.Texture, size: tuple[int, int]) -> moderngl.Texture:
    """Half the size, each pixel the mean of four, in 8 bits."""
    large.filter = (moderngl.LINEAR, moderngl.LINEAR)
    texture = gl.context().texture(size, 4, dtype="f1")
    texture.filter = (moderngl.LINEAR, moderngl.LINEAR)
    texture.repeat_x = texture.repeat_y = False
    gl.context().framebuffer([texture]).use()
    gl.context().disable(moderngl.DEPTH_TEST)
    shader = gl.program("screen.vert", "store.frag")
    gl.bind(shader, 0, "picture", large)
    gl.fill(shader)
    gl.context().enable(moderngl.DEPTH_TEST)
    return texture
