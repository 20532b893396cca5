"""Swings that nobody posed: the posed ones, turned, leaned, moved and stretched smoothly at random.

The spread of motion that a prior has met decides how far it can be trusted, so it is made wider
than that of the posed golfers. Widths are judged.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from causeline.model.motion import POINTS

Floats = NDArray[np.float64]

HEAD = ("nose", "lead_ear", "trail_ear")
ARM = ("shoulder", "elbow", "wrist", "knuckle")
ARMS = tuple(f"{side}_{part}" for side in ("lead", "trail") for part in ARM)
UPPER = (*ARMS, "butt", "hosel")
HANDS = ("lead_wrist", "trail_wrist", "lead_knuckle", "trail_knuckle", "butt", "hosel")
LEGS = ("lead_hip", "trail_hip", "lead_knee", "trail_knee")
TURN_DEG, PELVIS_DEG, LEAN_DEG, HEAD_DEG, AIM_DEG = 9.0, 9.0, 3.0, 6.0, 5.0
HIP_TILT_DEG, SHOULDER_TILT_DEG = 5.0, 6.0
"""Posed pelvises tilt all alike; people's do not, and a tilt known too well is taken for a turn."""
SWAY, ELBOW, HAND = 0.015, 0.010, 0.008
"""Shares of the stature."""
BREADTH, TRUNK, LEG = {"shoulder": 0.06, "hip": 0.10}, 0.03, 0.03
"""Spread of a length's share of the stature: ANSUR II (2012), variation of the ratios; joint
centres of hips and shoulders, which nobody sees, differ by more than the breadths over the skin."""
REACH = 9.0
"""Samples of the clock over which a random change is alike."""


def widen(swing: Floats, rng: np.random.Generator) -> Floats:
    """Another swing (P, Q, 3) from one."""
    new = swing.copy()
    hips = _middle(new, "hip")
    trunk = _middle(new, "shoulder") - hips
    axis = trunk / np.linalg.norm(trunk, axis=1, keepdims=True)
    _turn(new, UPPER, hips, axis * _smooth(new, rng, TURN_DEG)[:, None])
    up = np.tile([0.0, 0.0, 1.0], (len(new), 1))
    pelvis = _smooth(new, rng, PELVIS_DEG)[:, None]
    _turn(new, LEGS[:2], hips, up * pelvis)
    _turn(new, LEGS[2:], hips, up * pelvis * 0.35)
    for part, spread in (("hip", HIP_TILT_DEG), ("shoulder", SHOULDER_TILT_DEG)):
        _tilt(new, part, _smooth(new, rng, spread))
    lean = np.stack([_smooth(new, rng, LEAN_DEG) for _ in range(2)] + [0 * hips[:, 0]], axis=1)
    _turn(new, (*UPPER, *HEAD), hips, lean)
    neck = _middle(new, "shoulder")
    _turn(new, HEAD, neck, np.stack([_smooth(new, rng, HEAD_DEG) for _ in range(3)], axis=1))
    _stretch(new, rng)
    _shift(new, rng)
    _turn(new, POINTS, np.zeros_like(hips), up * rng.normal(0, AIM_DEG))
    return new


def _tilt(new: Floats, part: str, degrees: Floats) -> None:
    """The line of a pair, tilted in its own upright plane about its middle."""
    middle, line = _middle(new, part), _at(new, f"lead_{part}") - _at(new, f"trail_{part}")
    about = np.cross(line, [0.0, 0.0, 1.0])
    about /= np.linalg.norm(about, axis=1, keepdims=True)
    names = (f"lead_{part}", f"trail_{part}")
    _turn(new, names, middle, about * degrees[:, None])


def _stretch(new: Floats, rng: np.random.Generator) -> None:
    for part, arm in (("shoulder", ARMS), ("hip", ())):
        half = (_at(new, f"lead_{part}") - _at(new, f"trail_{part}")) / 2
        half *= rng.normal(0, BREADTH[part])
        for sign, side in ((1, "lead"), (-1, "trail")):
            names = [n for n in arm if n.startswith(side) and n not in HANDS] or [f"{side}_{part}"]
            new[:, _columns(names)] += sign * half[:, None]
    longer = (_middle(new, "shoulder") - _middle(new, "hip")) * rng.normal(0, TRUNK)
    new[:, _columns((*UPPER, *HEAD))] += longer[:, None]
    taller = np.array([0.0, 0.0, 0.5 * rng.normal(0, LEG)])
    new[:, _columns((*UPPER, *HEAD, *LEGS[:2]))] += taller
    new[:, _columns(LEGS[2:])] += taller / 2


def _shift(new: Floats, rng: np.random.Generator) -> None:
    sway = np.stack([_smooth(new, rng, SWAY) for _ in range(3)], axis=1) * [1.0, 1.0, 0.5]
    new[:, _columns((*UPPER, *HEAD, *LEGS[:2]))] += sway[:, None]
    new[:, _columns(LEGS[2:])] += sway[:, None] * [0.5, 0.5, 0.3]
    for names, spread in (
        (("lead_elbow",), ELBOW), (("trail_elbow",), ELBOW), (HANDS, HAND),
        (("lead_knee",), ELBOW), (("trail_knee",), ELBOW),
    ):  # fmt: skip
        moved = np.stack([_smooth(new, rng, spread) for _ in range(3)], axis=1)
        new[:, _columns(names)] += moved[:, None]


def _turn(new: Floats, names: tuple[str, ...], about: Floats, degrees: Floats) -> None:
    turn = Rotation.from_rotvec(degrees, degrees=True).as_matrix()
    columns = _columns(names)
    arms = new[:, columns] - about[:, None]
    new[:, columns] = np.einsum("pij,pqj->pqi", turn, arms) + about[:, None]


def _smooth(new: Floats, rng: np.random.Generator, spread: float) -> Floats:
    """(P,) a random curve: half of it constant, half changing."""
    place = np.arange(len(new))
    alike = np.exp(-0.5 * ((place[:, None] - place) / REACH) ** 2) + 1e-6 * np.eye(len(place))
    curve: Floats = np.linalg.cholesky(0.35 + 0.65 * alike) @ rng.normal(size=len(place)) * spread
    return curve


def _columns(names: tuple[str, ...] | list[str]) -> list[int]:
    return [POINTS.index(name) for name in names]


def _at(new: Floats, name: str) -> Floats:
    return new[:, POINTS.index(name)]


def _middle(new: Floats, part: str) -> Floats:
    middle: Floats = (_at(new, f"lead_{part}") + _at(new, f"trail_{part}")) / 2
    return middle
