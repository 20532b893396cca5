"""The puppet is what it says it is: otherwise it proves nothing about the finders."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName
from causeline.model.tracks import ENGINE_LANDMARKS
from tests.motions.puppet import PLAIN_SWING, Camera, Flaws, Puppet, swapped

LEVEL_M = 0.002
"""Two millimetres: far below what a landmark can show."""


def _at(name: MomentName) -> dict[str, np.ndarray]:
    return Puppet().joints(np.array([PLAIN_SWING[name]]))


@pytest.mark.parametrize("name", [MomentName.ARM_LEVEL_BACK, MomentName.ARM_LEVEL_DOWN])
def test_the_lead_arm_is_level_when_written(name: MomentName) -> None:
    at = _at(name)
    assert at["lead_wrist"][0, 2] == pytest.approx(at["lead_shoulder"][0, 2], abs=LEVEL_M)


@pytest.mark.parametrize("name", [n for n in MomentName if n.startswith("shaft_level")])
def test_the_shaft_is_level_when_written(name: MomentName) -> None:
    at = _at(name)
    assert at["head"][0, 2] == pytest.approx(at["grip"][0, 2], abs=LEVEL_M)


def test_hands_stand_still_at_the_top_and_turn_round_there() -> None:
    top = PLAIN_SWING[MomentName.TOP]
    hands = Puppet().angles(top + np.array([-0.02, -0.001, 0.0, 0.001, 0.02]))["hands"]
    assert hands[2] == hands.min()
    assert hands[1] - hands[2] < 0.01
    assert hands[0] > hands[2] < hands[4]


def test_face_on_a_right_hander_goes_back_to_the_left_of_the_picture() -> None:
    body = Puppet(camera=Camera(View.FACE_ON)).body()
    level = round(PLAIN_SWING[MomentName.ARM_LEVEL_BACK] * 60)
    assert body.point("lead_wrist")[level, 0] < body.point("trail_shoulder")[level, 0]


def test_down_the_line_the_ball_is_on_the_right() -> None:
    puppet = Puppet(camera=Camera(View.DOWN_THE_LINE))
    _, head = puppet.club()
    assert head[0, 0] > puppet.body().point("lead_toe")[0, 0]


def test_a_left_hander_is_the_mirrored_picture_with_left_and_right_exchanged() -> None:
    right, left = Puppet().landmarks(), Puppet(hand=Hand.LEFT).landmarks()
    mirrored = left.point("right_wrist")
    assert np.allclose(right.point("left_wrist")[:, 1], mirrored[:, 1])
    assert np.allclose(right.point("left_wrist")[:, 0], 719 - mirrored[:, 0])


def test_flaws_are_as_asked_for() -> None:
    track = Puppet().landmarks(Flaws(missing=(3, 4), swaps=((10, 11, "legs"),)))
    true = Puppet().landmarks()
    assert 3 not in track.frames
    assert len(track.frames) == len(true.frames) - 2
    assert np.allclose(track.point("left_knee")[8], true.point("right_knee")[10])
    assert np.allclose(track.point("left_wrist")[8], true.point("left_wrist")[10])


def test_swapping_twice_changes_nothing() -> None:
    xy = np.arange(2.0 * len(ENGINE_LANDMARKS)).reshape(1, -1, 2)
    for part in ("whole", "arms", "legs"):
        assert np.array_equal(swapped(swapped(xy, part), part), xy)
        assert not np.array_equal(swapped(xy, part), xy)
