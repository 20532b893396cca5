"""Turns are refused for now, in both views, with the honest reason."""

from __future__ import annotations

import pytest

from causeline.measures import turn
from causeline.measures.spec import MeasureSpec
from causeline.model.clip import View
from causeline.model.moments import MomentName
from tests.unit.measures import stick

TURNS = [turn.SHOULDER_TURN, turn.SHOULDER_TURN_LEVEL, turn.PELVIS_TURN, turn.SEPARATION]


@pytest.mark.parametrize("spec", TURNS, ids=lambda spec: str(spec.name))
@pytest.mark.parametrize("view", list(View))
def test_one_view_carries_no_turn(spec: MeasureSpec, view: View) -> None:
    address = stick.face_on() if view is View.FACE_ON else stick.down_the_line()
    refused = spec.measure(stick.swing(view, address), MomentName.TOP)
    assert (refused.name, refused.moment) == (spec.name, MomentName.TOP)
    assert "has to be guessed" in stick.reason(refused)
    assert spec.views == ()
