"""Left and right, exchanged by the engine for some frames: found over the swing, and mended.

What an exchange changes is the sign of the vector from the trail to the lead point of a pair; so
the question in each frame is which of three signs to turn: trunk, arms, legs. Dynamic programming
(Viterbi) chooses the signs of all frames at once: the vectors should run on smoothly, limbs should
hang on the nearer joint, and most of the swing should be as the engine said. An exchange that lasts
for most of the swing, or that begins while the pair stands edge-on, cannot be seen in this way.
"""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import NDArray

from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

GROUPS = {
    "trunk": ("ear", "shoulder", "hip"),
    "arms": ("elbow", "wrist", "knuckle"),
    "legs": ("knee", "ankle", "heel", "toe"),
}
JOINED = (("trunk", "shoulder", "arms", "elbow"), ("trunk", "hip", "legs", "knee"))
STATES = np.array(list(product((0, 1), repeat=3)))
"""(8, 3): which of trunk, arms and legs are exchanged."""
DOUBT = np.array([0.0, 0.5, 0.5, 1.0, 1.0, 1.0, 1.0, 0.7])
"""Cost a second of each state, in trunk lengths of jump. The whole body is exchanged more often
than the trunk alone."""
LENGTH_COST = 0.5
"""Cost a second for each trunk length that limbs are longer than they would be the other way."""
LONGEST_JUMP = 1.0
"""Trunk lengths: a pair that jumps further proves no more."""
FORGETTING_S = 0.15
"""Over a gap this long, a jump counts half."""


def mend_swaps(
    time_s: Floats, xy: Floats, confidence: Floats, trunk_px: float
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Points (n, J, 2) and confidence (n, J) with sides put right, and where (n, J) they were."""
    standing = _standing_cost(time_s, xy, trunk_px)
    moving = _moving_cost(time_s, xy, confidence, trunk_px)
    states = STATES[_best_path(standing, moving)]
    mended = np.zeros(xy.shape[:2], bool)
    for group, parts in enumerate(GROUPS.values()):
        for part in parts:
            mended[:, _pair(part)] = states[:, group, None] == 1
    twin = _twins()
    return (
        np.where(mended[..., None], xy[:, twin], xy),
        np.where(mended, confidence[:, twin], confidence),
        mended,
    )


def _pair(part: str) -> list[int]:
    return [BODY_LANDMARKS.index(f"{side}_{part}") for side in ("lead", "trail")]


def _twins() -> list[int]:
    """For each body landmark, the index of the same point on the other side."""
    names = [name.replace("lead", "#").replace("trail", "lead") for name in BODY_LANDMARKS]
    return [BODY_LANDMARKS.index(name.replace("#", "trail")) for name in names]


def _standing_cost(time_s: Floats, xy: Floats, trunk_px: float) -> Floats:
    """(n, 8) cost of each state in each frame by itself."""
    share = np.gradient(time_s) if len(time_s) > 1 else np.ones(1)
    share = np.minimum(share, FORGETTING_S)[:, None]
    cost = np.tile(DOUBT, (len(time_s), 1))
    for inner_group, inner, outer_group, outer in JOINED:
        crossed = _crossed_excess(xy, inner, outer) / trunk_px
        groups = list(GROUPS)
        apart = STATES[:, groups.index(inner_group)] != STATES[:, groups.index(outer_group)]
        excess = np.where(apart, crossed[:, None], -crossed[:, None])
        cost = cost + LENGTH_COST * np.maximum(excess, 0.0)
    return cost * share


def _crossed_excess(xy: Floats, inner: str, outer: str) -> Floats:
    """How much longer the two limbs are when crossed over, (n,) pixels; 0 where one is missing."""
    (lead, trail), (lead_end, trail_end) = _pair(inner), _pair(outer)
    length = [
        np.linalg.norm(xy[:, a] - xy[:, b], axis=1)
        for a, b in ((lead, lead_end), (trail, trail_end), (lead, trail_end), (trail, lead_end))
    ]
    return np.nan_to_num(length[2] + length[3] - length[0] - length[1])


def _moving_cost(time_s: Floats, xy: Floats, confidence: Floats, trunk_px: float) -> Floats:
    """(n - 1, 3, 2): the cost of keeping, and of turning, each group's sign between frames."""
    gap = np.diff(time_s)
    weight = 1.0 / (1.0 + (gap / FORGETTING_S) ** 2)
    cost = np.zeros((len(gap), len(GROUPS), 2))
    for group, parts in enumerate(GROUPS.values()):
        for part in parts:
            lead, trail = _pair(part)
            apart = (xy[:, lead] - xy[:, trail]) / trunk_px
            trust = np.sqrt(np.minimum(confidence[:, lead], confidence[:, trail]))
            both = weight * np.minimum(trust[1:], trust[:-1]) / len(parts)
            for turn, sign in enumerate((1.0, -1.0)):
                jump = np.linalg.norm(apart[1:] - sign * apart[:-1], axis=1)
                cost[:, group, turn] += both * np.nan_to_num(np.minimum(jump, LONGEST_JUMP))
    return cost


def _best_path(standing: Floats, moving: Floats) -> NDArray[np.int64]:
    """Viterbi: the cheapest state of each frame, (n,) indices into `STATES`."""
    n, count = standing.shape
    turned = (STATES[:, None, :] != STATES[None, :, :]).astype(int)
    groups = np.arange(STATES.shape[1])
    total = standing[0].copy()
    came_from = np.zeros((n, count), dtype=np.int64)
    for k in range(1, n):
        through = total[:, None] + moving[k - 1][groups, turned].sum(axis=2)
        came_from[k] = np.argmin(through, axis=0)
        total = through[came_from[k], np.arange(count)] + standing[k]
    path = np.empty(n, dtype=np.int64)
    path[-1] = int(np.argmin(total))
    for k in range(n - 1, 0, -1):
        path[k - 1] = came_from[k, path[k]]
    return path
