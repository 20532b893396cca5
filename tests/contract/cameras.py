"""Four calibrated cameras around one person: where a point in space is, from where each sees it.

The calibration is a QTM text beside the reference films (`tools/fetch_reference.py`): intrinsics in
64ths of a pixel, rotation from the world to a camera whose y and z point up and back.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import numpy as np

from causeline.quantities.angle import Floats

_UP_AND_BACK = np.diag([1.0, -1.0, -1.0])


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """A pinhole with the usual two radial and two tangential terms."""

    focal: Floats
    """(2,) pixels."""
    centre: Floats
    bent: tuple[float, float, float, float]
    """k1, k2, p1, p2."""
    outer: Floats
    """(3, 4) from the world, in metres."""

    def straighten(self, xy: Floats) -> Floats:
        """Pixels (..., 2) to the plane one metre before the camera, without lens distortion."""
        k1, k2, p1, p2 = self.bent
        seen = (xy - self.centre) / self.focal
        plain = seen
        for _ in range(10):
            x, y = plain[..., :1], plain[..., 1:]
            square = x * x + y * y
            aside = np.concatenate(
                [
                    2 * p1 * x * y + p2 * (square + 2 * x * x),
                    p1 * (square + 2 * y * y) + 2 * p2 * x * y,
                ],
                axis=-1,
            )
            plain = (seen - aside) / (1 + k1 * square + k2 * square**2)
        return plain

    def project(self, point: Floats) -> Floats:
        """A point in the world (3,) to the same plane, (2,)."""
        seen = self.outer @ np.append(point, 1.0)
        return np.asarray(seen[:2] / seen[2])


def read_cameras(path: Path) -> list[Camera]:
    """The cameras of a QTM calibration, in its order."""
    root = ElementTree.parse(path).getroot()
    return [_camera(element) for element in root.iter("camera")]


def triangulate(cameras: list[Camera], straight: Floats) -> Floats:
    """The point (3,) nearest to the rays of all cameras, from straightened places (c, 2)."""
    rows = np.concatenate(
        [
            place[:, None] * camera.outer[2] - camera.outer[:2]
            for camera, place in zip(cameras, straight, strict=True)
        ]
    )
    point = np.linalg.svd(rows)[2][-1]
    return np.asarray(point[:3] / point[3])


def _camera(element: ElementTree.Element) -> Camera:
    inner, outer = element.find("intrinsic"), element.find("transform")
    assert inner is not None
    assert outer is not None

    def of(names: str, source: ElementTree.Element = inner) -> list[float]:
        return [float(source.attrib[name]) for name in names.split()]

    turn = np.array(of("r11 r12 r13 r21 r22 r23 r31 r32 r33", outer)).reshape(3, 3)
    turn = _UP_AND_BACK @ turn
    place = np.array(of("x y z", outer)) / 1000.0
    k1, k2, p1, p2 = of(
        "radialDistortion1 radialDistortion2 tangentalDistortion1 tangentalDistortion2"
    )
    return Camera(
        np.array(of("focalLengthU focalLengthV")) / 64.0,
        np.array(of("centerPointU centerPointV")) / 64.0,
        (k1, k2, p1, p2),
        np.column_stack([turn, -turn @ place]),
    )
