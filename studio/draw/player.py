"""A figure in the graphics memory: posed once for an instant, then drawn as often as needed."""

from __future__ import annotations

from functools import cache

import moderngl
import numpy as np
from numpy.typing import NDArray

from studio.draw import gl
from studio.draw.cover import TILE, atlas
from studio.draw.mesh import Floats, Mesh, normals_of
from studio.draw.parts import Part

_POSED = ("world_point", "world_normal", "crease")
_POSED_BYTES = 28


class Player:
    """Parts that share one set of bones: a golfer, a club, a ball."""

    def __init__(self, parts: list[Part], bones: int) -> None:
        self.parts = parts
        meshes = [part.mesh for part in parts]
        self.count = sum(len(mesh) for mesh in meshes)
        self._bones = gl.context().texture((3, bones), 4, dtype="f4")
        self._bones.filter = (moderngl.NEAREST, moderngl.NEAREST)
        self._posed = gl.context().buffer(reserve=self.count * _POSED_BYTES)
        self._skin = _skin_array(meshes)
        self._cover = gl.context().buffer(np.ones(self.count, "f4"))
        self._still = gl.context().buffer(_still_data(meshes))
        starts = np.cumsum([0, *(len(mesh) for mesh in meshes[:-1])])
        self._indices = [
            gl.context().buffer((mesh.faces + start).astype("i4"))
            for mesh, start in zip(meshes, starts, strict=True)
        ]
        self._paint = [
            self._paint_array(part, index)
            for part, index in zip(parts, self._indices, strict=True)
        ]
        self._shadow = self._shadow_array()
        self._pictures = [
            {name: gl.picture_texture(pixels) for name, pixels in part.pictures.items()}
            for part in parts
        ]

    def pose(self, transforms: Floats) -> None:
        """Move all vertices by the bones' rest-to-world transforms, (B, 3, 4)."""
        shader = gl.program("skin.vert", varyings=_POSED)
        self._bones.write(np.ascontiguousarray(transforms, "f4").tobytes())
        gl.bind(shader, 7, "bone_rows", self._bones)
        _any_target().use()
        self._skin.transform(self._posed, moderngl.POINTS, self.count)

    def posed(self) -> Floats:
        """(V, 3) world positions of the vertices as last posed."""
        return np.frombuffer(self._posed.read(), "f4").reshape(-1, 7)[:, :3].astype(float)

    def set_cover(self, seen: NDArray[np.float32]) -> None:
        """How much of the sky each vertex sees, (V,)."""
        self._cover.write(np.ascontiguousarray(seen, "f4").tobytes())

    def measure_cover(self, matrices: Floats, directions: Floats) -> NDArray[np.float32]:
        """(V,) share of the sky seen by the vertices as last posed, from the atlas's depth maps."""
        shader = gl.program("cover.vert", varyings=("seen",))
        depth, _ = atlas()
        gl.bind(shader, 6, "maps", depth)
        shader["matrices"].write(
            np.ascontiguousarray(matrices.transpose(0, 2, 1), "f4").tobytes()
        )
        shader["directions"].write(np.ascontiguousarray(directions, "f4").tobytes())
        shader["tiles"].value = (depth.size[0] / TILE, depth.size[1] / TILE)
        _any_target().use()
        out = gl.context().buffer(reserve=self.count * 4)
        array = gl.context().vertex_array(
            shader, [(self._posed, "3f 3f 4x", "world_point", "world_normal")]
        )
        array.transform(out, moderngl.POINTS, self.count)
        seen = np.frombuffer(out.read(), "f4").copy()
        array.release()
        out.release()
        return seen

    def cast(self, view_projection: Floats) -> None:
        """Draw depth only, into the bound target."""
        gl.set_uniforms(gl.program("depth.vert", "depth.frag"), view_projection=view_projection)
        self._shadow.render()

    def paint(self, view_projection: Floats, light: dict[str, object]) -> None:
        """Draw all parts into the bound target. `light` holds what the shaders share."""
        for part, array, pictures in zip(self.parts, self._paint, self._pictures, strict=True):
            shader = gl.program("solid.vert", part.shader)
            gl.set_uniforms(shader, view_projection=view_projection, **part.look)
            apply_light(shader, light)
            for unit, (name, texture) in enumerate(pictures.items()):
                gl.bind(shader, 1 + unit, name, texture)
            _cull(part.two_sided)
            array.render()
        _cull(two_sided=True)

    def _paint_array(self, part: Part, index: moderngl.Buffer) -> moderngl.VertexArray:
        shader = gl.program("solid.vert", part.shader)
        sizes = {"rest": "3f", "uv": "2f", "crinkle": "1f"}
        names = [name for name in sizes if name in shader]
        layout = " ".join(
            sizes[name] if name in names else f"{int(sizes[name][0]) * 4}x" for name in sizes
        )
        posed = [name for name in _POSED if name in shader]
        skips = {"world_point": ("3f", "12x"), "world_normal": ("3f", "12x"), "crease": ("1f", "4x")}
        rows = " ".join(skips[name][name not in posed] for name in _POSED)
        content = [(self._posed, rows, *posed)]
        if names:
            content.append((self._still, layout, *names))
        if "open_sky" in shader:
            content.append((self._cover, "1f", "open_sky"))
        return gl.context().vertex_array(shader, content, index)

    def _shadow_array(self) -> moderngl.VertexArray:
        shader = gl.program("depth.vert", "depth.frag")
        meshes = [part.mesh for part in self.parts]
        starts = np.cumsum([0, *(len(mesh) for mesh in meshes[:-1])])
        faces = [
            part.mesh.faces + start
            for part, start in zip(self.parts, starts, strict=True)
            if part.solid
        ]
        index = gl.context().buffer(np.concatenate(faces).astype("i4"))
        return gl.context().vertex_array(
            shader, [(self._posed, "3f 16x", "world_point")], index
        )


