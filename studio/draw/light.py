"""Sun, sky and what the ground throws back; and the shadow map that the sun needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import moderngl
import numpy as np

from studio.draw import gl
from studio.draw.mesh import Floats
from studio.draw.player import Player
from studio.draw.rigid import Rigid

SHADOW_PIXELS = 1280


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """Light in linear units: a white card square to the sun and under the sky shines at about 2."""

    toward_sun: Floats
    """(3,) unit vector."""
    sun: Floats
    """(3,) colour and strength."""
    sky: Floats
    ground: Floats
    """(3,) light that comes up from the ground."""

    def uniforms(self) -> dict[str, Any]:
        """What every shader needs of it."""
        return {
            "sun_direction": self.toward_sun,
            "sun_colour": self.sun,
            "sky_colour": self.sky,
            "ground_colour": self.ground,
        }


def sun_from(azimuth_deg: float, elevation_deg: float) -> Floats:
    """Unit vector toward a sun: azimuth 0 along +x, 90 along +y."""
    azimuth, elevation = np.radians([azimuth_deg, elevation_deg])
    flat = np.cos(elevation)
    return np.array([np.cos(azimuth) * flat, np.sin(azimuth) * flat, np.sin(elevation)])


class Shadow:
    """The depth map seen from the sun, over a box about the golfer."""

    def __init__(self, toward_sun: Floats, centre: Floats, reach_m: float = 1.9) -> None:
        self._map = gl.context().depth_texture((SHADOW_PIXELS, SHADOW_PIXELS))
        self._map.compare_func = "<="
        self._map.filter = (moderngl.LINEAR, moderngl.LINEAR)
        self._map.repeat_x = self._map.repeat_y = False
        self._target = gl.context().framebuffer(depth_attachment=self._map)
        self.matrix = sun_matrix(toward_sun, centre, reach_m)

    def cast(self, players: Sequence[Player | Rigid]) -> None:
        """Draw the players as last posed."""
        self._target.use()
        self._target.clear(depth=1.0)
        for player in players:
            player.cast(self.matrix)

    def uniforms(self) -> dict[str, Any]:
        """What the shaders need to look the shadow up."""
        return {
            "sun_matrix": self.matrix,
            "shadow_step": 1.0 / SHADOW_PIXELS,
            "texture:shadow_map": self._map,
        }


def sun_matrix(toward_sun: Floats, centre: Floats, reach: float) -> Floats:
    """(4, 4) world to the clip space of light that comes from one direction."""
    side = np.cross([0.0, 0.0, 1.0] if abs(toward_sun[2]) < 0.99 else [0.0, 1.0, 0.0], toward_sun)
    side /= max(float(np.linalg.norm(side)), 1e-9)
    up = np.cross(toward_sun, side)
    turn = np.stack([side, up, -toward_sun])
    matrix = np.eye(4)
    matrix[:3, :3] = turn / np.array([[reach], [reach], [2.5 * reach]])
    matrix[:3, 3] = -matrix[:3, :3] @ centre
    return matrix
