"""Truth tapes keep what truth files hold, to a tenth of a millimetre and of a pixel."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from bench.tapes import load_truth_tape, save_truth_tape
from bench.truths import Truth


def _truth() -> Truth:
    facts: dict[str, Any] = {
        "seed": 1,
        "frames": {"count": 3, "time_s": [0.0, 0.033333, 0.066667]},
        "points_m": {"head": [[0.1, -2.0, 3.00004], [0.2, 0.0, 0.0], [-40.0, 0.0, 1e-5]]},
        "points_px": {"head": [[1.04, -7.0], [np.nan, np.nan], [2000.0, 1.0]]},
        "turns_deg": {"pelvis_turn": [0.0, 45.25, -30.0]},
        "measures": {"stance_width": [1.0, np.nan, 3.0]},
        "visible": {"head": [1, 0, 1]},
        "moments": {"top": {"time_s": 0.05, "frame": 1}},
        "body": {"stature_m": 1.7},
    }
    return Truth(facts)


def test_a_truth_comes_back_within_its_steps(tmp_path: Path) -> None:
    truth = _truth()
    save_truth_tape(tmp_path / "a.tape.npz", truth)
    back = load_truth_tape(tmp_path / "a.tape.npz")
    assert back.moments == {"top": 0.05}
    assert back.stature_m == 1.7
    np.testing.assert_array_equal(back.facts["frames"]["time_s"], truth.facts["frames"]["time_s"])
    for key, half in (("points_m", 5e-5), ("points_px", 0.05), ("measures", 5e-3)):
        for name, rows in truth.facts[key].items():
            np.testing.assert_allclose(back.facts[key][name], rows, rtol=0, atol=1.01 * half)
    assert back.at("head", "top") == pytest.approx([-19.9, 0.0, 5e-6], abs=2e-3)
    assert back.facts["visible"]["head"].tolist() == [1, 0, 1]


def test_the_truth_itself_is_left_as_it_was(tmp_path: Path) -> None:
    truth = _truth()
    save_truth_tape(tmp_path / "a.tape.npz", truth)
    assert set(truth.facts) == set(_truth().facts)