def apply_light(shader: moderngl.Program, light: dict[str, object]) -> None:
    """Write the shared light: plain values, and textures under the keys `texture:NAME`."""
    plain = {name: value for name, value in light.items() if not name.startswith("texture:")}
    gl.set_uniforms(shader, **plain)  # type: ignore[arg-type]
    textures = {name: value for name, value in light.items() if name.startswith("texture:")}
    for unit, (name, texture) in enumerate(textures.items()):
        gl.bind(shader, 8 + unit, name.removeprefix("texture:"), texture)  # type: ignore[arg-type]


def _cull(two_sided: bool) -> None:
    if two_sided:
        gl.context().disable(moderngl.CULL_FACE)
    else:
        gl.context().enable(moderngl.CULL_FACE)


@cache
def _any_target() -> moderngl.Framebuffer:
    """Capturing vertices needs a complete target, though it draws nothing."""
    return gl.context().framebuffer([gl.context().renderbuffer((4, 4))])


def _skin_array(meshes: list[Mesh]) -> moderngl.VertexArray:
    context = gl.context()
    points = np.concatenate([np.hstack([mesh.points, normals_of(mesh)]) for mesh in meshes])
    bones = np.concatenate([mesh.bones for mesh in meshes])
    weights = np.concatenate([mesh.weights for mesh in meshes])
    cloth = np.concatenate([np.stack([mesh.slack, mesh.fold], 1) for mesh in meshes])
    return context.vertex_array(
        gl.program("skin.vert", varyings=_POSED),
        [
            (context.buffer(points.astype("f4")), "3f 3f", "point", "normal"),
            (context.buffer(bones.astype("i4")), "4i 4i", "bones_a", "bones_b"),
            (context.buffer(weights.astype("f4")), "4f 4f", "weights_a", "weights_b"),
            (context.buffer(cloth[:, :1].repeat(2, 1).astype("f4")), "2f", "cloth"),
        ],
    )


def _still_data(meshes: list[Mesh]) -> np.ndarray:
    rows = [
        np.hstack([mesh.points, mesh.uv, mesh.fold[:, None]])
        for mesh in meshes
    ]
    return np.concatenate(rows).astype("f4")
