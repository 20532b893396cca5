"""Turns and what rests on them, from a body in space whose turns were written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.measures import turn
from causeline.measures.context import SwingContext
from causeline.measures.in_space import WIDER
from causeline.measures.separation import measure_separation_peak, measure_separation_peak_time
from causeline.measures.spec import MeasureSpec
from causeline.model.clip import View
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.motion import POINTS
from tests.unit.measures import space, stick
from tests.unit.measures.space import Stance

ADDRESS, TOP, IMPACT = MomentName.ADDRESS, MomentName.TOP, MomentName.IMPACT
TURNS = [turn.SHOULDER_TURN, turn.SHOULDER_TURN_LEVEL, turn.PELVIS_TURN, turn.SEPARATION]
GOOD = {
    TOP: Stance(shoulders=90.0, pelvis=45.0),
    IMPACT: Stance(shoulders=-25.0, pelvis=-40.0),
}


@pytest.mark.parametrize("spec", TURNS, ids=lambda spec: str(spec.name))
@pytest.mark.parametrize("view", list(View))
def test_without_a_body_in_space_there_is_no_turn(spec: MeasureSpec, view: View) -> None:
    address = stick.face_on() if view is View.FACE_ON else stick.down_the_line()
    refused = spec.measure(stick.swing(view, address), TOP)
    assert (refused.name, refused.moment) == (spec.name, TOP)
    assert "could not be followed in space" in stick.reason(refused)


@pytest.mark.parametrize("view", list(View))
def test_a_turn_is_read_at_its_moment(view: View) -> None:
    context = space.swing(Stance(), GOOD, view)
    assert stick.value(turn.measure_shoulder_turn(context, TOP)) == pytest.approx(90)
    assert stick.value(turn.measure_pelvis_turn(context, TOP)) == pytest.approx(45)
    assert stick.value(turn.measure_pelvis_turn(context, IMPACT)) == pytest.approx(-40)
    assert stick.value(turn.measure_pelvis_open(context, IMPACT)) == pytest.approx(40)
    assert stick.value(turn.measure_shoulders_open(context, IMPACT)) == pytest.approx(25)
    assert stick.spread(turn.measure_shoulder_turn(context, TOP)) == pytest.approx(2)


def test_separation_is_taken_from_above() -> None:
    """Shoulders 60° about an axis bent by 30° read 56.3° from above: the worked table."""
    context = space.swing(Stance(), {TOP: Stance(shoulders=60.0, pelvis=20.0)})
    apart = stick.value(turn.measure_separation(context, TOP))
    assert apart == pytest.approx(56.3 - 20.0, abs=0.05)


def test_an_error_that_both_lines_share_is_no_error_of_their_separation() -> None:
    """A camera thought to stand elsewhere turns shoulders and pelvis alike."""
    address = space.points_of(Stance())
    yaw = np.radians(3.0)
    turned = address @ [[np.cos(yaw), np.sin(yaw), 0], [-np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]]
    wrong = (turned - address)[None]
    context = space.swing(Stance(), wrong=wrong)
    # 3° each, the same at address and at the top: nothing is left of them
    assert stick.spread(turn.measure_separation(context, TOP)) == pytest.approx(0.0, abs=1e-9)


def test_an_error_of_one_shoulder_alone_is_carried() -> None:
    wrong = np.zeros((1, len(POINTS), 3))
    wrong[0, POINTS.index("lead_shoulder"), 0] = 0.02
    context = space.swing(Stance(), {TOP: Stance(shoulders=90.0)}, wrong=wrong)
    # at address 2 cm across a line of 36 cm turn it by atan(2/36); at the top they lie along it
    expected = WIDER["separation"][0] * np.degrees(np.arctan(0.02 / 0.36))
    assert stick.spread(turn.measure_separation(context, TOP)) == pytest.approx(expected, rel=0.03)


def test_the_moments_own_error_is_held() -> None:
    """Shoulders turn back from 90° to −25° in 0.26 s here: between, 10 ms are 5.2°."""
    sure = space.swing(Stance(), {TOP: Stance(shoulders=90.0)}, sd_s=0.0)
    vague = space.swing(Stance(), {TOP: Stance(shoulders=90.0)}, sd_s=0.01)
    level = MomentName.ARM_LEVEL_BACK
    rate = 90.0 / 0.3  # degrees a second from arm level (0°) to the top
    wide = stick.spread(turn.measure_shoulder_turn(vague, level))
    assert stick.spread(turn.measure_shoulder_turn(sure, level)) == pytest.approx(2.0)
    assert wide == pytest.approx(np.hypot(2.0, rate / 2 * 0.01), rel=0.02)


def test_a_turn_that_is_too_unsure_is_refused() -> None:
    context = space.swing(Stance(), GOOD)
    assert context.motion is not None
    unsure = replace(context.motion, turn_sd=context.motion.turn_sd * 8)
    told = turn.measure_shoulder_turn(replace(context, motion=unsure), TOP)
    assert "±16°" in stick.reason(told)


def _in(context: SwingContext, downswing_s: float) -> SwingContext:
    """Impact so much after the top, the turns of the two instants held."""
    assert context.motion is not None
    top = stick.TIMES[TOP]
    times = np.array([0.0, top - 0.05, top + 0.05, top + downswing_s - 0.05, top + downswing_s + 1])
    known = {m.name: m for m in context.moments.found}
    at = [known[ADDRESS], known[TOP], Moment(IMPACT, top + downswing_s, 0.0, 0, "by hand")]
    rows = np.searchsorted(context.motion.time_s, [0.0, top, top, stick.TIMES[IMPACT]] * 1)
    turns = context.motion.turns[[rows[0], rows[1], rows[1], rows[3], rows[3]]]
    flat = np.zeros((5, *context.motion.joints.shape[1:]))
    spread = np.full(turns.shape, 3.0)
    motion = replace(
        context.motion,
        frames=np.arange(5),
        time_s=times,
        joints=flat,
        joint_sd=flat,
        turns=turns,
        turn_sd=spread,
    )
    return replace(context, moments=Moments(tuple(at)), motion=motion)


@pytest.mark.parametrize(("top_deg", "rate"), [(120.0, 717.4), (90.0, 587.0)])
def test_the_rate_that_a_downswing_needs(top_deg: float, rate: float) -> None:
    """Worked by hand, common practice: to 45° open in 0.23 s, 165°/0.23 s and 135°/0.23 s."""
    later = {TOP: Stance(shoulders=top_deg), IMPACT: Stance(shoulders=-45.0)}
    told = turn.measure_turn_rate_needed(_in(space.swing(Stance(), later), 0.23))
    assert stick.value(told) == pytest.approx(rate, abs=0.1)
    assert stick.spread(told) == pytest.approx(3.0 * np.sqrt(2.0) / 0.23)


def test_the_peak_of_separation_and_when_it_comes() -> None:
    """Upright shoulders; the pelvis is ahead of them by 50° − 900°/s² × (time since the peak)²."""
    context = space.swing(Stance(bend=0.0))
    assert context.motion is not None
    assert context.motion.known is not None
    peak = stick.TIMES[TOP] + 0.043
    times = np.arange(stick.TIMES[ADDRESS], stick.TIMES[IMPACT] + 0.2, 0.02)
    apart = np.where(times > 1.2, np.maximum(50.0 - 900.0 * (times - peak) ** 2, 0.0), 0.0)
    points = np.stack(
        [space.points_of(Stance(shoulders=40.0 + d, pelvis=40.0, bend=0.0)) for d in apart]
    )
    known = replace(
        context.motion.known, time_s=times, points=points, ways=np.zeros((1, *points.shape))
    )
    moving = replace(context, motion=replace(context.motion, known=known))
    assert stick.value(measure_separation_peak(moving)) == pytest.approx(50.0, abs=1e-6)
    assert stick.value(measure_separation_peak_time(moving)) == pytest.approx(0.043, abs=1e-6)


def test_a_mirrored_golfer_turns_the_other_way() -> None:
    wrong = np.random.default_rng(3).normal(0, 0.003, (4, len(POINTS), 3))
    context = space.swing(Stance(), GOOD, wrong=wrong)
    assert context.motion is not None
    known = context.motion.known
    assert known is not None
    turned = replace(known, points=known.points * [-1, 1, 1], ways=known.ways * [-1, 1, 1])
    mirrored = replace(context, motion=replace(context.motion, known=turned))
    one, other = (turn.measure_separation(each, TOP) for each in (context, mirrored))
    assert stick.value(other) == pytest.approx(-stick.value(one))
    assert stick.spread(other) == pytest.approx(stick.spread(one))
