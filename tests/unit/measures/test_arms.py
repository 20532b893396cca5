"""Arm angles, on sticks."""

from __future__ import annotations

import json
from math import cos, radians, sin
from pathlib import Path

import pytest

from causeline.measures.arms import (
    measure_lead_arm_angle,
    measure_lead_elbow_angle,
    measure_trail_elbow_angle,
)
from causeline.measures.in_plane import FARTHEST_DEG, FINE_DEG
from causeline.model.clip import View
from causeline.model.measures import Measure
from causeline.model.moments import MomentName
from tests.unit.measures import stick

EXACT_DEG = 1e-6
CAMERA = json.loads((Path(__file__).parents[3] / "authorities" / "camera.json").read_text())


@pytest.mark.parametrize("arm", [-70.0, 0.0, 15.0, 90.0, 150.0])
def test_the_lead_arm_hangs_at_zero_and_goes_back_positive(arm: float) -> None:
    context = stick.swing(View.FACE_ON, stick.face_on(arm=arm))
    result = measure_lead_arm_angle(context, MomentName.ADDRESS)
    assert stick.value(result) == pytest.approx(arm, abs=EXACT_DEG)


def test_a_moving_arm_carries_the_error_of_its_moment() -> None:
    """From -20° at the start of the last 0.04 s to +20°: 1000°/s; ±5 ms is ±5°."""
    later = {
        MomentName.SHAFT_LEVEL_DOWN: stick.face_on(arm=20.0),
        MomentName.IMPACT: stick.face_on(arm=-20.0),
        MomentName.SHAFT_LEVEL_THROUGH: stick.face_on(arm=-80.0),
    }
    swings = [stick.swing(View.FACE_ON, stick.face_on(), later, sd_s=sd_s) for sd_s in (0.0, 0.005)]
    still, moving = (stick.spread(measure_lead_arm_angle(s, MomentName.IMPACT)) for s in swings)
    assert (moving**2 - still**2) ** 0.5 == pytest.approx(5.0, rel=0.05)


def _bent(posture: dict[str, stick.Point], side: str, elbow_deg: float) -> dict[str, stick.Point]:
    """The forearm folded up from a hanging upper arm, so that the elbow has that angle."""
    elbow = posture[f"{side}_elbow"]
    wrist = stick.toward(elbow, stick.FOREARM, elbow_deg)
    return {**posture, f"{side}_wrist": wrist}


@pytest.mark.parametrize("elbow_deg", [90.0, 120.0, 165.0])
@pytest.mark.parametrize(
    ("side", "measure"),
    [("lead", measure_lead_elbow_angle), ("trail", measure_trail_elbow_angle)],
)
def test_the_elbow_is_180_when_straight(side: str, measure: object, elbow_deg: float) -> None:
    assert callable(measure)
    posture = _bent(stick.face_on(), side, elbow_deg)
    context = stick.swing(View.FACE_ON, stick.face_on(), {MomentName.IMPACT: posture})
    assert stick.value(measure(context, MomentName.IMPACT)) == pytest.approx(elbow_deg, abs=1e-4)
    assert stick.value(measure(context, MomentName.ADDRESS)) == pytest.approx(180.0, abs=1e-4)


def _shortened(posture: dict[str, stick.Point], out_of_plane_deg: float) -> dict[str, stick.Point]:
    """The lead forearm turned out of the picture: it looks cos(angle) as long."""
    elbow = posture["lead_elbow"]
    length = stick.FOREARM * cos(radians(out_of_plane_deg))
    return {**posture, "lead_wrist": (elbow[0], elbow[1] - length)}


def test_a_forearm_that_points_at_the_camera_is_refused() -> None:
    """The limb is taken as long as its 95th percentile in the swing: noise cannot shorten that."""
    measured = []
    for lean_deg in (FARTHEST_DEG - 1.0, FARTHEST_DEG + 1.0):
        turned = _shortened(stick.face_on(), lean_deg)
        context = stick.swing(View.FACE_ON, stick.face_on(), {MomentName.TOP: turned})
        measured.append(measure_lead_elbow_angle(context, MomentName.TOP))
    assert isinstance(measured[0], Measure)
    reason = stick.reason(measured[1])
    assert reason.startswith("Your forearm points toward or away from the camera")
    assert "°" not in reason  # how far is a guess without a ±


def test_a_limb_a_little_out_of_plane_widens_the_spread_of_a_bent_elbow() -> None:
    near = {**_bent(stick.face_on(), "lead", 120.0)}
    elbow = near["lead_elbow"]
    length = stick.FOREARM * cos(radians(30.0))
    far = {
        **near,
        "lead_wrist": (
            elbow[0] + length * sin(radians(120.0)),
            elbow[1] + length * cos(radians(120.0)),
        ),
    }
    spreads = []
    for posture in (near, far):
        context = stick.swing(View.FACE_ON, stick.face_on(), {MomentName.TOP: posture})
        result = measure_lead_elbow_angle(context, MomentName.TOP)
        assert isinstance(result, Measure)
        assert "out of plane" in result.method
        spreads.append(result.sd)
    assert spreads[0] < spreads[1]


def test_a_limb_is_fine_below_the_published_angle() -> None:
    assert CAMERA["out_of_plane"]["fine_below_deg"] == FINE_DEG < FARTHEST_DEG


def test_down_the_line_has_no_lead_arm_angle() -> None:
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line())
    assert "only face-on" in stick.reason(measure_lead_arm_angle(context, MomentName.TOP))
