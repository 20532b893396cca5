"""Skin and face: one picture for each person, painted in the body's own texture coordinates."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import moderngl
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from studio.draw import gl
from studio.draw.anatomy import package_data, skin_mesh, template
from studio.draw.mesh import Floats
from studio.performance import Body
from studio.wardrobe.fabric import Colour

PIXELS = 1024
MASKS = ("lips", "eyelids", "ears", "fingernails")
EYE = np.array([0.1225, 0.0312, 1.5452])
"""Centre of the left eyeball in the template."""


@dataclass(frozen=True, slots=True)
class Complexion:
    """A person's colouring. Colours are linear light."""

    skin: Colour
    iris: Colour = (0.08, 0.05, 0.02)
    brow: Colour = (0.03, 0.02, 0.012)
    brow_width: float = 1.0
    beard: float = 0.0
    """0 shaven, 0.4 stubble, 1 full."""
    flush: float = 0.5
    """Redness of cheeks, nose, ears, knuckles."""
    freckles: float = 0.0
    age: float = 0.3
    """0 young, 1 old: lines and spots."""
    lips: float = 0.5
    """How much redder than the skin."""


def paint_skin(body: Body, complexion: Complexion) -> NDArray[np.uint8]:
    """(1024, 1024, 4): square root of the albedo, and the gloss; row 0 at v = 0."""
    mesh, vertex = skin_mesh(body)
    shader = gl.program("bake.vert", "skin_bake.frag")
    points = np.hstack([mesh.uv, template()[vertex], _eyeness(body)[vertex][:, None]])
    buffer = gl.context().buffer(points.astype("f4"))
    index = gl.context().buffer(mesh.faces.astype("i4"))
    array = gl.context().vertex_array(shader, [(buffer, "2f 3f 1f", "uv", "place", "eye")], index)
    target = gl.context().framebuffer([gl.context().texture((PIXELS, PIXELS), 4)])
    target.use()
    target.clear(*np.sqrt(complexion.skin), 0.3)
    gl.context().disable(moderngl.DEPTH_TEST)
    gl.context().disable(moderngl.CULL_FACE)
    for unit, name in enumerate(MASKS):
        gl.bind(shader, unit, name, _mask(name))
    gl.set_uniforms(
        shader,
        skin=complexion.skin,
        iris=complexion.iris,
        brow=complexion.brow,
        brow_width=complexion.brow_width,
        beard=complexion.beard,
        flush=complexion.flush,
        freckles=complexion.freckles,
        age=complexion.age,
        lip=complexion.lips,
        eye_centre=EYE,
        person=float(abs(hash(complexion)) % 977) / 10.0,
    )
    array.render()
    pixels = np.frombuffer(target.read(components=4), np.uint8).reshape(PIXELS, PIXELS, 4)
    gl.context().enable(moderngl.DEPTH_TEST)
    return _spread(pixels.copy())


def _eyeness(body: Body) -> Floats:
    chosen = np.isin(np.array(body.bones), ("eye.L", "eye.R"))
    return (body.skin_weights * chosen[body.skin_bones]).sum(1)


@cache
def _mask(name: str) -> moderngl.Texture:
    with Image.open(package_data() / f"mpfb2/textures/mpfb_{name}.jpg") as opened:
        small = opened.convert("L").resize((PIXELS, PIXELS))
    return gl.picture_texture(np.asarray(small)[::-1, :, None].copy())


def _spread(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Colours carried over the seams by a few pixels, so that smoothing finds no bare ground."""
    bare = pixels[..., 3] == round(0.3 * 255)
    for _ in range(4):
        for step, axis in ((1, 0), (-1, 0), (1, 1), (-1, 1)):
            moved, known = np.roll(pixels, step, axis), np.roll(~bare, step, axis)
            take = bare & known
            pixels[take] = moved[take]
            bare = bare & ~take
    return pixels
