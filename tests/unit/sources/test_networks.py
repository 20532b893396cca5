"""What the engine says when its weights are missing, broken, or not the ones expected."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from causeline.errors import EngineError
from causeline.model.tracks import Region
from causeline.sources.detect import WEIGHTS, LandmarkModel, OpenvinoEngine

PICTURE = np.zeros((64, 64, 3), np.uint8)
LOOK = (PICTURE, Region(32, 32, 64))


def test_missing_weights_are_named_with_the_remedy(tmp_path: Path) -> None:
    engine = OpenvinoEngine(weights=tmp_path)
    with pytest.raises(EngineError, match=r"pose_detection\.tflite.* missing.*fetch_weights"):
        engine.find_people(PICTURE)
    with pytest.raises(EngineError, match=r"pose_landmark_heavy\.tflite.* missing"):
        next(engine.find_landmarks([LOOK]))


@pytest.mark.parametrize("kept", [0, 1, 1000, 900_000])
def test_cut_off_weights_are_named_with_the_remedy(tmp_path: Path, kept: int) -> None:
    whole = (WEIGHTS / "pose_landmark_full.tflite").read_bytes()
    (tmp_path / "pose_landmark_full.tflite").write_bytes(whole[:kept])
    engine = OpenvinoEngine(LandmarkModel.FULL, tmp_path)
    with pytest.raises(EngineError, match=r"pose_landmark_full\.tflite cannot be used.*weights"):
        next(engine.find_landmarks([LOOK]))


def test_the_weights_of_another_network_are_refused(tmp_path: Path) -> None:
    (tmp_path / "pose_landmark_full.tflite").symlink_to(WEIGHTS / "pose_detection.tflite")
    engine = OpenvinoEngine(LandmarkModel.FULL, tmp_path)
    with pytest.raises(EngineError, match=r"cannot be used.*weights"):
        next(engine.find_landmarks([LOOK]))


def test_a_missing_library_is_named_with_the_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "pose_detection.tflite").symlink_to(WEIGHTS / "pose_detection.tflite")
    monkeypatch.setitem(sys.modules, "openvino", None)
    with pytest.raises(EngineError, match="pip install openvino"):
        OpenvinoEngine(weights=tmp_path).find_people(PICTURE)


def test_an_engine_that_is_not_used_loads_nothing(tmp_path: Path) -> None:
    assert OpenvinoEngine(weights=tmp_path).version.startswith("pose_landmark_heavy")
