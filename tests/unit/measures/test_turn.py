"""Turns told from a body in three dimensions whose turn was written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.measures import turn
from causeline.measures.context import SwingContext
from causeline.measures.spec import MeasureSpec
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.motion import Motion
from causeline.model.tracks import BODY_LANDMARKS
from tests.unit.measures import stick

TURNS = [turn.SHOULDER_TURN, turn.SHOULDER_TURN_LEVEL, turn.PELVIS_TURN, turn.SEPARATION]


def turned(top_deg: float, impact_deg: float, downswing_s: float, sd: float = 3.0) -> SwingContext:
    """Shoulders held at one turn around the top and at another around impact; the pelvis half."""
    context = stick.swing(View.FACE_ON, stick.face_on())
    times = np.array([0.0, 0.95, 1.05, 0.95 + downswing_s, 1.05 + downswing_s])
    shoulders = np.array([0.0, top_deg, top_deg, impact_deg, impact_deg])
    turns = np.stack([shoulders, shoulders, shoulders / 2], axis=1)
    joints = np.zeros((len(times), len(BODY_LANDMARKS), 3))
    motion = Motion(
        np.arange(len(times)), times, joints, joints, turns, np.full(turns.shape, sd), "by hand"
    )
    at = {MomentName.ADDRESS: 0.0, MomentName.TOP: 1.0, MomentName.IMPACT: 1.0 + downswing_s}
    found = tuple(Moment(name, time, 0.0, 0, "by hand") for name, time in at.items())
    return replace(context, moments=Moments(found), motion=motion)


def given(result: Measure | Refusal) -> Measure:
    """What was measured."""
    assert isinstance(result, Measure), result
    return result


@pytest.mark.parametrize("spec", TURNS, ids=lambda spec: str(spec.name))
def test_without_a_body_in_space_there_is_no_turn(spec: MeasureSpec) -> None:
    context = stick.swing(View.FACE_ON, stick.face_on())
    assert isinstance(spec.measure(context, MomentName.TOP), Refusal)


def test_a_turn_is_read_at_its_moment() -> None:
    context = turned(90.0, -40.0, 0.25)
    assert given(turn.measure_shoulder_turn(context, MomentName.TOP)).value == pytest.approx(90)
    assert given(turn.measure_pelvis_turn(context, MomentName.TOP)).value == pytest.approx(45)
    assert given(turn.measure_separation(context, MomentName.TOP)).value == pytest.approx(45)
    assert given(turn.measure_pelvis_open(context, MomentName.IMPACT)).value == pytest.approx(20)


def test_a_separation_carries_the_error_of_both_lines() -> None:
    told = given(turn.measure_separation(turned(90.0, -40.0, 0.25), MomentName.TOP))
    assert told.sd == pytest.approx(3.0 * np.sqrt(2.0))


def test_a_turn_that_is_too_unsure_is_refused() -> None:
    told = turn.measure_shoulder_turn(turned(90.0, -40.0, 0.25, sd=15.0), MomentName.TOP)
    assert "±15°" in stick.reason(told)


@pytest.mark.parametrize(("top_deg", "rate"), [(120.0, 717.4), (90.0, 587.0)])
def test_the_rate_that_a_downswing_needs(top_deg: float, rate: float) -> None:
    """Worked by hand, common practice: to 45° open in 0.23 s, 165°/0.23 s and 135°/0.23 s."""
    told = given(turn.measure_turn_rate_needed(turned(top_deg, -45.0, 0.23)))
    assert told.value == pytest.approx(rate, abs=0.1)
    assert told.unit == "°/s"
    assert told.sd == pytest.approx(3.0 * np.sqrt(2.0) / 0.23)
