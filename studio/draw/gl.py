"""The OpenGL context and the shaders beside this file. One context for each process."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import moderngl
import numpy as np
from numpy.typing import ArrayLike, NDArray

SHADERS = Path(__file__).parent / "shaders"
_INCLUDE = re.compile(r'^#include "([\w.]+)"$', re.MULTILINE)


@cache
def context() -> moderngl.Context:
    """The process's own off-screen context, through EGL: a software one where there is no GPU."""
    made = moderngl.create_standalone_context(backend="egl")
    made.enable(moderngl.DEPTH_TEST)
    made.gc_mode = "auto"
    return made


@cache
def program(
    vertex: str, fragment: str = "", varyings: tuple[str, ...] = (), define: str = ""
) -> moderngl.Program:
    """A program of two shader files; with `varyings`, one that only captures what they hold.

    `define` holds words for the fragment shader's own conditions, with spaces between.
    """
    if varyings:
        return context().program(vertex_shader=_source(vertex), varyings=list(varyings))
    return context().program(
        vertex_shader=_source(vertex), fragment_shader=_defined(_source(fragment), define)
    )


def set_uniforms(shader: moderngl.Program, **values: ArrayLike) -> None:
    """Write uniforms by name; matrices are given row by row. Names the shader lacks are skipped."""
    for name, value in values.items():
        uniform = shader.get(name, None)
        if uniform is not None:
            array = np.asarray(value)
            if array.ndim == 2 and uniform.array_length == 1:
                uniform.write(np.ascontiguousarray(array.T, dtype="f4").tobytes())
            elif array.ndim == 0:
                uniform.value = array.item()
            else:
                uniform.write(np.ascontiguousarray(array, dtype="f4").tobytes())


def bind(shader: moderngl.Program, unit: int, name: str, texture: moderngl.Texture) -> None:
    """Let a sampler of the shader read a texture through a unit."""
    sampler = shader.get(name, None)
    if sampler is not None:
        texture.use(unit)
        sampler.value = unit


def picture_texture(
    pixels: np.ndarray, smooth: bool = True, repeat: bool = False
) -> moderngl.Texture:
    """A texture of an (h, w, c) array: bytes, or floats kept in half precision; row 0 at v = 0."""
    height, width, channels = pixels.shape
    kind = "f1" if pixels.dtype == np.uint8 else "f2"
    data = pixels if kind == "f1" else pixels.astype(np.float16)
    texture = context().texture((width, height), channels, np.ascontiguousarray(data), dtype=kind)
    texture.repeat_x = texture.repeat_y = repeat
    if smooth:
        texture.build_mipmaps()
        texture.filter = (moderngl.LINEAR_MIPMAP_NEAREST, moderngl.LINEAR)
    else:
        texture.filter = (moderngl.NEAREST, moderngl.NEAREST)
    return texture


@cache
def screen_square() -> moderngl.Buffer:
    """The four corners of a target, for a pass over all of its pixels."""
    return context().buffer(np.array([-1, -1, 1, -1, -1, 1, 1, 1], "f4"))


@cache
def _square_of(shader: moderngl.Program) -> moderngl.VertexArray:
    return context().vertex_array(shader, [(screen_square(), "2f", "corner")])


def fill(shader: moderngl.Program) -> None:
    """Run a shader over all pixels of the bound target."""
    _square_of(shader).render(moderngl.TRIANGLE_STRIP)


def fill_part(shader: moderngl.Program, corners: NDArray[np.float32]) -> None:
    """Run a shader over the pixels of some triangles, (n, 2) in -1..1."""
    if len(corners) == 0:
        return
    buffer = context().buffer(corners)
    array = context().vertex_array(shader, [(buffer, "2f", "corner")])
    array.render(moderngl.TRIANGLES)
    array.release()
    buffer.release()


def _defined(source: str, words: str) -> str:
    version, rest = source.split("\n", 1)
    return "\n".join([version, *(f"#define {word} 1" for word in words.split()), rest])


@cache
def _source(name: str) -> str:
    text = (SHADERS / name).read_text()
    return _INCLUDE.sub(lambda found: _source(found.group(1)), text)
