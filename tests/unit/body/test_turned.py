"""Turns about an inclined axis, against the worked table and an outside library of rotations."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from causeline.body.turned import turn_about, turn_from_above, turns_of
from causeline.model.motion import POINTS

TABLE = {
    0.0: (30.0, 45.0, 60.0, 90.0, 100.0),
    20.0: (28.5, 43.2, 58.4, 90.0, 100.6),
    30.0: (26.6, 40.9, 56.3, 90.0, 101.5),
    40.0: (23.9, 37.5, 53.0, 90.0, 103.0),
}
"""Azimuth from above by atan2(cos φ sin θ, cos θ), for turns of these about an axis inclined by φ;
printed to a tenth of a degree."""
TURNS = (30.0, 45.0, 60.0, 90.0, 100.0)


@pytest.mark.parametrize("bend_deg", TABLE)
def test_an_inclined_turn_from_above_and_about_its_axis(bend_deg: float) -> None:
    axis = Rotation.from_euler("y", bend_deg, degrees=True).apply([0.0, 0.0, 1.0])
    angles = np.array([0.0, *TURNS])
    lines = Rotation.from_rotvec(-np.radians(angles)[:, None] * axis).apply([0.0, 0.4, 0.0])
    from_above = turn_from_above(lines)
    assert from_above[1:] - from_above[0] == pytest.approx(TABLE[bend_deg], abs=0.06)
    about = turn_about(lines, np.tile(axis, (len(lines), 1)))
    assert about - about[0] == pytest.approx(angles, abs=1e-6)


def test_a_puppet_turned_by_hand_reads_its_turn_and_its_mirror_the_opposite() -> None:
    points = np.zeros((2, len(POINTS), 3))
    for name, height, half in (("hip", 0.9, 0.09), ("shoulder", 1.4, 0.18)):
        for sign, side in ((1.0, "lead"), (-1.0, "trail")):
            points[:, POINTS.index(f"{side}_{name}")] = (0.0, sign * half, height)
    upper = [POINTS.index(f"{side}_shoulder") for side in ("lead", "trail")]
    points[1, upper] = Rotation.from_euler("z", -80.0, degrees=True).apply(points[1, upper])
    assert turns_of(points)[1] == pytest.approx([80.0, 80.0, 0.0], abs=1e-9)
    mirrored = points * [-1.0, 1.0, 1.0]
    assert turns_of(mirrored)[1] == pytest.approx([-80.0, -80.0, 0.0], abs=1e-9)
