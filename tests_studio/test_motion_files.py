"""BVH by hand-written files; a real motion where the environment names one."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from studio.body import Build
from studio.clubs import club_of
from studio.motionfile import load_motion
from studio.perform import perform
from studio.recorded import load_swing, with_recorded
from studio.swing import Swing

HAND_WRITTEN = """HIERARCHY
ROOT Hips
{
  OFFSET 0 10 0
  CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation
  JOINT Knee
  {
    OFFSET 2 0 0
    CHANNELS 3 Zrotation Xrotation Yrotation
    End Site
    {
      OFFSET 0 0 3
    }
  }
}
MOTION
Frames: 3
Frame Time: 0.01
1 2 3 0 0 0 0 0 0
1 2 3 90 0 0 0 0 0
0 0 0 90 90 0 0 0 90
"""


@pytest.fixture
def hand_written(tmp_path: Path) -> Path:
    path = tmp_path / "two_bones.bvh"
    path.write_text(HAND_WRITTEN)
    return path


def test_tree_and_numbers(hand_written: Path) -> None:
    motion = load_motion(hand_written)
    assert [joint.name for joint in motion.joints] == ["Hips", "Knee", "Knee end"]
    assert [joint.parent for joint in motion.joints] == [-1, 0, 1]
    assert motion.frame_s == 0.01
    assert motion.values.shape == (3, 9)
    assert motion.rest()[2] == pytest.approx([2, 10, 3])


def test_places_worked_by_hand(hand_written: Path) -> None:
    _, places = load_motion(hand_written).pose()
    assert places[0, 1] == pytest.approx([3, 2, 3])
    assert places[0, 2] == pytest.approx([3, 2, 6])
    # 90° about z takes x to y: the knee is 2 up from the hips, its tip still 3 forward.
    assert places[1, 1] == pytest.approx([1, 4, 3])
    assert places[1, 2] == pytest.approx([1, 4, 6])
    # First z, then the turned x (which is y): z of the knee's tip goes to the first z's x.
    # The knee's own 90° about y then takes its z to its x, which the hips' turns bring to y.
    assert places[2, 1] == pytest.approx([0, 2, 0])
    assert places[2, 2] == pytest.approx([0, 5, 0])


@pytest.mark.parametrize(
    ("damage", "told"),
    [("MOTION", "is not BVH"), ("Frames: 3", "expected 'Frames:'"), ("OFFSET 2 0 0", "OFFSET")],
)
def test_what_is_wrong_is_told(hand_written: Path, damage: str, told: str) -> None:
    hand_written.write_text(HAND_WRITTEN.replace(damage, "other"))
    with pytest.raises(ValueError, match=told):
        load_motion(hand_written)


def test_too_few_numbers_are_told(hand_written: Path) -> None:
    hand_written.write_text(HAND_WRITTEN[:-6])
    with pytest.raises(ValueError, match="expected 3 frames of 9 channels"):
        load_motion(hand_written)


@pytest.mark.skipif("CAUSELINE_MOTION" not in os.environ, reason="no motion file is named")
def test_a_real_motion_keeps_its_turns() -> None:
    recorded = load_swing(Path(os.environ["CAUSELINE_MOTION"]))
    swing = with_recorded(Swing(tremor=0.0), recorded)
    performance = perform(Build(stature_m=1.73), swing, club_of("mid iron"))
    turns = {
        name: float(np.interp(performance.moments["top"], performance.time_s, turn))
        for name, turn in performance.turns.items()
    }
    # Of the file itself, about the vertical and from its first frames: 79.8° and 51.1°. A body of
    # other shoulders that holds a club: within 6°.
    assert turns["shoulder_turn_level"] == pytest.approx(79.8, abs=6.0)
    assert turns["pelvis_turn"] == pytest.approx(51.1, abs=3.0)
    assert max(performance.residuals.values()) < 6.0
