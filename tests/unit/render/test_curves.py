"""Curves of motions whose answer can be written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.motion import Motion
from causeline.model.reading import Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats
from causeline.render.curves import Curve, render_curves
from causeline.render.plots import render_plot

RATE = 100.0
STATURE = 445.0
"""Pixels from ankle to ear over 0.89, when the five pairs stand as in `_swing`: 396.05 / 0.89."""


def _swing(hands: Floats, lead_wrist: Floats | None = None) -> Swing:
    """A golfer who stands still but for the hands, (n, 2) pixels, x right, y down."""
    n = len(hands)
    xy = np.zeros((n, len(BODY_LANDMARKS), 2))
    heights = {"ankle": 0.0, "knee": 110.0, "hip": 220.0, "shoulder": 340.0, "ear": 396.05}
    for part, height in heights.items():
        for side in ("lead", "trail"):
            xy[:, BODY_LANDMARKS.index(f"{side}_{part}")] = (500.0, 900.0 - height)
    for side in ("lead", "trail"):
        xy[:, BODY_LANDMARKS.index(f"{side}_wrist")] = hands
    if lead_wrist is not None:
        xy[:, BODY_LANDMARKS.index("lead_wrist")] = lead_wrist
    ones = np.ones(xy.shape[:2])
    body = BodyTrack(np.arange(n), np.arange(n) / RATE, xy, ones, 2 * ones, 1000)
    moments = Moments(
        (
            Moment(MomentName.ADDRESS, 0.0, 0.01, 0, ""),
            Moment(MomentName.FINISH, (n - 1) / RATE, 0.01, n - 1, ""),
        )
    )
    return Swing(0, n - 1, False, moments, (), body)


def _curve(swing: Swing, name: str) -> Curve:
    return next(curve for curve in render_curves(swing) if curve.name == name)


def test_hands_that_rise_evenly_have_that_height_and_that_speed() -> None:
    seconds = np.arange(101) / RATE
    hands = np.column_stack([np.full(101, 500.0), 700.0 - STATURE * 0.5 * seconds])
    swing = _swing(hands)
    height, speed = (_curve(swing, name).series[0] for name in ("hands_height", "hands_speed"))
    assert height.value == pytest.approx(50 * seconds, abs=1e-9)
    assert height.sd == pytest.approx(np.full(101, 100 * 2 / np.sqrt(2) / STATURE))
    assert speed.value == pytest.approx(np.full(101, 0.5), abs=1e-9)


def test_the_spread_of_a_speed_is_that_of_a_fitted_line() -> None:
    """Five frames 10 ms apart: sd / sqrt(sum of squared times) = 1.414 px / 31.6 ms."""
    swing = _swing(np.full((101, 2), 600.0))
    speed = _curve(swing, "hands_speed").series[0]
    expected = (2 / np.sqrt(2)) / np.sqrt(2 * (0.01**2 + 0.02**2)) / STATURE
    assert speed.sd[50] == pytest.approx(expected)


def test_the_lead_arm_is_level_at_zero_and_hangs_at_minus_ninety() -> None:
    lead_shoulder = np.array([500.0, 560.0])
    turns = np.radians(np.linspace(0, 180, 7))
    wrist = lead_shoulder + 150 * np.column_stack([-np.sin(turns), np.cos(turns)])
    arm = _curve(_swing(wrist.copy(), wrist), "lead_arm").series[0]
    assert arm.value == pytest.approx([-90, -60, -30, 0, 30, 60, 90])
    assert arm.sd == pytest.approx(np.full(7, np.degrees(np.sqrt(8) / 150)))


def test_an_arm_that_points_at_the_camera_has_no_angle() -> None:
    wrist = np.array([500.0, 560.0]) + np.linspace(150, 0, 16)[:, None] * np.array([0.0, 1.0])
    arm = _curve(_swing(wrist.copy(), wrist), "lead_arm").series[0]
    assert np.isfinite(arm.value[:11]).all()
    assert np.isnan(arm.value[12:]).all()


def test_a_golfer_who_stands_still_travels_nowhere() -> None:
    swing = _swing(np.full((40, 2), 600.0))
    for name in ("sideways", "upward"):
        for line in _curve(swing, name).series:
            assert line.value == pytest.approx(np.zeros(40))


def test_turns_are_drawn_where_they_are_sure_enough() -> None:
    swing = _swing(np.tile([520.0, 640.0], (60, 1)))
    turns = np.tile([88.0, 85.0, 42.0], (60, 1))
    spread = np.tile([2.0, 2.0, 2.0], (60, 1))
    spread[40:, 1] = 25.0
    joints = np.zeros((60, len(BODY_LANDMARKS), 3))
    body = swing.body
    motion = Motion(body.frames, body.time_s, joints, joints, turns, spread, "by hand")
    curve = _curve(replace(swing, motion=motion), "turn")
    shoulders, pelvis = curve.series
    assert shoulders.value[:40] == pytest.approx(np.full(40, 85.0))
    assert np.isnan(shoulders.value[40:]).all()
    assert pelvis.value == pytest.approx(np.full(60, 42.0))
    assert "turn" not in {each.name for each in render_curves(swing)}


def test_a_swing_without_moments_or_size_has_no_curves() -> None:
    still = _swing(np.full((40, 2), 600.0))
    nothing = Swing(0, 39, False, Moments(()), (), still.body)
    assert render_curves(nothing) == ()
    lost = BodyTrack(
        still.body.frames,
        still.body.time_s,
        np.full_like(still.body.xy, np.nan),
        still.body.confidence,
        still.body.sd_px,
        1000,
    )
    assert render_curves(Swing(0, 39, False, still.moments, (), lost)) == ()


def test_a_plot_marks_the_moments_and_tells_its_extremes() -> None:
    seconds = np.arange(101) / RATE
    hands = np.column_stack([np.full(101, 500.0), 700.0 - STATURE * 0.5 * seconds])
    swing = _swing(hands)
    plot = render_plot(_curve(swing, "hands_height"), swing.moments.found)
    assert plot is not None
    assert [(mark.number, mark.room) for mark in plot.marks] == [(1, "always"), (2, "always")]
    assert [mark.at for mark in plot.marks] == pytest.approx([100 * 0.03 / 1.06, 100 * 1.03 / 1.06])
    assert [shown.value for shown in plot.lines[0].reach] == ["0.00", "50.00"]
    assert plot.alt == "Hands’ height over time. Hands: from 0.00 to 50.00\N{NO-BREAK SPACE}%."


def test_a_curve_that_is_mostly_missing_is_no_plot() -> None:
    swing = _swing(np.full((40, 2), 600.0))
    curve = _curve(swing, "hands_height")
    curve.series[0].value[:30] = np.nan
    assert render_plot(curve, swing.moments.found) is None
