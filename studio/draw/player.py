"""A figure in the graphics memory: posed once for an instant, then drawn as often as needed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import moderngl
import numpy as np
from numpy.typing import NDArray

from studio.draw import gl
from studio.draw.cover import TILE, atlas
from studio.draw.mesh import Floats, Mesh, normals_of, ordered
from studio.draw.parts import Part

_POSED = ("world_point", "world_normal")
_POSED_BYTES = 24
_POINT_BYTES = 12
_FULL, _EARLY, _LATE = range(3)


class Player:
    """Parts that share one set of bones: a golfer, a club, a ball."""

    def __init__(self, parts: list[Part], bones: int) -> None:
        self.parts = [replace(part, mesh=ordered(part.mesh)) for part in parts]
        meshes = [part.mesh for part in self.parts]
        self.count = sum(len(mesh) for mesh in meshes)
        self.rolling = False
        context = gl.context()
        self._bones = context.texture((3, bones), 4, dtype="f4")
        self._bones.filter = (moderngl.NEAREST, moderngl.NEAREST)
        sizes = (_POSED_BYTES, _POINT_BYTES, _POINT_BYTES)
        self._posed = [context.buffer(reserve=self.count * size) for size in sizes]
        self._skin = _skin_arrays(meshes)
        self._keyed = context.buffer(np.tile(np.array([1, 0, 0], "f4"), (self.count, 1)))
        self._still = context.buffer(_still_data(meshes))
        starts = np.cumsum([0, *(len(mesh) for mesh in meshes[:-1])])
        faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=True)]
        self._paint = [
            self._paint_array(part, context.buffer(face.astype("i4")))
            for part, face in zip(self.parts, faces, strict=True)
        ]
        solid = np.concatenate(
            [face for part, face in zip(self.parts, faces, strict=True) if part.solid]
        )
        self._shadow = self._depth_array(context.buffer(solid.astype("i4")))
        self._pictures = [
            {name: gl.picture_texture(pixels) for name, pixels in part.pictures.items()}
            for part in self.parts
        ]

    def pose(self, middle: Floats, early: Floats | None = None, late: Floats | None = None) -> None:
        """Move all vertices by the bones' rest-to-world transforms, (B, 3, 4).

        Those of the middle row's instant, and where rows differ of the top's and the bottom's.
        """
        self._transform(_FULL, middle)
        self.rolling = early is not None and late is not None
        if early is not None and late is not None:
            self._transform(_EARLY, early)
            self._transform(_LATE, late)

    def _transform(self, which: int, transforms: Floats) -> None:
        shader = gl.program("skin.vert", varyings=_POSED if which == _FULL else _POSED[:1])
        self._bones.write(np.ascontiguousarray(transforms, "f4").tobytes())
        gl.bind(shader, 7, "bone_rows", self._bones)
        _any_target().use()
        array = self._skin[0 if which == _FULL else 1]
        array.transform(self._posed[which], moderngl.POINTS, self.count)

    def set_key(self, values: NDArray[np.float32]) -> None:
        """(V, 3) how much of the sky each vertex sees, and how far cloth is squeezed there."""
        self._keyed.write(np.ascontiguousarray(values, "f4").tobytes())

    def posed(self) -> Floats:
        """(V, 3) world places of the vertices as last posed."""
        return np.frombuffer(self._posed[_FULL].read(), "f4").reshape(-1, 6)[:, :3].astype(float)

    def measure_cover(self, matrices: Floats, directions: Floats) -> NDArray[np.float32]:
        """(V,) share of the sky seen by the vertices as last posed, from the atlas's depth maps."""
        shader = gl.program("cover.vert", varyings=("seen",))
        depth, _ = atlas()
        gl.bind(shader, 6, "maps", depth)
        shader["matrices"].write(np.ascontiguousarray(matrices.transpose(0, 2, 1), "f4").tobytes())
        shader["directions"].write(np.ascontiguousarray(directions, "f4").tobytes())
        shader["tiles"].value = (depth.size[0] / TILE, depth.size[1] / TILE)
        _any_target().use()
        out = gl.context().buffer(reserve=self.count * 4)
        array = gl.context().vertex_array(
            shader, [(self._posed[_FULL], "3f 3f", "world_point", "world_normal")]
        )
        array.transform(out, moderngl.POINTS, self.count)
        seen = np.frombuffer(out.read(), "f4").copy()
        array.release()
        out.release()
        return seen

    def cast(self, view_projection: Floats) -> None:
        """Draw depth only, into the bound target: of outer faces, as what is behind is hidden."""
        gl.set_uniforms(gl.program("depth.vert", "depth.frag"), view_projection=view_projection)
        gl.context().enable(moderngl.CULL_FACE)
        self._shadow.render()
        gl.context().disable(moderngl.CULL_FACE)

    def paint(self, view_projection: Floats, light: dict[str, Any]) -> None:
        """Draw all parts into the bound target. `light` holds what the shaders share."""
        for part, array, pictures in zip(self.parts, self._paint, self._pictures, strict=True):
            shader = gl.program("solid.vert", part.shader, define=part.words())
            apply_light(shader, light)
            gl.set_uniforms(
                shader, view_projection=view_projection, rolling=float(self.rolling), **part.look
            )
            for unit, (name, texture) in enumerate(pictures.items()):
                gl.bind(shader, 1 + unit, name, texture)
            draw_faces(array, part.two_sided)

    def _paint_array(self, part: Part, index: moderngl.Buffer) -> moderngl.VertexArray:
        shader = gl.program("solid.vert", part.shader, define=part.words())
        full, early, late = self._posed
        wanted = [
            (full, {"world_point": 3, "world_normal": 3}),
            (early, {"early_point": 3}),
            (late, {"late_point": 3}),
            (self._still, {"rest": 3, "uv": 2, "crinkle": 1}),
            (self._keyed, {"key": 3}),
        ]
        content = [_content(shader, buffer, fields) for buffer, fields in wanted]
        return gl.context().vertex_array(shader, [row for row in content if len(row) > 2], index)

    def _depth_array(self, index: moderngl.Buffer) -> moderngl.VertexArray:
        shader = gl.program("depth.vert", "depth.frag")
        return gl.context().vertex_array(
            shader, [(self._posed[_FULL], "3f 12x", "world_point")], index
        )


