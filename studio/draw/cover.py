"""What is worked out for each vertex at a few key times of a swing, and blended between them.

How much of the sky it sees past the body's own parts (arms over the trunk, under a brim), from
depth maps of many directions of the sky; and how far cloth is squeezed there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import moderngl
import numpy as np
from numpy.typing import NDArray

from studio.draw import gl
from studio.draw.mesh import Floats

TILE = 256
ACROSS = 4
DIRECTIONS = 12


@dataclass(frozen=True, slots=True, eq=False)
class Keyed:
    """(k,) key times and (k, V, 3): share of the sky seen, squeeze of cloth around and along."""

    time_s: Floats
    values: NDArray[np.float32]

    def at(self, time_s: float) -> NDArray[np.float32]:
        """(V, 3) blended between the key times."""
        last = len(self.time_s) - 1
        place = float(np.interp(time_s, self.time_s, np.arange(last + 1)))
        low = min(int(place), last)
        share = np.float32(place - low)
        return self.values[low] * (1 - share) + self.values[min(low + 1, last)] * share


def sky_directions() -> Floats:
    """(12, 3) unit vectors over the upper half, denser overhead, as a cosine weighs them."""
    count = np.arange(DIRECTIONS) + 0.5
    height = np.sqrt(1 - 0.97 * count / DIRECTIONS)
    around = np.pi * (1 + 5**0.5) * count
    flat = np.sqrt(1 - height**2)
    return np.stack([flat * np.cos(around), flat * np.sin(around), height], 1)


@cache
def atlas() -> tuple[moderngl.Texture, moderngl.Framebuffer]:
    """One depth picture with a tile for each direction."""
    size = (TILE * ACROSS, TILE * -(-DIRECTIONS // ACROSS))
    depth = gl.context().depth_texture(size)
    depth.compare_func = "<="
    depth.filter = (moderngl.LINEAR, moderngl.LINEAR)
    return depth, gl.context().framebuffer(depth_attachment=depth)


def tile_box(index: int) -> tuple[int, int, int, int]:
    """Where a direction's tile lies in the atlas."""
    return (index % ACROSS) * TILE, (index // ACROSS) * TILE, TILE, TILE
