"""What the ± of a measure holds, and how each part of it is found.

A measure is a formula of landmarks in one pose, or in two (address, then the moment). Every source
of error is a set of small displacements of those landmarks, one standard deviation each; the
formula is evaluated at all of them, and the changes of each source are summed in squares. So one
error model serves every formula, and errors that two landmarks or two poses share stay shared.

| part | displaces |
|---|---|
| jitter | each landmark by what `sd_px` holds beyond its lasting part, apart in each pose |
| landmark places | each landmark by the lasting part, alike in both poses but for `CHANGING` |
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

LASTING_SHARE = {
    "nose": 0.015,
    "ear": 0.026,
    "shoulder": 0.020,
    "elbow": 0.018,
    "wrist": 0.016,
    "hip": 0.020,
    "knee": 0.010,
    "ankle": 0.016,
}
"""How much of a track's `sd_px` lasts through a swing: how far along each axis the engine's point
lies from the joint, one standard deviation, as a share of stature. Seen on rendered golfers of
known joints; at hip and knee of the size that is published, 30-50 mm in space (Needham et al. 2021,
Sci Rep 11:20673). What `sd_px` holds beyond it is jitter."""

CHANGING = {
    "nose": 0.6,
    "ear": 0.6,
    "shoulder": 0.9,
    "elbow": 1.0,
    "wrist": 1.0,
    "hip": 0.7,
    "knee": 0.8,
    "ankle": 0.4,
}
"""Share of that distance that does not cancel between address and a later moment, because it turns
with the body and because the engine sees another posture. Judged, from two rendered golfers."""

PAIRED_ACROSS: Mapping[View, Mapping[str, float]] = {
    View.FACE_ON: {"own": 1 / 2, "against": 1 / 3, "alike": 1 / 6},
    View.DOWN_THE_LINE: {"own": 1 / 2, "alike": 1 / 2},
}
PAIRED_UP = PAIRED_LATER = {"own": 1 / 2, "alike": 1 / 2}
"""Shares of the variance of landmark places: each one's own, and common to lead and trail. Down the
line both are seen from one side; face-on one mirrors the other until the body turns. Judged."""

Mode = Mapping[str, float]
"""Metres toward the camera for each part of the body that moves together."""

ALIKE: Mapping[View, tuple[Mode, ...]] = {
    View.FACE_ON: (
        {"nose": 0.20, "ear": 0.20, "shoulder": 0.20, "elbow": 0.20, "wrist": 0.20},
        {"elbow": 0.14, "wrist": 0.28},
        {"elbow": 0.05},
        {"nose": 0.10, "ear": 0.06},
        {"hip": 0.10},
        {"knee": 0.10},
        {"ankle": 0.05},
    ),
    View.DOWN_THE_LINE: (
        {"nose": 0.08, "ear": 0.08, "shoulder": 0.08, "elbow": 0.08, "wrist": 0.08},
        {"elbow": 0.15, "wrist": 0.30},
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
    sd_px: Floats,
    formula: Formula,
    angular: bool,
) -> dict[str, float]:
    """The parts of the ±, one standard deviation each, in the formula's own unit.

    `sd_px` (p, k), of k landmarks in p poses, is the whole error of each; it is split into what
    lasts and what does not. `angular` formulas come round at 360°.
    """
    names = poses[0].names
    xy = np.stack([pose.xy for pose in poses])
    depths = _depths(names, len(poses), context.view)
    per_metre = measure_pixels_per_metre(scale)
    outward = (xy - context.centre) / measure_distance_m(context, scale)
    sideways = np.array([per_metre * math.sin(math.radians(context.yaw_sd_deg)), 0.0])
    lasting_px = np.minimum(_shares(names) * scale.stature_px.value, sd_px.min(axis=0))
    sources = {
        "jitter": _jitter(np.sqrt(sd_px**2 - lasting_px**2)),
        "landmark places": _places(names, lasting_px, len(poses), context.view),
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


def _shares(names: tuple[str, ...]) -> Floats:
    return np.array([LASTING_SHARE[_part(name)] for name in names])


def _places(names: tuple[str, ...], lasting_px: Floats, poses: int, view: View) -> Floats:
    """(m, p, k, 2) pixels: half of the variance is each landmark's own, half is its pair's."""
    changing = lasting_px * np.array([CHANGING[_part(name)] for name in names])
    across = _in_all(_patterns(names, PAIRED_ACROSS[view]) * lasting_px, poses)
    up = _in_all(_patterns(names, PAIRED_UP) * lasting_px, poses)
    later = _in_later(_patterns(names, PAIRED_LATER) * changing, poses)
    return np.concatenate(
        [across[..., None] * (1.0, 0.0), up[..., None] * (0.0, 1.0), _along_both_axes(later)]
    )


def _patterns(names: tuple[str, ...], shares: Mapping[str, float]) -> Floats:
    """(m, k): unit displacements, weighed by their shares of the variance."""
    return np.concatenate(
        [math.sqrt(share) * _pattern(names, part) for part, share in shares.items()]
    )


def _pattern(names: tuple[str, ...], part: str) -> Floats:
    """(m, k): each landmark alone, or each pair alike or against each other."""
    if part == "own":
        return np.eye(len(names))
    pairs = dict.fromkeys(_part(name) for name in names)
    alike = np.array([[float(_part(name) == pair) for name in names] for pair in pairs])
    return alike if part == "alike" else alike * _sides(names)


def _sides(names: tuple[str, ...]) -> Floats:
    return np.array([-1.0 if name.startswith("trail_") else 1.0 for name in names])


def _depths(names: tuple[str, ...], poses: int, view: View) -> Floats:
    """(m, p, k) metres toward the camera."""
    against = _moved(names, AGAINST[view]) * _sides(names)
    always = np.concatenate([_moved(names, ALIKE[view]), against])
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


def _part(name: str) -> str:
    return name.rsplit("_", 1)[-1]


def _along_both_axes(moves: Floats) -> Floats:
    """(m, p, k) lengths to (2m, p, k, 2) displacements, along x and along y."""
    return np.concatenate([moves[..., None] * axis for axis in np.eye(2)])


def _rolled(from_centre: Floats, roll_deg: float) -> Floats:
    """Along the tangent, so that either way round is the other's opposite."""
    across = np.stack([-from_centre[..., 1], from_centre[..., 0]], axis=-1)
    return across * math.tan(math.radians(roll_deg))