def _content(
    shader: moderngl.Program, buffer: moderngl.Buffer, fields: dict[str, int]
) -> tuple[object, ...]:
    """A buffer's layout with the fields that the shader has no use for left out."""
    layout = " ".join(
        f"{size}f" if name in shader else f"{4 * size}x" for name, size in fields.items()
    )
    return (buffer, layout, *(name for name in fields if name in shader))


def apply_light(shader: moderngl.Program, light: dict[str, Any]) -> None:
    """Write the shared light: plain values, and textures under the keys `texture:NAME`."""
    plain = {name: value for name, value in light.items() if not name.startswith("texture:")}
    gl.set_uniforms(shader, **plain)
    textures = {name: value for name, value in light.items() if name.startswith("texture:")}
    for unit, (name, texture) in enumerate(textures.items()):
        gl.bind(shader, 8 + unit, name.removeprefix("texture:"), texture)


def draw_faces(array: moderngl.VertexArray, two_sided: bool) -> None:
    """Outer faces first, so that the inner ones are mostly hidden before they are shaded."""
    context = gl.context()
    context.enable(moderngl.CULL_FACE)
    array.render()
    if two_sided:
        context.cull_face = "front"
        array.render()
        context.cull_face = "back"
    context.disable(moderngl.CULL_FACE)


@cache
def _any_target() -> moderngl.Framebuffer:
    """Capturing vertices needs a complete target, though it draws nothing."""
    return gl.context().framebuffer([gl.context().renderbuffer((4, 4))])


def _skin_arrays(meshes: list[Mesh]) -> tuple[moderngl.VertexArray, moderngl.VertexArray]:
    """One that captures all of a posed vertex, and one that captures its place only."""
    context = gl.context()
    points = np.concatenate([np.hstack([mesh.points, normals_of(mesh)]) for mesh in meshes])
    bones = np.concatenate([mesh.bones for mesh in meshes])
    weights = np.concatenate([mesh.weights for mesh in meshes])
    slack = np.concatenate([mesh.slack for mesh in meshes])
    content = [
        (context.buffer(points.astype("f4")), "3f 3f", "point", "normal"),
        (context.buffer(bones.astype("i4")), "4i 4i", "bones_a", "bones_b"),
        (context.buffer(weights.astype("f4")), "4f 4f", "weights_a", "weights_b"),
        (context.buffer(slack.astype("f4")), "1f", "slack"),
    ]
    full, place = (gl.program("skin.vert", varyings=names) for names in (_POSED, _POSED[:1]))
    return context.vertex_array(full, content), context.vertex_array(place, content)


def _still_data(meshes: list[Mesh]) -> NDArray[np.float32]:
    rows = [np.hstack([mesh.points, mesh.uv, mesh.fold[:, None]]) for mesh in meshes]
    return np.concatenate(rows).astype("f4")
