"""Left and right, exchanged by the engine for some frames: found over the swing, and mended.

What an exchange changes is the sign of the vector from the trail to the lead point of a pair; so
the question in each frame is which of three signs to turn: trunk, arms, legs. Dynamic programming
(Viterbi) chooses the signs of all frames at once: the vectors should run on smoothly, limbs should
hang on the nearer joint, and most of the swing should be as the engine said. An exchange that
begins while the pair stands edge-on leaves no jump; down the line, where the engine takes the back
of a finished golfer for a chest, what a swing looks like decides: chest to the camera, then back.
"""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from causeline.model.clip import View
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
FACING_COST = 6.0
"""Cost a second for each trunk length by which a pair of `FACING` is on the wrong side."""
EDGE_ON, CHANGE_COST = 0.1, 0.02
"""Trunk lengths: a pair nearer together than this faces nowhere; and what each exchange or return
costs by itself, so that noise about edge-on is left alone."""
FACING = {"trunk": ("shoulder", "hip"), "arms": ("elbow",), "legs": ("knee",)}
IMPACT_S = 0.1
"""About the instant when the hands are lowest, either side of the body may face the camera: it is
within 0.06 s of impact in 123 of 131 rendered swings down the line, within 0.1 s in all."""
LEAP_S, SWUNG = 0.06, 0.5
"""Wrists elsewhere for less than this long leapt, and were not there; trunk lengths that they come
down by in a swing, at least."""


def mend_swaps(
    time_s: Floats,
    xy: Floats,
    confidence: Floats,
    trunk_px: float,
    view: View | None = None,
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Points (n, J, 2) and confidence (n, J) with sides put right, and where (n, J) they were.

    The golfer is right-handed, or mirrored. Without a view, only what is seen of jumps counts.
    """
    standing = _standing_cost(time_s, xy, trunk_px)
    if view == View.DOWN_THE_LINE:
        standing = standing + _facing_cost(time_s, xy, confidence, trunk_px)
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
    cost = np.tile(DOUBT, (len(time_s), 1))
    for inner_group, inner, outer_group, outer in JOINED:
        crossed = _crossed_excess(xy, inner, outer) / trunk_px
        groups = list(GROUPS)
        apart = STATES[:, groups.index(inner_group)] != STATES[:, groups.index(outer_group)]
        excess = np.where(apart, crossed[:, None], -crossed[:, None])
        cost = cost + LENGTH_COST * np.maximum(excess, 0.0)
    return cost * _shares(time_s)


def _facing_cost(time_s: Floats, xy: Floats, confidence: Floats, trunk_px: float) -> Floats:
    """(n, 8): down the line the lead side is on the right until impact, and on the left after."""
    cost = np.zeros((len(time_s), len(STATES)))
    impact_s = _lowest_s(time_s, xy, confidence, trunk_px)
    if impact_s is None:
        return cost
    wanted = np.where(time_s < impact_s - IMPACT_S, 1.0, 0.0)
    wanted = np.where(time_s > impact_s + IMPACT_S, -1.0, wanted)
    for group, name in enumerate(GROUPS):
        sign = 1.0 - 2.0 * STATES[:, group]
        for part in FACING[name]:
            lead, trail = _pair(part)
            across = (xy[:, lead, 0] - xy[:, trail, 0]) / trunk_px
            side = (wanted * np.nan_to_num(across))[:, None] * sign
            wrong = np.maximum(0.0, -side - EDGE_ON)
            cost += wrong / len(FACING[name])
    return FACING_COST * cost * _shares(time_s)


def _lowest_s(time_s: Floats, xy: Floats, confidence: Floats, trunk_px: float) -> float | None:
    """When the wrists are lowest between two times when they were high: near enough to impact.

    Their speed would not tell: at impact they come straight toward the camera, and at the finish
    the engine loses them behind the head and makes them leap. None where they do not go up, down
    and up again.
    """
    wrists = _pair("wrist")
    weight = confidence[:, wrists] * np.isfinite(xy[:, wrists]).all(axis=2)
    total = np.maximum(weight.sum(axis=1), 1e-9)
    low = np.sum(weight * np.nan_to_num(xy[:, wrists, 1]), axis=1) / total
    frames = round(LEAP_S / float(np.median(np.diff(time_s)))) if len(time_s) > 1 else 1
    high = -median_filter(low, size=max(3, frames | 1))
    before, after = np.maximum.accumulate(high), np.maximum.accumulate(high[::-1])[::-1]
    depth = np.minimum(before, after) - high
    deepest = int(np.argmax(depth))
    return float(time_s[deepest]) if depth[deepest] > SWUNG * trunk_px else None


def _shares(time_s: Floats) -> Floats:
    """(n, 1) seconds that each frame stands for."""
    share = np.gradient(time_s) if len(time_s) > 1 else np.ones(1)
    return np.minimum(share, FORGETTING_S)[:, None]


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
    cost[:, :, 1] = CHANGE_COST
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
