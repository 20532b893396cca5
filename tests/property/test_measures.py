"""What must not matter does not: zoom, time, place, the hand; and what must turn about, does."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from causeline.measures.context import SwingContext, measure_context
from causeline.measures.swing import measure_swing
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName, Moments
from causeline.quantities.clock import Clock
from causeline.quantities.uncertain import Uncertain
from tests.unit.measures import stick

Results = dict[tuple[str, MomentName | None], Measure | Refusal]

STATURE = Uncertain(stick.STATURE_M, 0.01)
ACROSS = (
    "head_toward_target",
    "head_toward_ball",
    "pelvis_toward_target",
    "pelvis_toward_ball",
    "lead_knee_toward_target",
    "lead_knee_toward_ball",
    "stance_width",
    "hands_depth",
    "trunk_forward_bend",
    "trunk_side_bend",
    "posture_change",
    "lead_knee_flexion",
    "lead_arm_angle",
)
"""What is counted along the picture's horizontal, or turns about with it."""

angles = st.floats(-30.0, 30.0)
shifts = st.floats(-0.15, 0.15)


@st.composite
def swings(draw: st.DrawFn) -> SwingContext:
    """A stick golfer in either view, moved and bent at the top and at impact."""
    view = draw(st.sampled_from(View))
    if view is View.FACE_ON:
        address = stick.face_on(arm=draw(st.floats(-10, 10)))
        later = {
            MomentName.TOP: stick.face_on(
                arm=draw(st.floats(90, 150)),
                side_bend=draw(angles),
                pelvis=(draw(shifts), draw(shifts)),
            ),
            MomentName.IMPACT: stick.face_on(side_bend=draw(angles), pelvis=(draw(shifts), 0.0)),
        }
    else:
        address = stick.down_the_line(bend=draw(st.floats(15, 50)))
        later = {
            MomentName.TOP: stick.down_the_line(bend=draw(st.floats(15, 50)), knee=draw(angles)),
            MomentName.IMPACT: stick.down_the_line(pelvis=(draw(shifts), draw(shifts))),
        }
    return stick.swing(view, address, later)


def _results(context: SwingContext) -> Results:
    return {(result.name, result.moment): result for result in measure_swing(context)}


def _remade(context: SwingContext, **changes: object) -> SwingContext:
    """The context made anew, the scale included, with another body or clip or moments."""
    parts = {"clip": context.clip, "body": context.body, "moments": context.moments} | changes
    return measure_context(view=context.view, stature_m=STATURE, **parts)  # type: ignore[arg-type]


def _assert_alike(first: Results, second: Results) -> None:
    assert first.keys() == second.keys()
    for key, one in first.items():
        other = second[key]
        if isinstance(one, Measure):
            assert stick.value(other) == pytest.approx(one.value, rel=1e-6, abs=1e-6), key
            assert stick.spread(other) == pytest.approx(one.sd, rel=1e-6, abs=1e-6), key
        else:
            assert isinstance(other, Refusal), key


def _measures(results: Results) -> int:
    return sum(isinstance(result, Measure) for result in results.values())


@given(swings(), st.sampled_from([0.5, 2.0, 3.0]))
@settings(max_examples=8, deadline=None)
def test_zoom_changes_nothing(context: SwingContext, zoom: float) -> None:
    """Every pixel number times `zoom` about the picture's corner, sizes and spreads with it."""
    size = {
        "width": round((context.clip.width - 1) * zoom) + 1,
        "height": round((context.clip.height - 1) * zoom) + 1,
    }
    clip = replace(context.clip, **size)  # type: ignore[arg-type]
    body = replace(context.body, xy=context.body.xy * zoom, sd_px=context.body.sd_px * zoom)
    zoomed = _results(_remade(context, clip=clip, body=body))
    # 0.05 % more or less: the focal length is a share of the longer side, not of one less.
    before = _results(context)
    assert _measures(before) > 20
    for key, one in before.items():
        if isinstance(one, Measure):
            assert stick.value(zoomed[key]) == pytest.approx(one.value, rel=1e-6, abs=1e-6), key
            assert stick.spread(zoomed[key]) == pytest.approx(one.sd, rel=1e-3, abs=1e-6), key
        else:
            assert isinstance(zoomed[key], Refusal), key


@given(swings(), st.floats(0.0, 500.0))
@settings(max_examples=8, deadline=None)
def test_starting_the_clip_earlier_changes_nothing(context: SwingContext, later_s: float) -> None:
    body = replace(context.body, time_s=context.body.time_s + later_s)
    found = tuple(replace(m, time_s=m.time_s + later_s) for m in context.moments.found)
    _assert_alike(_results(context), _results(_remade(context, body=body, moments=Moments(found))))


@given(swings())
@settings(max_examples=8, deadline=None)
def test_a_left_hander_measures_as_the_mirrored_right_hander(context: SwingContext) -> None:
    """Rooms see the track mirrored on the way in, marked so; the mark must not matter to them."""
    left = replace(context.body, mirrored=True)
    _assert_alike(_results(context), _results(_remade(context, body=left)))


@given(swings())
@settings(max_examples=8, deadline=None)
def test_a_mirrored_picture_turns_signs_about_and_nothing_else(context: SwingContext) -> None:
    xy = context.body.xy.copy()
    xy[..., 0] = context.clip.width - 1 - xy[..., 0]
    mirrored = _results(_remade(context, body=replace(context.body, xy=xy)))
    for (name, moment), one in _results(context).items():
        other = mirrored[name, moment]
        if isinstance(one, Refusal):
            assert isinstance(other, Refusal)
            continue
        sign = -1.0 if name.removesuffix("_percent") in ACROSS else 1.0
        assert stick.value(other) == pytest.approx(sign * one.value, abs=1e-6), name
        assert stick.spread(other) == pytest.approx(one.sd, rel=1e-6), name


@given(swings(), st.sampled_from([2, 4, 8]))
@settings(max_examples=6, deadline=None)
def test_slow_motion_on_a_known_scale_changes_nothing(context: SwingContext, slow: int) -> None:
    """The same stamps played `slow` times slower, and a clock that knows it."""
    old = context.clip.clock
    clock = Clock(old.stamps, old.time_base * slow, Fraction(slow))
    assert np.allclose(clock.seconds, old.seconds)
    _assert_alike(
        _results(context), _results(_remade(context, clip=replace(context.clip, clock=clock)))
    )


@given(swings(), st.floats(0.1, 3.0))
@settings(max_examples=6, deadline=None)
def test_more_jitter_is_never_a_smaller_spread(context: SwingContext, more: float) -> None:
    noisier = replace(context.body, sd_px=context.body.sd_px + more)
    after = _results(_remade(context, body=noisier))
    for key, one in _results(context).items():
        other = after[key]
        if isinstance(one, Measure) and isinstance(other, Measure):
            assert other.value == pytest.approx(one.value, abs=1e-9)
            assert other.sd >= one.sd - 1e-9
