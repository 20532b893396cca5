"""Checks the truth of clips from their truth files alone, by arithmetic of its own.

For every point and frame: the camera's pinhole is put up again from its angles, the point in metres
is moved to the instant at which its row was open, projected, and compared with the pixels told. The
club must keep its length, the head must move square to the way from the grip's end about which the
club turns, and a left-hander's pixels must be the mirror of the right-handed original's. The
directions that the hands give the grip are summed up turn by turn, and with the club's length must
lead to where the head's end of the shaft is told to be.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from studio.truth import load_truth

Floats = NDArray[np.float64]

MOST_PX = 1.0
"""Between frames points are taken on a spline, where the studio has more samples."""
MOST_LENGTH_M = 0.004
"""The studio blends the club straight between 240 samples a second: at 40 rad/s the chord is 3.5 mm
short of the arc, in the pictures as in the truth."""
MOST_DRIFT_M = 0.006
"""Of the shaft's end after all turns are summed up: places are rounded to 0.1 mm, and the hands are
a ninth of the shaft's length from the butt."""
STILL_PX_S = 600.0
"""Faster points are left to the other checks: between frames their path bends too much."""


@dataclass(frozen=True, slots=True)
class Checked:
    """Worst disagreements of one clip."""

    name: str
    pixels: float
    club_m: float
    stiffness: float
    """Of the shaft's stretching speed, over the head's speed."""
    drift_m: float
    """Of the shaft's end, from turns at the grip and the club's length, against what is told."""
    compared: int

    @property
    def sound(self) -> bool:
        """Everything agrees."""
        club = self.club_m <= MOST_LENGTH_M and self.drift_m <= MOST_DRIFT_M
        return self.pixels <= MOST_PX and club and self.compared > 1000


def check_truth(truth: dict[str, Any]) -> Checked:
    """Compare one truth file with itself, computed in another way."""
    times = np.asarray(truth["frames"]["time_s"], float)
    errors = []
    for name, path in truth["points_m"].items():
        known = _known(truth, name, times)
        told = np.array(truth["points_px"][name], float)[known]
        seen = _projected(truth, np.asarray(path, float)[known], times[known])
        speed = np.linalg.norm(np.gradient(told, times[known], axis=0), axis=1)
        keep = np.isfinite(told).all(1) & (speed < STILL_PX_S)
        errors.append(np.linalg.norm(seen - told, axis=1)[keep])
    joined = np.concatenate(errors)
    length, stiff = _club(truth, times)
    name = str(truth["file"]["name"])
    worst = float(joined.max(initial=0.0))
    return Checked(name, worst, length, stiff, _drift(truth), len(joined))


def _known(truth: dict[str, Any], name: str, times: Floats) -> NDArray[np.bool_]:
    """Frames in which a point moves smoothly: the ball's only until it is struck."""
    if name != "ball" or "impact" not in truth["moments"]:
        return np.ones(len(times), dtype=np.bool_)
    step = float(np.median(np.diff(times)))
    return times < float(truth["moments"]["impact"]["time_s"]) - step


def _projected(truth: dict[str, Any], path: Floats, times: Floats) -> Floats:
    """(n, 2) pixels of one point, by this file's own camera."""
    camera, shutter = truth["camera"], truth["shutter"]
    height = camera["height"]
    when = times
    pixels = np.zeros((len(times), 2))
    way = CubicSpline(times, path)
    for _ in range(4):
        place = way(when)
        pixels = _pinhole(camera, place, times)
        row = np.clip(pixels[:, 1], 0, height - 1)
        when = times + shutter["readout_s"] * (row - (height - 1) / 2) / height
    if truth["hand"] == "left":
        pixels[:, 0] = camera["width"] - 1 - pixels[:, 0]
    return pixels


