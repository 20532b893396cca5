"""The check of truth files: sound ones pass, and each thing that can be wrong is found."""

from __future__ import annotations

import copy
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from studio import check
from studio.acting import act
from studio.camera import FACE_ON, Station, stand
from studio.check import check_truth
from studio.clubs import club_of
from studio.draw.exposure import Shutter
from studio.golfers import draw_golfer
from studio.perform import perform
from studio.truth import Filmed, load_truth, truth_of

CLIPS = Path(__file__).parents[1] / "demo" / "clips"
RIGHT = CLIPS / "dara_2026-04-13_down_the_line.truth.json.gz"
LEFT = CLIPS / "nell_2026-04-08_face_on.truth.json.gz"


@pytest.fixture
def truth() -> dict[str, Any]:
    return copy.deepcopy(load_truth(RIGHT))


def test_the_demo_s_truth_is_sound(capsys: pytest.CaptureFixture[str]) -> None:
    assert check.main([str(CLIPS)]) == 0
    assert "WRONG" not in capsys.readouterr().out


def test_a_folder_without_truth_is_not_called_sound(tmp_path: Path) -> None:
    assert check.main([str(tmp_path)]) == 1


def test_a_joint_three_pixels_off_is_found(truth: dict[str, Any]) -> None:
    moved = np.array(truth["points_px"]["lead_hip"]) + np.array([3.0, 0.0])
    truth["points_px"]["lead_hip"] = moved.tolist()
    assert check_truth(truth).pixels == pytest.approx(3.0, abs=0.3)
    assert not check_truth(truth).sound


def test_a_left_hander_told_as_a_right_hander_is_found() -> None:
    told = load_truth(LEFT)
    assert check_truth(told).sound
    assert not check_truth({**told, "hand": "right"}).sound


def test_a_club_that_is_a_centimetre_longer_than_told_is_found(truth: dict[str, Any]) -> None:
    truth["club"]["length_m"] -= 0.01
    assert check_truth(truth).drift_m == pytest.approx(0.01, abs=0.003)
    assert not check_truth(truth).sound


def test_a_shaft_that_does_not_go_where_the_grip_points_is_found(truth: dict[str, Any]) -> None:
    truth["points_m"]["hosel"][60][0] += 0.02
    assert not check_truth(truth).sound


def test_the_mirrored_swing_has_the_mirrored_truth() -> None:
    golfer = draw_golfer(np.random.default_rng(5), roots={})
    performance = perform(golfer.build, golfer.swing, club_of("mid iron"), 5)
    camera = stand(Station(FACE_ON, 3.4, 1.1, off_axis_deg=4, roll_deg=1.5), (540, 960))
    times = performance.moments["top"] + np.arange(0.0, 0.2, 0.02)
    right = Filmed(act(performance), camera, Shutter(1 / 1000, 0.012), times, left_handed=False)
    one, other = (truth_of(each, {}, {}) for each in (right, replace(right, left_handed=True)))
    assert (one["hand"], other["hand"]) == ("right", "left")
    for name, pixels in one["points_px"].items():
        flipped = np.array(other["points_px"][name], float) * [-1, 1] + [camera.width - 1, 0]
        # 0.01: both are rounded to a hundredth of a pixel.
        assert flipped == pytest.approx(np.array(pixels, float), abs=0.011, nan_ok=True)
    assert one["points_m"] == other["points_m"]
    assert one["turns_deg"] == other["turns_deg"]
    assert one["moments"] == other["moments"]
