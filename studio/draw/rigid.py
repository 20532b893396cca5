"""Something stiff in the graphics memory: a club, a ball. Posed by one frame, drawn many times."""

from __future__ import annotations

from typing import Any

import moderngl
import numpy as np

from studio.draw import gl
from studio.draw.mesh import Floats, normals_of
from studio.draw.parts import Part
from studio.draw.player import apply_light, draw_faces

_FIELDS = {"rest": 3, "normal": 3, "uv": 2}


class Rigid:
    """Parts that one frame carries."""

    def __init__(self, parts: list[Part]) -> None:
        self._parts = parts
        self._frames = np.tile(np.eye(4), (3, 1, 1))
        self.rolling = False
        self._paint = [_array(part, part.shader) for part in parts]
        self._shadow = [_array(part, "depth.frag") for part in parts]

    def pose(self, middle: Floats, early: Floats | None = None, late: Floats | None = None) -> None:
        """Rest to world, (3, 4): at the middle row's instant, and at the top's and the bottom's."""
        self.rolling = early is not None and late is not None
        for row, frame in enumerate((middle, early, late)):
            if frame is not None:
                self._frames[row, :3] = frame

    def cast(self, view_projection: Floats) -> None:
        """Draw depth only, into the bound target."""
        shader = gl.program("rigid.vert", "depth.frag")
        gl.set_uniforms(shader, view_projection=view_projection, rolling=0.0)
        self._write_frames(shader)
        for array in self._shadow:
            array.render()

    def paint(self, view_projection: Floats, light: dict[str, Any]) -> None:
        """Draw all parts into the bound target."""
        for part, array in zip(self._parts, self._paint, strict=True):
            shader = gl.program("rigid.vert", part.shader)
            apply_light(shader, light)
            gl.set_uniforms(
                shader, view_projection=view_projection, rolling=float(self.rolling), **part.look
            )
            self._write_frames(shader)
            draw_faces(array, two_sided=False)

    def _write_frames(self, shader: moderngl.Program) -> None:
        data = np.ascontiguousarray(self._frames.transpose(0, 2, 1), "f4")
        shader["frames"].write(data.tobytes())


def _array(part: Part, fragment: str) -> moderngl.VertexArray:
    shader = gl.program("rigid.vert", fragment)
    mesh = part.mesh
    rows = np.hstack([mesh.points, normals_of(mesh), mesh.uv]).astype("f4")
    layout = " ".join(
        f"{size}f" if name in shader else f"{4 * size}x" for name, size in _FIELDS.items()
    )
    names = [name for name in _FIELDS if name in shader]
    context = gl.context()
    content = [(context.buffer(rows), layout, *names)]
    return context.vertex_array(shader, content, context.buffer(mesh.faces.astype("i4")))
