"""Leans, travels, hands and knee of a body in space, against angles and lengths written down."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from causeline.measures import hands, legs, travel, trunk
from causeline.measures.context import SwingContext
from causeline.measures.figure import TO_BALL, TO_TARGET, lean_deg
from causeline.measures.in_space import WIDER
from causeline.model.clip import View
from causeline.model.moments import MomentName, Moments
from causeline.model.motion import POINTS
from tests.unit.measures import space, stick
from tests.unit.measures.space import Stance

ADDRESS, TOP, IMPACT = MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT
FRONT, SIDE = View.FACE_ON, View.DOWN_THE_LINE


@pytest.mark.parametrize("bend", [0.0, 30.0, -12.0])
def test_forward_bend_from_face_on(bend: float) -> None:
    context = space.swing(Stance(bend=bend), view=FRONT)
    told = trunk.measure_trunk_forward_bend(context, ADDRESS)
    assert stick.value(told) == pytest.approx(bend)


def test_side_bend_from_down_the_line() -> None:
    context = space.swing(Stance(bend=0.0), {IMPACT: Stance(bend=0.0, side=22.0)}, SIDE)
    assert stick.value(trunk.measure_trunk_side_bend(context, IMPACT)) == pytest.approx(22.0)


def test_leans_agree_with_a_library_of_rotations() -> None:
    """An upright turned about the target's line leans to the ball, and so on: scipy."""
    up = [0.0, 0.0, 1.0]
    toward_ball = Rotation.from_euler("y", 25.0, degrees=True).apply(up)
    toward_target = Rotation.from_euler("x", -25.0, degrees=True).apply(up)
    assert lean_deg(toward_ball, TO_BALL) == pytest.approx(25.0)
    assert lean_deg(toward_target, TO_TARGET) == pytest.approx(25.0)
    assert lean_deg(toward_ball, TO_TARGET) == pytest.approx(0.0)


def test_standing_up_is_a_negative_change_of_posture() -> None:
    context = space.swing(Stance(bend=38.0), {IMPACT: Stance(bend=26.0)}, FRONT)
    assert stick.value(trunk.measure_posture_change(context, IMPACT)) == pytest.approx(-12.0)


def test_sway_and_thrust() -> None:
    """5 cm toward the target and 3 cm toward the ball, of 175 cm of golfer."""
    later = {IMPACT: Stance(sway=(0.03, 0.05, 0.0))}
    side, front = (space.swing(Stance(), later, view) for view in (SIDE, FRONT))
    assert stick.value(travel.measure_pelvis_toward_target(side, IMPACT)) == pytest.approx(5.0)
    assert stick.value(travel.measure_pelvis_toward_ball(front, IMPACT)) == pytest.approx(3.0)
    share = travel.measure_pelvis_toward_ball_percent(front, IMPACT)
    assert stick.value(share) == pytest.approx(100 * 0.03 / 1.75)


def test_hands_before_and_beside_the_chest() -> None:
    """Upright and square the hands are 40 cm in front of the chest: 40 cm less than behind it."""
    lagging = {MomentName.ARM_LEVEL_DOWN: Stance(hands=(0.35, 0.12), shoulders=30.0)}
    context = space.swing(Stance(bend=0.0), lagging, FRONT)
    depth = hands.measure_hands_depth(context, TOP)
    assert stick.value(depth) == pytest.approx(-40.0)
    beside = hands.measure_hands_beside_chest
    assert stick.value(beside(context, ADDRESS)) == pytest.approx(0.0, abs=1e-9)
    assert stick.value(beside(context, MomentName.ARM_LEVEL_DOWN)) == pytest.approx(12.0)


def test_lead_knee_from_face_on() -> None:
    context = space.swing(Stance(knee=24.0), view=FRONT)
    assert stick.value(legs.measure_lead_knee_flexion(context, ADDRESS)) == pytest.approx(24.0)


def test_an_unknown_stature_is_no_error_of_a_share() -> None:
    context = space.swing(Stance(), {IMPACT: Stance(sway=(0.1, 0.0, 0.0))}, FRONT)
    assert context.motion is not None
    known = context.motion.known
    assert known is not None
    taller = replace(
        known, ways=0.05 * known.points[None], stature_ways=np.array([0.05 * known.stature_m])
    )
    unsure = replace(context, motion=replace(context.motion, known=taller))
    centimetres = travel.measure_pelvis_toward_ball(unsure, IMPACT)
    share = travel.measure_pelvis_toward_ball_percent(unsure, IMPACT)
    wider = WIDER["pelvis_toward_ball"][0]
    assert stick.spread(centimetres) == pytest.approx(wider * 0.5, rel=1e-6)
    assert stick.spread(share) == pytest.approx(0.0, abs=1e-9)


def _later(context: SwingContext, by_s: float) -> SwingContext:
    assert context.motion is not None
    assert context.motion.known is not None
    known = replace(context.motion.known, time_s=context.motion.known.time_s + by_s)
    motion = replace(context.motion, time_s=context.motion.time_s + by_s, known=known)
    found = tuple(replace(m, time_s=m.time_s + by_s) for m in context.moments.found)
    return replace(context, motion=motion, moments=Moments(found))


@pytest.mark.parametrize("by_s", [0.37, 250.0])
def test_starting_the_clip_earlier_changes_nothing(by_s: float) -> None:
    wrong = np.random.default_rng(1).normal(0, 0.01, (5, len(POINTS), 3))
    later = {TOP: Stance(shoulders=80.0, pelvis=40.0, bend=25.0, sway=(0.02, -0.03, 0.0))}
    context = space.swing(Stance(), later, FRONT, sd_s=0.006, wrong=wrong)
    for measured in (
        trunk.measure_trunk_forward_bend,
        travel.measure_pelvis_toward_ball,
        hands.measure_hands_depth,
    ):
        one, other = measured(context, TOP), measured(_later(context, by_s), TOP)
        assert stick.value(other) == pytest.approx(stick.value(one), abs=1e-6)
        assert stick.spread(other) == pytest.approx(stick.spread(one), rel=1e-5)


def test_a_pose_too_unsure_to_tell_is_refused() -> None:
    wrong = np.random.default_rng(2).normal(0, 0.2, (5, len(POINTS), 3))
    context = space.swing(Stance(), view=FRONT, wrong=wrong)
    assert "unsure" in stick.reason(trunk.measure_trunk_forward_bend(context, TOP))
