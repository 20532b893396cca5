"""Two puppets beside each other: the fit, the differences and their ± have answers by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.model.clip import Hand, View
from causeline.model.comparison import Shares
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.reading import Swing
from causeline.model.tracks import BODY_LANDMARKS
from causeline.progress.beside import Side, compare_difference, compare_fit, compare_swings
from causeline.quantities.uncertain import Uncertain
from tests.motions.puppet import Camera, Puppet


def _swing(puppet: Puppet, *measures: Measure | Refusal) -> Swing:
    body = puppet.body()
    found = tuple(
        Moment(name, time, 0.004, round(time * puppet.rate_hz), "")
        for name, time in puppet.moments.items()
    )
    return Swing(0, len(body) - 1, False, Moments(found), measures, body)


def _point(swing: Swing, name: str, row: int = 60) -> np.ndarray:
    return swing.body.shown_xy()[row, BODY_LANDMARKS.index(name)]


def test_a_golfer_half_as_large_and_elsewhere_is_laid_on_the_first() -> None:
    """A pinhole with half the focal length shows everything half as large."""
    a = _swing(Puppet())
    b = _swing(Puppet(camera=Camera(focal_px=750.0, width=500, height=900)))
    fit = compare_fit(a, b)
    assert fit is not None
    assert fit.scale == pytest.approx(2.0)
    for name in ("lead_ankle", "trail_hip", "nose", "lead_wrist"):
        assert fit.place(_point(b, name)) == pytest.approx(_point(a, name), abs=1e-6)


def test_a_left_hander_is_turned_onto_the_right_hander() -> None:
    """A mirrored picture of the same swing falls on the picture itself."""
    a, b = _swing(Puppet()), _swing(Puppet(hand=Hand.LEFT))
    fit = compare_fit(a, b, mirrored=True)
    assert fit is not None
    assert fit.scale == pytest.approx(1.0)
    for name in ("lead_ankle", "trail_hip", "nose", "lead_wrist"):
        assert fit.place(_point(b, name)) == pytest.approx(_point(a, name), abs=1e-6)
    plain = compare_fit(a, b)
    assert plain is not None
    assert plain.mirror_width is None


def test_a_golfer_without_legs_is_not_fitted() -> None:
    a = _swing(Puppet())
    xy = a.body.xy.copy()
    for side in ("lead", "trail"):
        xy[:, BODY_LANDMARKS.index(f"{side}_ankle")] = np.nan
    assert compare_fit(a, replace(a, body=replace(a.body, xy=xy))) is None


def test_errors_add_between_clips_and_partly_drop_out_within_one() -> None:
    """3-4-5; within one clip half of each variance is shared: 25 − 2 × 0.5 × 12 = 13."""
    a, b = Uncertain(10.0, 3.0), Uncertain(16.0, 4.0)
    assert compare_difference(a, b, Shares.NOTHING) == Uncertain(6.0, 5.0)
    assert compare_difference(a, b, Shares.ONE_SETUP).sd == pytest.approx(13**0.5)


def test_differences_refusals_and_pairs_are_told() -> None:
    top = MomentName.TOP
    a = _swing(
        Puppet(camera=Camera(View.DOWN_THE_LINE)),
        Measure("shaft_angle", top, 179.0, 2.0, "°", ""),
        Measure("tempo_ratio", None, 3.0, 0.1, "ratio", ""),
        Measure("stance_width", MomentName.ADDRESS, 40.0, 2.0, "cm", ""),
    )
    b = _swing(
        Puppet(camera=Camera(View.DOWN_THE_LINE)),
        Measure("shaft_angle", top, -179.0, 2.0, "°", ""),
        Measure("tempo_ratio", None, 2.5, 0.1, "ratio", ""),
        Refusal("stance_width", MomentName.ADDRESS, "The feet are hidden."),
    )
    found = compare_swings(Side("a" * 64, a), Side("b" * 64, b))
    assert [(d.name, round(d.difference.value, 6)) for d in found.differences] == [
        ("shaft_angle", 2.0),
        ("tempo_ratio", -0.5),
    ]
    assert [(one.why_a, one.why_b) for one in found.lacking] == [("", "The feet are hidden.")]
    assert found.shares is Shares.NOTHING
    assert found.differences[1].ratio == pytest.approx(0.5 / np.hypot(0.1, 0.1))
    together = (MomentName.ADDRESS, MomentName.START)  # at one instant: one of them is enough
    assert len(found.pairs) == 9
    assert sum(pair.name in together for pair in found.pairs) == 1
    within = compare_swings(Side("a" * 64, a), Side("a" * 64, b))
    assert within.shares is Shares.ONE_SETUP
