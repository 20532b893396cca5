"""Lead-knee flexion, on sticks."""

from __future__ import annotations

import pytest

from causeline.measures.legs import measure_lead_knee_flexion
from causeline.model.clip import View
from causeline.model.moments import MomentName
from tests.unit.measures import stick


@pytest.mark.parametrize("knee", [0.0, 10.0, 28.0, 45.0, -4.0])
def test_flexion_is_zero_when_straight_and_positive_toward_the_ball(knee: float) -> None:
    later = {MomentName.IMPACT: stick.down_the_line(knee=knee)}
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line(knee=28.0), later)
    result = measure_lead_knee_flexion(context, MomentName.IMPACT)
    assert stick.value(result) == pytest.approx(knee, abs=1e-6)


def test_the_spread_is_mostly_where_the_engine_sees_the_joints() -> None:
    """5 px at the knee against a thigh of 199 px and a shank of 207 px is 2.8°, at the hip 1.4°, at
    the ankle 1.4°: 3.5° in all, and 1.7° for a limb that may be 20° out of the picture.
    """
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line(), sd_px=5.0)
    assert 3.8 < stick.spread(measure_lead_knee_flexion(context, MomentName.ADDRESS)) < 4.3


def test_a_thigh_that_points_into_the_picture_is_refused() -> None:
    address = stick.down_the_line()
    hip = stick.toward(address["lead_knee"], 0.6 * stick.THIGH, -13.0)
    context = stick.swing(
        View.DOWN_THE_LINE, address, {MomentName.TOP: {**address, "lead_hip": hip}}
    )
    assert "Your thigh points" in stick.reason(measure_lead_knee_flexion(context, MomentName.TOP))


def test_face_on_needs_the_body_in_space() -> None:
    context = stick.swing(View.FACE_ON, stick.face_on())
    reason = stick.reason(measure_lead_knee_flexion(context, MomentName.ADDRESS))
    assert "could not be followed in space" in reason
