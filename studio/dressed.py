"""A golfer dressed for one performance: what every phone that films it sees alike.

Dressing takes as long as drawing some thirty frames, so the two views of a swing share it.
"""

from __future__ import annotations

from dataclasses import dataclass

import moderngl
import numpy as np
from numpy.typing import NDArray

from studio.acting import Acting
from studio.draw import gl
from studio.draw.cover import Keyed, atlas, sky_directions, tile_box
from studio.draw.light import sun_matrix
from studio.draw.parts import Part
from studio.draw.player import Player
from studio.draw.strain import Strain
from studio.looks import Look
from studio.performance import Floats, Performance

KEY_EVERY_M, KEY_EVERY_S = 0.20, 0.5
"""A key time for shade and folds each time a wrist has gone so far, or so long has passed."""


@dataclass(frozen=True, slots=True, eq=False)
class Dressed:
    """Who swings, in clothes, in the graphics memory."""

    acting: Acting
    look: Look
    player: Player
    keyed: Keyed


def dress(acting: Acting, look: Look, parts: list[Part]) -> Dressed:
    """All that is drawn of the golfer, with its shade and folds over a whole performance."""
    player = Player(parts, len(acting.performance.body.bones))
    return Dressed(acting, look, player, _keyed(acting, player))


def key_times(performance: Performance) -> Floats:
    """Instants between which shade and folds of a golfer may be blended."""
    times = performance.time_s
    steps = np.linalg.norm(np.diff(performance.joints["lead_wrist"], axis=0), axis=1)
    way = np.append(0.0, np.cumsum(np.maximum(steps / KEY_EVERY_M, np.diff(times) / KEY_EVERY_S)))
    return np.interp(np.linspace(0.0, way[-1], int(np.ceil(way[-1])) + 1), way, times)


def _keyed(acting: Acting, player: Player) -> Keyed:
    """At key times, how much sky the golfer's own body hides, and where cloth folds."""
    times, directions = key_times(acting.performance), sky_directions()
    strains = _strains(player.parts)
    values = np.zeros((len(times), player.count, 3), np.float32)
    for row, time_s in zip(values, times, strict=True):
        player.pose(acting.bones(float(time_s)))
        row[:, 0] = _sky_seen(player, acting.point("lead_hip", float(time_s)), directions)
        posed = player.posed()
        for begin, end, strain in strains:
            row[begin:end, 1:] = strain.squeeze(posed[begin:end])
    return Keyed(times, values)


def _sky_seen(player: Player, hip: Floats, directions: Floats) -> NDArray[np.float32]:
    centre = hip + np.array([0.1, 0.0, 0.0])
    matrices = np.array([sun_matrix(way, centre, 1.35) for way in directions])
    target = atlas()[1]
    target.use()
    target.clear(depth=1.0)
    gl.context().enable(moderngl.DEPTH_TEST)
    for index, matrix in enumerate(matrices):
        target.viewport = tile_box(index)
        player.cast(matrix)
    return player.measure_cover(matrices, directions)


def _strains(parts: list[Part]) -> list[tuple[int, int, Strain]]:
    """For each part of cloth, its run of the golfer's vertices and its strain."""
    ends = np.cumsum([len(part.mesh) for part in parts])
    return [
        (int(end) - len(part.mesh), int(end), Strain(part.mesh))
        for part, end in zip(parts, ends, strict=True)
        if part.shader == "cloth.frag"
    ]
