"""Is a 90 % interval right nine times in ten? Measured on a crowd whose truth is known."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest

from causeline.measures.catalogue import CATALOGUE
from causeline.model.clip import View
from causeline.model.measures import Measure
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats, wrap_deg
from causeline.quantities.uncertain import NORMAL_90
from tests.unit.measures.crowd import Golfer, Joints, golfer

CROWD = 300
"""So many that a true 90 % strays from 85-95 % less than once in two hundred."""

ADDRESS, TOP, IMPACT = MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT
TO_BALL, TO_TARGET, UP = 0, 1, 2
Truth = Callable[[Joints, Joints], float]


def _middle(joints: Joints, part: str) -> Floats:
    return (joints[f"lead_{part}"] + joints[f"trail_{part}"]) / 2


def _travel(part: str, axis: int) -> Truth:
    return lambda address, at: float(100 * (_middle(at, part) - _middle(address, part))[axis])


def _lean(joints: Joints, axis: int) -> float:
    trunk = _middle(joints, "shoulder") - _middle(joints, "hip")
    return float(np.degrees(np.arctan2(trunk[axis], trunk[UP])))


def _knee(joints: Joints) -> float:
    thigh = joints["lead_hip"] - joints["lead_knee"]
    shank = joints["lead_knee"] - joints["lead_ankle"]
    cosine = thigh @ shank / np.linalg.norm(thigh) / np.linalg.norm(shank)
    return float(np.degrees(np.arccos(cosine)))


def _arm(joints: Joints) -> float:
    arm = joints["lead_wrist"] - joints["lead_shoulder"]
    return float(np.degrees(np.arctan2(-arm[TO_TARGET], -arm[UP])))


def _hands(axis: int, sign: float) -> Truth:
    return lambda _, at: float(sign * 100 * (_middle(at, "wrist") - _middle(at, "shoulder"))[axis])


def _stance(_: Joints, at: Joints) -> float:
    return float(100 * (at["lead_ankle"] - at["trail_ankle"])[TO_TARGET])


TOO_WIDE = {
    ("trunk_side_bend", ADDRESS),
    ("trunk_forward_bend", TOP),
    ("pelvis_rise", IMPACT),
}
"""Known to be wider than need be, for one model of how places are shared by lead and trail serves
all moments: a body that is square to the camera, or turned by a right angle, shares them better."""

SIDE, FRONT = View.DOWN_THE_LINE, View.FACE_ON
CASES: list[tuple[str, View, MomentName, Truth]] = [
    ("stance_width", FRONT, ADDRESS, _stance),
    ("trunk_side_bend", FRONT, ADDRESS, lambda _, at: -_lean(at, TO_TARGET)),
    ("trunk_side_bend", FRONT, IMPACT, lambda _, at: -_lean(at, TO_TARGET)),
    ("trunk_forward_bend", SIDE, ADDRESS, lambda _, at: _lean(at, TO_BALL)),
    ("trunk_forward_bend", SIDE, TOP, lambda _, at: _lean(at, TO_BALL)),
    ("posture_change", SIDE, TOP, lambda a, at: _lean(at, TO_BALL) - _lean(a, TO_BALL)),
    ("posture_change", SIDE, IMPACT, lambda a, at: _lean(at, TO_BALL) - _lean(a, TO_BALL)),
    ("lead_knee_flexion", SIDE, ADDRESS, lambda _, at: _knee(at)),
    ("lead_knee_flexion", SIDE, IMPACT, lambda _, at: _knee(at)),
    ("lead_arm_angle", FRONT, ADDRESS, lambda _, at: _arm(at)),
    ("lead_arm_angle", FRONT, TOP, lambda _, at: _arm(at)),
    ("hands_height", FRONT, TOP, _hands(UP, 1.0)),
    ("hands_depth", SIDE, TOP, _hands(TO_BALL, -1.0)),
    ("head_toward_target", FRONT, TOP, _travel("ear", TO_TARGET)),
    ("head_toward_ball", SIDE, IMPACT, _travel("ear", TO_BALL)),
    ("head_rise", FRONT, IMPACT, _travel("ear", UP)),
    ("head_rise", SIDE, TOP, _travel("ear", UP)),
    ("pelvis_toward_target", FRONT, TOP, _travel("hip", TO_TARGET)),
    ("pelvis_toward_target", FRONT, IMPACT, _travel("hip", TO_TARGET)),
    ("pelvis_toward_ball", SIDE, IMPACT, _travel("hip", TO_BALL)),
    ("pelvis_rise", SIDE, IMPACT, _travel("hip", UP)),
]


@cache
def _crowd(view: View) -> list[Golfer]:
    rng = np.random.default_rng(20 if view is View.FACE_ON else 21)
    return [golfer(rng, view) for _ in range(CROWD)]


@pytest.mark.parametrize(("name", "view", "moment", "truth"), CASES)
def test_ninety_percent_of_truths_lie_in_the_90_percent_interval(
    name: str, view: View, moment: MomentName, truth: Truth
) -> None:
    spec = next(spec for spec in CATALOGUE if spec.name == name)
    scores: list[float] = []
    for one in _crowd(view):
        result = spec.measure(one.context, moment)
        if isinstance(result, Measure):
            true = truth(one.truth[ADDRESS], one.truth[moment])
            error = result.value - true
            error = float(wrap_deg(error)) if result.unit == "°" else error
            scores.append(error / result.sd)
    assert len(scores) > 0.9 * CROWD
    held = float(np.mean(np.abs(scores) <= NORMAL_90))
    assert 0.85 <= held <= (0.98 if (name, moment) in TOO_WIDE else 0.95)
