"""Leans of the trunk, on sticks that lean by angles written down."""

from __future__ import annotations

import pytest

from causeline.measures.trunk import (
    measure_posture_change,
    measure_trunk_forward_bend,
    measure_trunk_side_bend,
)
from causeline.model.clip import View
from causeline.model.moments import MomentName
from tests.unit.measures import stick

DEGREE = 1.0
EXACT = 1e-6 * DEGREE


@pytest.mark.parametrize("bend", [0.0, 25.0, 40.0, -10.0])
def test_forward_bend_is_the_lean_toward_the_ball(bend: float) -> None:
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line(bend=bend))
    result = measure_trunk_forward_bend(context, MomentName.ADDRESS)
    assert stick.value(result) == pytest.approx(bend, abs=EXACT)


@pytest.mark.parametrize("bend", [0.0, 12.0, 30.0, -8.0])
def test_side_bend_is_the_lean_away_from_the_target(bend: float) -> None:
    later = {MomentName.IMPACT: stick.face_on(side_bend=bend)}
    context = stick.swing(View.FACE_ON, stick.face_on(), later)
    result = measure_trunk_side_bend(context, MomentName.IMPACT)
    assert stick.value(result) == pytest.approx(bend, abs=EXACT)
    assert stick.value(measure_trunk_side_bend(context, MomentName.ADDRESS)) == pytest.approx(0)


def test_standing_up_through_impact_is_a_negative_change_of_posture() -> None:
    later = {
        MomentName.TOP: stick.down_the_line(bend=43.0),
        MomentName.IMPACT: stick.down_the_line(bend=28.0),
    }
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line(bend=40.0), later)
    at_impact = measure_posture_change(context, MomentName.IMPACT)
    assert stick.value(measure_posture_change(context, MomentName.TOP)) == pytest.approx(3.0)
    assert stick.value(at_impact) == pytest.approx(-12.0, abs=EXACT)
    # What the engine sees beside the joints partly cancels in a change, and roll does wholly.
    alone = measure_trunk_forward_bend(context, MomentName.IMPACT)
    assert stick.spread(at_impact) < stick.spread(alone)


def test_the_other_view_needs_the_body_in_space() -> None:
    side = stick.swing(View.DOWN_THE_LINE, stick.down_the_line())
    front = stick.swing(View.FACE_ON, stick.face_on())
    for result in (
        measure_trunk_forward_bend(front, MomentName.TOP),
        measure_posture_change(front, MomentName.TOP),
        measure_trunk_side_bend(side, MomentName.TOP),
    ):
        assert "could not be followed in space" in stick.reason(result)
        assert result.moment == MomentName.TOP
