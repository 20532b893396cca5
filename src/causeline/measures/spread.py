"""What the ± of a measure holds, and how each part of it is found.

A measure is a formula of landmarks in one pose, or in two (address, then the moment). Every source
of error is a set of small displacements of those landmarks, one standard deviation each; the
formula is evaluated at all of them, and the changes of each source are summed in squares. So one
error model serves every formula, and errors that two landmarks or two poses share stay shared.

| part | displaces |
|---|---|
| jitter | each landmark by the track's own `sd_px`, apart in each pose |
| landmark places | each landmark by `OFFSET_M`, alike in both poses but for the share in `TURNED` |
| distance | each landmark toward or away from the picture's middle by depth ÷ camera distance |
| yaw | each landmark sideways by depth × sin(camera not square) |
| roll | all landmarks about the picture's middle |
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np

from causeline.measures.context import (
    SwingContext,
    measure_distance_m,
    measure_pixels_per_metre,
)
from causeline.measures.pose import Pose
from causeline.model.clip import View
from causeline.quantities.angle import Floats, wrap_deg
from causeline.quantities.length import Scale

Formula = Callable[..., Floats]
"""One or two poses in, an angle in degrees or a length in pixels out; leading axes are kept."""

OFFSET_M = {
    "nose": 0.010,
    "ear": 0.010,
    "shoulder": 0.020,
    "elbow": 0.015,
    "wrist": 0.015,
    "hip": 0.023,
    "knee": 0.023,
    "ankle": 0.006,
}
"""How far, along each axis, the engine's point lies from the joint for one person: one standard
deviation. Hip, knee, ankle: 30-50 mm and 1-15 mm in space (Needham et al. 2021, Sci Rep 11:20673),
divided by √3. The others are judged."""

TURNED = {
    "nose": 0.35,
    "ear": 0.35,
    "shoulder": 0.6,
    "elbow": 0.8,
    "wrist": 0.8,
    "hip": 0.6,
    "knee": 0.4,
    "ankle": 0.1,
}
"""Share of that offset, across the picture, that does not cancel between address and a later
moment because it turns with the body: 2·sin(turn/2) for a head that turns 20°, hips 35°, knees 25°.
Judged."""

TURNED_UPRIGHT = 0.2
"""How much of that share is left along the vertical, about which the body mostly turns. Judged."""

Mode = Mapping[str, float]
"""Metres toward the camera for each part of the body that moves together."""

ALIKE: Mapping[View, tuple[Mode, ...]] = {
    View.FACE_ON: (
        {"nose": 0.20, "ear": 0.20, "shoulder": 0.20, "elbow": 0.20, "wrist": 0.20},
        {"elbow": 0.10, "wrist": 0.20},
        {"elbow": 0.05},
        {"nose": 0.10, "ear": 0.06},
        {"hip": 0.10},
        {"knee": 0.10},
        {"ankle": 0.05},
    ),
    View.DOWN_THE_LINE: (
        {"nose": 0.08, "ear": 0.08, "shoulder": 0.08, "elbow": 0.08, "wrist": 0.08},
        {"elbow": 0.15, "wrist": 0.35},
        {"elbow": 0.05},
        {"hip": 0.08},
        {"knee": 0.06},
        {"ankle": 0.05},
    ),
}
"""How the body may lie off the plane of the scale, one standard deviation each, lead and trail
alike: the trunk with head and arms, the arms' reach, a single joint. From the size of a body in
golf posture; judged."""

AGAINST: Mapping[View, tuple[Mode, ...]] = {
    View.FACE_ON: (
        {"ear": 0.03, "shoulder": 0.10, "elbow": 0.10},
        {"elbow": 0.10},
        {"hip": 0.08, "knee": 0.04},
        {"knee": 0.06},
        {"ankle": 0.05, "knee": 0.03},
    ),
    View.DOWN_THE_LINE: (
        {"ear": 0.05, "shoulder": 0.15, "elbow": 0.15},
        {"elbow": 0.08},
        {"hip": 0.08, "knee": 0.04},
        {"knee": 0.06},
        {"ankle": 0.20, "knee": 0.15},
    ),
}
"""The same for lead against trail: shoulders and pelvis turned, the width of the stance. Judged."""

LATER: tuple[Mode, ...] = (
    {"nose": 0.06, "ear": 0.06},
    {"shoulder": 0.08, "elbow": 0.08, "wrist": 0.08},
    {"elbow": 0.12, "wrist": 0.25},
    {"hip": 0.08, "knee": 0.04},
    {"knee": 0.08},
    {"ankle": 0.02},
)
"""How the body may move toward or away from the camera after address, lead and trail alike.
Judged."""


def measure_parts(
    context: SwingContext,
    scale: Scale,
    poses: tuple[Pose, ...],
    jitter_px: Floats,
    formula: Formula,
    angular: bool,
) -> dict[str, float]:
    """The parts of the ±, one standard deviation each, in the formula's own unit.

    `jitter_px` (p, k) belongs to the p poses of k landmarks; `angular` formulas come round at 360°.
    """
    names = poses[0].names
    xy = np.stack([pose.xy for pose in poses])
    depths = _depths(names, len(poses), context.view)
    per_metre = measure_pixels_per_metre(scale)
    outward = (xy - context.centre) / measure_distance_m(context, scale)
    sideways = np.array([per_metre * math.sin(math.radians(context.yaw_sd_deg)), 0.0])
    sources = {
        "jitter": _jitter(jitter_px),
        "landmark places": _offsets(names, len(poses)) * per_metre,
        "distance": depths[..., None] * outward,
        "yaw": depths[..., None] * sideways,
        "roll": _rolled(xy - context.centre, context.roll_sd_deg)[None],
    }
    at_rest = measure_effect(formula, names, xy)
    return {
        label: _rms(
            measure_change(
                measure_effect(formula, names, np.stack([xy + moves, xy - moves])), at_rest, angular
            )
        )
        for label, moves in sources.items()
    }


def measure_effect(formula: Formula, names: tuple[str, ...], xy: Floats) -> Floats:
    """The formula at every variant of `xy` (..., p, k, 2): one pose to each of its p arguments."""
    return formula(*(Pose(names, xy[..., i, :, :]) for i in range(xy.shape[-3])))


def measure_change(after: Floats, before: Floats, angular: bool) -> Floats:
    """From one value of a formula to another, the short way round where it is an angle."""
    return wrap_deg(after - before) if angular else after - before


def _rms(both_ways: Floats) -> float:
    return float(np.sqrt(np.mean(both_ways**2, axis=0).sum()))


def _jitter(jitter_px: Floats) -> Floats:
    poses, points = jitter_px.shape
    alone = np.eye(poses * points).reshape(-1, poses, points) * jitter_px
    return _along_both_axes(alone)


def _offsets(names: tuple[str, ...], poses: int) -> Floats:
    """(m, p, k, 2) metres: half of the variance is shared by lead and trail, half is each's own."""
    both = np.concatenate([_shared(names, OFFSET_M), _own(names, OFFSET_M)]) / math.sqrt(2)
    turned = both * np.array([TURNED[_part(name)] for name in names])
    later = _along_both_axes(_in_later(turned, poses)) * np.array([1.0, TURNED_UPRIGHT])
    return np.concatenate([_along_both_axes(_in_all(both, poses)), later])