def _pinhole(camera: dict[str, Any], place: Floats, times: Floats) -> Floats:
    pan, tilt, roll = (np.full(len(times), np.radians(camera[f"{a}_deg"])) for a in _ANGLES)
    shake = np.asarray(camera["shake_deg"], float)
    if len(shake):
        at = (times - camera["shake_from_s"]) * camera["shake_rate_hz"]
        grid = np.arange(len(shake))
        pan, tilt, roll = (
            angle + np.radians(np.interp(at, grid, shake[:, axis]))
            for axis, angle in enumerate((pan, tilt, roll))
        )
    away = place - np.asarray(camera["position"], float)
    ahead = np.cos(pan) * away[:, 0] + np.sin(pan) * away[:, 1]
    right = np.sin(pan) * away[:, 0] - np.cos(pan) * away[:, 1]
    depth = np.cos(tilt) * ahead + np.sin(tilt) * away[:, 2]
    down = np.sin(tilt) * ahead - np.cos(tilt) * away[:, 2]
    flat = np.stack([right, down], axis=1) / depth[:, None]
    cosine, sine = np.cos(roll), np.sin(roll)
    turned = np.stack(
        [cosine * flat[:, 0] + sine * flat[:, 1], cosine * flat[:, 1] - sine * flat[:, 0]], axis=1
    )
    bent = turned * (1 + camera["distortion"] * np.sum(turned**2, axis=1, keepdims=True))
    focal = camera["width"] / 2 / np.tan(np.radians(camera["hfov_deg"] / 2))
    return bent * focal + [(camera["width"] - 1) / 2, (camera["height"] - 1) / 2]


_ANGLES = ("pan", "tilt", "roll")


def _club(truth: dict[str, Any], times: Floats) -> tuple[float, float]:
    """Spread of the shaft's length, metres; and how far the head's motion is from square to it."""
    shaft = np.asarray(truth["points_m"]["hosel"]) - np.asarray(truth["points_m"]["butt"])
    length = np.linalg.norm(shaft, axis=1)
    turning = np.gradient(shaft, times, axis=0)
    speed = np.linalg.norm(turning, axis=1)
    fast = speed > 2.0
    along = np.abs(np.sum(turning * shaft, axis=1)) / length / np.maximum(speed, 1e-9)
    return float(np.ptp(length)), float(np.median(along[fast])) if fast.any() else 0.0


def _drift(truth: dict[str, Any]) -> float:
    """Worst distance of the shaft's end from where the summed turns of the grip put it, metres."""
    butt, hands, hosel = (
        np.asarray(truth["points_m"][name], float) for name in ("butt", "hands", "hosel")
    )
    grip = (hands - butt) / np.linalg.norm(hands - butt, axis=1, keepdims=True)
    shaft = np.empty_like(butt)
    shaft[0] = float(truth["club"]["length_m"]) * grip[0]
    for k, (before, after) in enumerate(pairwise(grip)):
        shaft[k + 1] = _turned(shaft[k], before, after)
    return float(np.linalg.norm(butt + shaft - hosel, axis=1).max())


def _turned(vector: Floats, before: Floats, after: Floats) -> Floats:
    """(3,) turned by the smallest rotation that takes one direction to another."""
    axis, cosine = np.cross(before, after), float(before @ after)
    turned: Floats = (
        cosine * vector + np.cross(axis, vector) + axis * (axis @ vector) / (1.0 + cosine)
    )
    return turned


def main(arguments: list[str] | None = None) -> int:
    """Check every truth file of a folder; 0 when all are sound."""
    parser = argparse.ArgumentParser(prog="studio check", description=__doc__)
    parser.add_argument("folder", type=Path)
    files = sorted(parser.parse_args(arguments).folder.glob("*.truth.json*"))
    results = [check_truth(load_truth(path)) for path in files]
    for one in results:
        print(
            f"{one.name}: {one.pixels:.2f} px, shaft {1000 * one.club_m:.2f} mm, "
            f"{one.stiffness:.4f} off square, {1000 * one.drift_m:.1f} mm of drift, "
            f"{one.compared} compared"
            f"{'' if one.sound else '  WRONG'}"
        )
    return int(not results or not all(one.sound for one in results))
