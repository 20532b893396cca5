"""The lifter's door: what it sees of a swing, how it counts, and when it does not tell."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from causeline.errors import EngineError
from causeline.model.clip import View
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.motion import TURNS
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.sources import lift_net
from causeline.sources.fake_lift import FakeLifter
from causeline.sources.lift_net import STEPS, LiftNet, see_swing

TIMES = {"address": 0.5, "top": 1.3, "impact": 1.6, "finish": 2.3}
HEIGHTS = {
    "nose": 0.82, "ear": 0.83, "shoulder": 0.72, "elbow": 0.55, "wrist": 0.42, "knuckle": 0.38,
    "hip": 0.50, "knee": 0.27, "ankle": 0.0, "heel": -0.02, "toe": -0.03,
}  # fmt: skip


def _standing() -> BodyTrack:
    """Somebody who stands still for three seconds, 400 pixels from ankles to nose."""
    count = 181
    still = [
        (300 + 40 * (name.startswith("lead")) - 40 * (name.startswith("trail")), 500 - 488 * h)
        for name in BODY_LANDMARKS
        for h in [HEIGHTS[name.rpartition("_")[2]]]
    ]
    xy = np.repeat(np.array(still, dtype=float)[None], count, axis=0)
    shape = (count, len(BODY_LANDMARKS))
    return BodyTrack(
        np.arange(count), np.arange(count) / 60, xy, np.full(shape, 0.9), np.full(shape, 4.0), 600
    )


def _moments(**times: float) -> Moments:
    return Moments(
        tuple(Moment(MomentName(name), at, 0.01, round(60 * at), "") for name, at in times.items())
    )


def test_the_first_sample_is_before_address_and_moments_have_their_places() -> None:
    at = lift_net._phase_times((0.5, 1.3, 1.6, 2.3))
    assert at[[0, 8, 64, 96, 120]] == pytest.approx([0.2, 0.5, 1.3, 1.6, 2.3])


def test_a_figure_of_another_size_and_place_is_seen_alike() -> None:
    body, at = _standing(), np.linspace(0.2, 2.7, STEPS)
    other = replace(body, xy=2.5 * body.xy + np.array([70.0, -30.0]))
    one, two = (see_swing(track, None, at, View.FACE_ON) for track in (body, other))
    assert np.abs(one - two).max() < 1e-9


def test_the_nose_is_one_above_the_ankles_and_the_lead_side_right() -> None:
    seen = see_swing(_standing(), None, np.linspace(0.2, 2.7, STEPS), View.FACE_ON)
    joints = seen[:, : 3 * len(BODY_LANDMARKS)].reshape(STEPS, -1, 3)
    assert joints[0, 0, :2] == pytest.approx([0.0, 1.0])
    assert joints[0, BODY_LANDMARKS.index("lead_hip"), 0] == pytest.approx(0.1, abs=1e-3)


def test_a_landmark_that_is_never_seen_has_no_trust_and_no_place() -> None:
    body, k = _standing(), BODY_LANDMARKS.index("trail_elbow")
    xy = body.xy.copy()
    xy[:, k] = np.nan
    seen = see_swing(replace(body, xy=xy), None, np.linspace(0.2, 2.7, STEPS), View.FACE_ON)
    assert not seen[:, 3 * k : 3 * k + 3].any()


def test_the_shaft_has_a_direction_with_up_positive() -> None:
    body = _standing()
    grip = np.repeat([[300.0, 300.0]], len(body), axis=0)
    club = ClubTrack(grip, grip + np.array([0.0, 200.0]), np.full(len(body), 0.95))
    seen = see_swing(body, club, np.linspace(0.2, 2.7, STEPS), View.DOWN_THE_LINE)
    shaft = seen[0, 3 * len(BODY_LANDMARKS) :][:4]
    assert shaft == pytest.approx([0.0, -1.0, 0.5, 0.95], abs=2e-3)


@pytest.mark.parametrize("lacking", ["top", "impact"])
def test_without_a_top_or_an_impact_there_is_no_answer(lacking: str) -> None:
    times = {name: at for name, at in TIMES.items() if name != lacking}
    assert LiftNet().lift_body(_standing(), None, _moments(**times), View.FACE_ON) is None


def test_turns_start_near_zero_have_a_spread_and_are_the_same_twice() -> None:
    body = _standing()
    one, two = (
        LiftNet().lift_body(body, None, _moments(**TIMES), View.FACE_ON, 1.8) for _ in range(2)
    )
    assert one is not None
    assert two is not None
    inside = (body.time_s > 0.2) & (body.time_s < 2.64)
    assert np.isfinite(one.joints[inside]).all()
    assert (one.turn_sd[inside] > 0).all()
    assert np.isnan(one.turns[body.time_s < 0.15]).all()
    # Not exactly zero: it tells how far the golfer had turned when the address was read late.
    assert one.turns[30] == pytest.approx(np.zeros(len(TURNS)), abs=5.0)
    assert np.array_equal(one.turns, two.turns, equal_nan=True)


def test_metres_grow_with_the_stature_and_an_unknown_one_is_less_sure() -> None:
    body, moments = _standing(), _moments(**TIMES)
    lifter = LiftNet()
    short = lifter.lift_body(body, None, moments, View.FACE_ON, 1.7)
    tall = lifter.lift_body(body, None, moments, View.FACE_ON, 2.04)
    unknown = lifter.lift_body(body, None, moments, View.FACE_ON)
    assert short is not None
    assert tall is not None
    assert unknown is not None
    assert tall.joints[60] == pytest.approx(1.2 * short.joints[60])
    assert unknown.joints[60] == pytest.approx(short.joints[60])
    assert (unknown.joint_sd[60] >= short.joint_sd[60]).all()


def test_a_convolution_by_hand() -> None:
    """Taps 1, 2, 3 two apart, over 1 … 5 with zeros beyond: 2·1 + 3·3, …, 1·3 + 2·5."""
    x = np.arange(1, 6, dtype=np.float32)[:, None]
    weight = np.array([[[1, 2, 3]]], dtype=np.float32)
    out = lift_net._convolved(x, weight, np.zeros(1, np.float32), 2)[:, 0]
    assert out.tolist() == [11, 16, 22, 10, 13]


def test_missing_weights_say_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(EngineError, match="missing"):
        LiftNet(tmp_path / "lift.npz")


def test_another_file_is_not_taken_for_the_lifter(tmp_path: Path) -> None:
    np.savez(tmp_path / "lift.npz", usual=np.zeros((1, 5, STEPS)))
    with pytest.raises(EngineError, match="not the lifter"):
        LiftNet(tmp_path / "lift.npz")


def test_the_fake_says_its_script() -> None:
    assert FakeLifter().lift_body(_standing(), None, Moments(()), View.FACE_ON) is None