def _depths(names: tuple[str, ...], poses: int, view: View) -> Floats:
    """(m, p, k) metres toward the camera."""
    sides = np.array([-1.0 if name.startswith("trail_") else 1.0 for name in names])
    always = np.concatenate([_moved(names, ALIKE[view]), _moved(names, AGAINST[view]) * sides])
    return np.concatenate([_in_all(always, poses), _in_later(_moved(names, LATER), poses)])


def _moved(names: tuple[str, ...], modes: tuple[Mode, ...]) -> Floats:
    """(m, k): what each mode moves each landmark by."""
    return np.array([[mode.get(_part(name), 0.0) for name in names] for mode in modes])


def _in_all(moves: Floats, poses: int) -> Floats:
    return np.repeat(moves[:, None, :], poses, axis=1)


def _in_later(moves: Floats, poses: int) -> Floats:
    """Nothing at address; so nothing at all where there is a single pose."""
    later = np.arange(poses) > 0
    return moves[:, None, :] * later[None, :, None]


def _shared(names: tuple[str, ...], table: Mapping[str, float]) -> Floats:
    return _moved(names, tuple({part: size} for part, size in table.items()))


def _own(names: tuple[str, ...], table: Mapping[str, float]) -> Floats:
    return np.diag([table[_part(name)] for name in names])


def _part(name: str) -> str:
    return name.rsplit("_", 1)[-1]


def _along_both_axes(moves: Floats) -> Floats:
    """(m, p, k) lengths to (2m, p, k, 2) displacements, along x and along y."""
    return np.concatenate([moves[..., None] * axis for axis in np.eye(2)])


def _rolled(from_centre: Floats, roll_deg: float) -> Floats:
    """Along the tangent, so that either way round is the other's opposite."""
    across = np.stack([-from_centre[..., 1], from_centre[..., 0]], axis=-1)
    return across * math.tan(math.radians(roll_deg))
