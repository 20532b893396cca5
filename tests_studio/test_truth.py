"""The truth by other ways: hand-worked rotations, the club's path integrated, rigid bones."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from studio.archive import load_performance, save_performance
from studio.body import Build
from studio.clubs import BALL_RADIUS_M, club_of
from studio.figures import true_turns, turn_about, turn_from_above
from studio.hands import hold_of
from studio.perform import perform
from studio.performance import Floats, Performance
from studio.rotation import lean_and_turn, unit
from studio.swing import Swing


@pytest.fixture(scope="module", params=["driver", "mid iron"])
def performance(request: pytest.FixtureRequest) -> Performance:
    return perform(Build(), Swing(), club_of(request.param), seed=3)


@pytest.mark.parametrize(
    ("lean", "turn", "level"),
    [
        (0, 30, 30.0),
        (20, 45, 43.2),
        (30, 45, 40.9),
        (40, 60, 53.0),
        (30, 90, 90.0),
        (40, 100, 103.0),
    ],
)
def test_turns_about_a_leaning_axis(lean: float, turn: float, level: float) -> None:
    # Worked geometry: atan2(cos(lean) sin(turn), cos(turn)), to the table's 0.1°.
    rotation = lean_and_turn(lean, 0.0, np.array([0.0, turn / 2, turn]))
    line = rotation @ np.array([0.0, 1.0, 0.0])
    assert turn_about(line, rotation[:, :, 2])[-1] == pytest.approx(turn, abs=1e-6)
    assert turn_from_above(line)[-1] == pytest.approx(level, abs=0.06)


def test_moments_are_what_they_say(performance: Performance) -> None:
    at = performance.moments
    order = ("address", "start", "shaft_level_back", "arm_level_back", "top", "arm_level_down",
             "shaft_level_down", "impact", "shaft_level_through", "finish")  # fmt: skip
    assert list(at) == list(order)
    assert np.all(np.diff(list(at.values())) > 0)
    arm = unit(performance.joints["lead_wrist"] - performance.joints["lead_shoulder"])[:, 2]
    shaft = unit(performance.hosel - performance.butt)[:, 2]
    for name in order:
        rise = arm if name.startswith("arm") else shaft
        if "level" in name:
            value = np.interp(at[name], performance.time_s, rise)
            assert np.degrees(np.arcsin(value)) == pytest.approx(0.0, abs=0.5)


def test_the_face_is_at_the_ball_at_impact(performance: Performance) -> None:
    impact = performance.moments["impact"]
    head = _at(performance, performance.head, impact)
    face = head + performance.club["head_size_m"][2] / 2 * np.array([0.0, 1.0, 0.0])
    # 5 mm: a frame of 240 Hz is 0.2 m of head path, interpolated by a straight line.
    assert face[1] + BALL_RADIUS_M == pytest.approx(performance.ball[1], abs=0.005)
    assert np.linalg.norm(head[[0, 2]] - performance.ball[[0, 2]]) < 0.02


def test_the_head_s_path_is_the_integral_of_its_turning(performance: Performance) -> None:
    # dh/dt = db/dt + w × (h - b): integrated over the downswing it must give the head's own path.
    time, butt, head = performance.time_s, performance.butt, performance.head
    frame = np.stack(
        [unit(performance.hosel - butt), performance.face_normal,
         np.cross(unit(performance.hosel - butt), performance.face_normal)], axis=2,
    )  # fmt: skip
    rates = np.gradient(frame, time, axis=0) @ np.swapaxes(frame, 1, 2)
    omega = np.stack([rates[:, 2, 1], rates[:, 0, 2], rates[:, 1, 0]], axis=1)
    speed = np.gradient(butt, time, axis=0) + np.cross(omega, head - butt)
    span = (time > performance.moments["top"]) & (time < performance.moments["impact"])
    steps = np.diff(time[span])[:, None]
    walked = np.sum((speed[span][1:] + speed[span][:-1]) / 2 * steps, axis=0)
    gone = head[span][-1] - head[span][0]
    assert np.linalg.norm(walked - gone) < 0.02  # metres, of a path of about 4: finite differences


def test_hands_stay_on_the_grip_and_feet_on_the_ground(performance: Performance) -> None:
    assert max(v for name, v in performance.residuals.items() if "grip" in name) < 4.0
    assert max(v for name, v in performance.residuals.items() if "foot" in name) < 4.0
    shaft = unit(performance.hosel - performance.butt)
    for side, letter in (("lead", "L"), ("trail", "R")):
        bone = performance.body.bones.index(f"wrist.{letter}")
        moved = performance.bone_transforms[:, bone].astype(np.float64)
        held = moved[..., :3] @ hold_of(performance.body, side).point + moved[..., 3]
        arm = held - performance.butt
        off = arm - np.sum(arm * shaft, axis=1, keepdims=True) * shaft
        assert np.linalg.norm(off, axis=1).max() < 0.004  # metres


def test_bones_are_rigid(performance: Performance) -> None:
    for side in ("lead", "trail"):
        for chain in (("shoulder", "elbow", "wrist"), ("hip", "knee", "ankle")):
            for near, far in pairwise(chain):
                bone = performance.joints[f"{side}_{far}"] - performance.joints[f"{side}_{near}"]
                assert (
                    np.ptp(np.linalg.norm(bone, axis=1)) < 0.008
                )  # metres; twist bones lie between


def test_a_mirrored_golfer_turns_the_other_way(performance: Performance) -> None:
    swapped = {"lead": "trail", "trail": "lead"}
    mirrored = {}
    for name, path in performance.joints.items():
        side, _, part = name.partition("_")
        other = f"{swapped[side]}_{part}" if side in swapped else name
        mirrored[other] = path * [1.0, -1.0, 1.0]
    turns, back = true_turns(performance.joints, 0), true_turns(mirrored, 0)
    for name, turn in turns.items():
        assert back[name] == pytest.approx(-turn, abs=1e-6)


def test_a_swing_looks_like_a_good_one(performance: Performance) -> None:
    def at(name: str, moment: str) -> float:
        values = {**performance.turns, **performance.measures}[name]
        return float(np.interp(performance.moments[moment], performance.time_s, values))

    # Common practice, wide: this is a check of signs and sizes, not of anybody's swing.
    assert 80 < at("shoulder_turn", "top") < 105
    assert 32 < at("pelvis_turn", "top") < 50
    assert -50 < at("pelvis_turn", "impact") < -25
    assert at("separation", "top") > 35
    assert 75 < at("lag", "arm_level_down") < 100
    assert at("pelvis_toward_target", "impact") > 3
    assert at("shaft_face_on", "impact") > -4  # hands not behind the head


def test_a_performance_survives_its_file(performance: Performance, tmp_path: object) -> None:
    path = tmp_path / "performance.npz"  # type: ignore[operator]
    save_performance(path, performance)
    back = load_performance(path)
    assert np.abs(back.bone_transforms - performance.bone_transforms).max() < 2e-4
    assert back.moments == performance.moments
    assert back.measures.keys() == performance.measures.keys()


def _at(performance: Performance, path: Floats, time_s: float) -> Floats:
    return np.array([np.interp(time_s, performance.time_s, path[:, axis]) for axis in range(3)])
