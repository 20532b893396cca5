"""Stance width and the hands at the top, in centimetres written down."""

from __future__ import annotations

import pytest

from causeline.measures.hands import (
    measure_hands_depth,
    measure_hands_depth_percent,
    measure_hands_height,
    measure_hands_height_percent,
)
from causeline.measures.stance import measure_stance_width, measure_stance_width_percent
from causeline.model.clip import View
from causeline.model.moments import MomentName
from tests.unit.measures import stick

EXACT_CM = 0.01


@pytest.mark.parametrize("stance", [0.30, 0.46, 0.60])
def test_stance_is_ankle_to_ankle(stance: float) -> None:
    context = stick.swing(View.FACE_ON, stick.face_on(stance=stance))
    centimetres = measure_stance_width(context, MomentName.ADDRESS)
    percent = measure_stance_width_percent(context, MomentName.ADDRESS)
    assert stick.value(centimetres) == pytest.approx(100 * stance, abs=EXACT_CM)
    assert stick.value(percent) == pytest.approx(100 * stance / stick.STATURE_M, abs=EXACT_CM)


def test_stance_has_no_width_down_the_line() -> None:
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line())
    assert "only face-on" in stick.reason(measure_stance_width(context, MomentName.ADDRESS))


def _hands_at(posture: stick.Posture, across: float, up: float) -> stick.Posture:
    """Both wrists that many metres from the middle of the shoulders."""
    lead, trail = posture["lead_shoulder"], posture["trail_shoulder"]
    wrist = ((lead[0] + trail[0]) / 2 + across, (lead[1] + trail[1]) / 2 + up)
    return {**posture, "lead_wrist": wrist, "trail_wrist": wrist}


@pytest.mark.parametrize("up", [0.35, -0.05])
def test_height_at_the_top_is_measured_from_the_shoulders(up: float) -> None:
    top = {MomentName.TOP: _hands_at(stick.face_on(), -0.1, up)}
    context = stick.swing(View.FACE_ON, stick.face_on(), top)
    height, percent = (
        measure(context, MomentName.TOP)
        for measure in (measure_hands_height, measure_hands_height_percent)
    )
    assert stick.value(height) == pytest.approx(100 * up, abs=EXACT_CM)
    assert stick.value(percent) == pytest.approx(100 * up / 1.75, abs=EXACT_CM)


@pytest.mark.parametrize("behind", [0.22, -0.10])
def test_depth_at_the_top_is_positive_behind_the_shoulders(behind: float) -> None:
    top = {MomentName.TOP: _hands_at(stick.down_the_line(), -behind, 0.3)}
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line(), top)
    depth, percent = (
        measure(context, MomentName.TOP)
        for measure in (measure_hands_depth, measure_hands_depth_percent)
    )
    assert stick.value(depth) == pytest.approx(100 * behind, abs=EXACT_CM)
    assert stick.value(percent) == pytest.approx(100 * behind / 1.75, abs=EXACT_CM)


def test_each_view_shows_one_of_the_two() -> None:
    front = stick.swing(View.FACE_ON, stick.face_on())
    side = stick.swing(View.DOWN_THE_LINE, stick.down_the_line())
    needed = stick.reason(measure_hands_depth(front, MomentName.TOP))
    assert "could not be followed in space" in needed
    assert "only face-on" in stick.reason(measure_hands_height(side, MomentName.TOP))
