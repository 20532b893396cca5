"""The demo clips, read as a coach would read them, beside what the studio knows of each."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from bench.readings import Beside
from bench.truths import Truth, load
from bench.veil import margins

from causeline import Result, read_clip
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.quantities.uncertain import NORMAL_90

DEMO = Path(__file__).parents[2] / "demo"
SCENARIO = json.loads((DEMO / "scenario.json").read_text())
FURTHER = ("_2.mp4", "_3.mp4")
"""Ends of the further swings of a day: more of the same, and each costs seconds to read."""
ALL = [DEMO / entry["file"] for entry in SCENARIO["clips"]]
CLIPS = [path for path in ALL if not path.name.endswith(FURTHER)]
SMALL_ENOUGH = 8e6
WIDEST_TURN_DEG = 10.0
"""A turn less sure than this is refused (docs/measures.md)."""
"""Bytes that all clips and truth files may take in the repository."""

WITHIN_S = {
    MomentName.TOP: 0.1,
    MomentName.ARM_LEVEL_DOWN: 0.05,
    MomentName.SHAFT_LEVEL_DOWN: 0.05,
    MomentName.IMPACT: 0.03,
}
"""Twice what the accuracy bench finds at the 95th percentile: a guard, not a claim."""

each_clip = pytest.mark.parametrize("path", CLIPS, ids=lambda path: str(path.stem))


@cache
def _read(path: Path) -> Result:
    return read_clip(path)


def _truth(path: Path) -> Truth:
    (file,) = path.parent.glob(f"{path.stem}.truth.json*")
    return load(file)


@pytest.mark.parametrize("path", ALL, ids=lambda path: str(path.stem))
def test_view_hand_and_one_swing_are_right(path: Path) -> None:
    reading, truth = _read(path).reading, _truth(path)
    assert reading.view.name == truth.facts["file"]["view"]
    assert reading.hand.name == truth.facts["hand"]
    assert len(reading.swings) == 1


@each_clip
def test_the_clock_is_that_of_the_golfer_not_of_the_player(path: Path) -> None:
    reading, truth = _read(path).reading, _truth(path)
    seconds = np.asarray(truth.facts["frames"]["time_s"])
    assert reading.clip.clock.seconds[-1] == pytest.approx(seconds[-1], abs=0.02)


@each_clip
def test_the_moments_are_where_the_studio_put_them(path: Path) -> None:
    (swing,), truth = _read(path).reading.swings, _truth(path)
    for name, within_s in WITHIN_S.items():
        found = swing.moments.get(name)
        assert found is not None, name
        assert found.time_s == pytest.approx(truth.moments[name], abs=within_s), name


@each_clip
def test_most_truths_lie_inside_what_the_reading_claims(path: Path) -> None:
    (swing,), truth = _read(path).reading.swings, _truth(path)
    inside = [
        abs(moment.time_s - truth.moments[moment.name]) <= NORMAL_90 * moment.sd_s
        for moment in swing.moments.found
        if moment.name in truth.moments
    ]
    # nine moments or ten: eight of nine is less than 90 %, and one clip is no calibration
    assert np.mean(inside) >= 0.6


@each_clip
def test_a_veil_hides_the_true_face_in_every_frame(path: Path) -> None:
    """By how much, over 43 other clips: `bench.veil`."""
    far = list(margins(Beside(path.stem, _truth(path), _read(path).reading)))
    assert len(far) > 50
    assert min(far) > 0.0


@each_clip
def test_turns_are_told_or_refused_and_nothing_stands_without_its_spread(path: Path) -> None:
    (swing,) = _read(path).reading.swings
    for name in ("shoulder_turn", "pelvis_turn"):
        turns = [each for each in swing.measures if each.name == name]
        assert turns
        assert all(isinstance(each, Refusal) or each.sd <= WIDEST_TURN_DEG for each in turns)
    assert all(each.sd > 0 for each in swing.measures if isinstance(each, Measure))


def test_the_clips_are_small() -> None:
    assert sum(file.stat().st_size for file in (DEMO / "clips").iterdir()) <= SMALL_ENOUGH


def test_the_scenario_has_a_left_hander_two_views_and_several_weeks() -> None:
    hands = {_truth(path).facts["hand"] for path in CLIPS}
    views = {entry["view"] for entry in SCENARIO["clips"]}
    dates = sorted(entry["date"] for entry in SCENARIO["clips"])
    assert hands == {"left", "right"}
    assert views == {"face-on", "down-the-line"}
    assert dates[0][:7] != dates[-1][:7]
