"""Travel of head, pelvis and lead knee, in centimetres written down."""

from __future__ import annotations

from dataclasses import replace

import pytest

from causeline.measures import travel
from causeline.measures.context import measure_context
from causeline.measures.spec import MeasureSpec
from causeline.model.clip import View
from causeline.model.moments import MomentName
from tests.unit.measures import stick

EXACT_CM = 0.01
MOVED = (0.07, -0.03)
"""Metres across (toward target or ball) and up."""

PARTS = {
    "head": ("lead_ear", "trail_ear"),
    "pelvis": ("lead_hip", "trail_hip"),
    "lead_knee": ("lead_knee",),
}
ACROSS = {
    ("head", View.FACE_ON): travel.HEAD_TOWARD_TARGET,
    ("head", View.DOWN_THE_LINE): travel.HEAD_TOWARD_BALL,
    ("pelvis", View.FACE_ON): travel.PELVIS_TOWARD_TARGET,
    ("pelvis", View.DOWN_THE_LINE): travel.PELVIS_TOWARD_BALL,
    ("lead_knee", View.FACE_ON): travel.LEAD_KNEE_TOWARD_TARGET,
    ("lead_knee", View.DOWN_THE_LINE): travel.LEAD_KNEE_TOWARD_BALL,
}
UP = {
    "head": travel.HEAD_RISE,
    "pelvis": travel.PELVIS_RISE,
    "lead_knee": travel.LEAD_KNEE_RISE,
}
PERCENT = {
    spec.name: spec
    for spec in vars(travel).values()
    if isinstance(spec, MeasureSpec) and spec.unit == "% of stature"
}
ADDRESS = {View.FACE_ON: stick.face_on(), View.DOWN_THE_LINE: stick.down_the_line()}


def _moved(posture: stick.Posture, names: tuple[str, ...]) -> stick.Posture:
    shifted = {name: (posture[name][0] + MOVED[0], posture[name][1] + MOVED[1]) for name in names}
    return {**posture, **shifted}


@pytest.mark.parametrize(("part", "view"), list(ACROSS))
@pytest.mark.parametrize("moment", [MomentName.TOP, MomentName.IMPACT, MomentName.FINISH])
def test_seven_centimetres_across_and_three_down(part: str, view: View, moment: MomentName) -> None:
    address = ADDRESS[view]
    context = stick.swing(view, address, {moment: _moved(address, PARTS[part])})
    across, up = ACROSS[part, view], UP[part]
    assert stick.value(across.measure(context, moment)) == pytest.approx(7.0, abs=EXACT_CM)
    assert stick.value(up.measure(context, moment)) == pytest.approx(-3.0, abs=EXACT_CM)
    in_percent = PERCENT[f"{across.name}_percent"].measure(context, moment)
    assert stick.value(in_percent) == pytest.approx(4.0, abs=EXACT_CM)
    up_percent = PERCENT[f"{up.name}_percent"].measure(context, moment)
    assert stick.value(up_percent) == pytest.approx(-3.0 / 1.75, abs=EXACT_CM)


@pytest.mark.parametrize(("part", "view"), list(ACROSS))
def test_the_other_view_needs_the_body_in_space(part: str, view: View) -> None:
    other = View.FACE_ON if view is View.DOWN_THE_LINE else View.DOWN_THE_LINE
    context = stick.swing(other, ADDRESS[other])
    refused = ACROSS[part, view].measure(context, MomentName.TOP)
    assert "could not be followed in space" in stick.reason(refused)
    stick.value(UP[part].measure(context, MomentName.TOP))


def test_there_is_no_travel_at_address() -> None:
    context = stick.swing(View.FACE_ON, stick.face_on())
    refused = travel.measure_head_rise(context, MomentName.ADDRESS)
    assert stick.reason(refused) == "It is not defined at address."


def test_without_address_there_is_no_travel() -> None:
    context = stick.swing(View.FACE_ON, stick.face_on())
    without = replace(context, moments=stick.moments(without=(MomentName.ADDRESS,)))
    refused = travel.measure_head_rise(without, MomentName.TOP)
    assert stick.reason(refused) == "The address was not found: it is cloudy."


def test_an_ear_that_is_not_seen_is_named() -> None:
    context = stick.hiding(stick.swing(View.FACE_ON, stick.face_on()), "trail_ear")
    refused = travel.measure_head_rise(context, MomentName.TOP)
    assert stick.reason(refused) == "Your trail ear cannot be seen at address or top."


def test_a_height_that_was_assumed_widens_centimetres_and_not_per_cent() -> None:
    moved = {MomentName.TOP: _moved(stick.face_on(), PARTS["head"])}
    given = stick.swing(View.FACE_ON, stick.face_on(), moved)
    assumed = measure_context(given.clip, View.FACE_ON, given.body, given.moments)
    centimetres, percent = travel.measure_head_toward_target, travel.HEAD_TOWARD_TARGET_PERCENT
    narrow, wide = (centimetres(context, MomentName.TOP) for context in (given, assumed))
    assert stick.spread(narrow) < stick.spread(wide)
    assert stick.spread(percent.measure(given, MomentName.TOP)) == pytest.approx(
        stick.spread(percent.measure(assumed, MomentName.TOP))
    )
    assert "height assumed" in getattr(wide, "method", "")
