"""The catalogue is complete, and each of its functions is what it says."""

from __future__ import annotations

import re
from dataclasses import fields

import pytest

from causeline.measures.catalogue import CATALOGUE
from causeline.measures.spec import MeasureSpec
from causeline.measures.swing import measure_swing
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS
from tests.unit.measures import stick

NAMES = [spec.name for spec in CATALOGUE]
UNITS = {"°", "°/s", "s", "cm", "% of stature", "ratio"}
each_spec = pytest.mark.parametrize("spec", CATALOGUE, ids=lambda spec: str(spec.name))


def _swing(view: View) -> tuple[Measure | Refusal, ...]:
    address = stick.face_on() if view is View.FACE_ON else stick.down_the_line()
    return measure_swing(stick.swing(view, address))


def test_names_are_different() -> None:
    assert len(set(NAMES)) == len(NAMES)


@each_spec
def test_function_is_named_after_its_measure(spec: MeasureSpec) -> None:
    assert spec.measure.__name__ == f"measure_{spec.name}"
    assert spec.measure.__doc__


@each_spec
def test_every_text_is_written_down(spec: MeasureSpec) -> None:
    texts = {
        field.name: getattr(spec, field.name)
        for field in fields(spec)
        if isinstance(getattr(spec, field.name), str)
    }
    assert {name for name, text in texts.items() if not text.strip()} == set()
    assert re.fullmatch(r"[a-z_]+", spec.name)
    assert spec.unit in UNITS
    assert spec.widest > 0


@each_spec
def test_landmarks_are_those_of_the_body_track(spec: MeasureSpec) -> None:
    assert set(spec.landmarks) <= set(BODY_LANDMARKS)
    assert bool(spec.landmarks) == bool(spec.moments)


@each_spec
def test_it_uses_the_landmarks_it_names_and_no_others(spec: MeasureSpec) -> None:
    if not spec.views or not spec.landmarks:
        return
    view, moment = spec.views[0], spec.moments[-1]
    address = stick.face_on() if view is View.FACE_ON else stick.down_the_line()
    context = stick.swing(view, address)
    before = spec.measure(context, moment)
    others = set(BODY_LANDMARKS) - set(spec.landmarks)
    assert spec.measure(stick.hiding(context, *others), moment) == before
    for name in spec.landmarks:
        assert "cannot be seen" in stick.reason(spec.measure(stick.hiding(context, name), moment))


@pytest.mark.parametrize("view", list(View))
def test_a_whole_swing_answers_for_every_measure(view: View) -> None:
    results = _swing(view)
    assert list(dict.fromkeys(result.name for result in results)) == NAMES
    assert len({(result.name, result.moment) for result in results}) == len(results)


@pytest.mark.parametrize("view", list(View))
def test_what_the_view_shows_is_measured_and_the_rest_is_refused_once(view: View) -> None:
    results = _swing(view)
    for spec in CATALOGUE:
        mine = [result for result in results if result.name == spec.name]
        if view in spec.views:
            assert [result.moment for result in mine] == list(spec.moments or (None,))
            assert all(isinstance(result, Measure) for result in mine), mine
            assert all(result.unit == spec.unit for result in mine if isinstance(result, Measure))
        else:
            assert [(type(result), result.moment) for result in mine] == [(Refusal, None)]


@pytest.mark.parametrize("view", list(View))
def test_every_measure_has_a_spread_and_says_what_it_holds(view: View) -> None:
    for result in _swing(view):
        if isinstance(result, Measure):
            assert result.sd > 0
            assert "± holds" in result.method


def test_no_moment_and_no_landmark_is_still_an_answer() -> None:
    context = stick.swing(View.FACE_ON, stick.face_on())
    blind = stick.hiding(context, *BODY_LANDMARKS)
    lost = stick.swing(View.FACE_ON, stick.face_on())
    for swing in (blind, lost):
        assert len(measure_swing(swing)) == len(_swing(View.FACE_ON))


def test_the_catalogue_can_be_swapped() -> None:
    context = stick.swing(View.FACE_ON, stick.face_on())
    only = tuple(spec for spec in CATALOGUE if spec.name == "lead_arm_angle")
    results = measure_swing(context, only)
    assert [result.moment for result in results] == [
        name for name in MomentName if name is not MomentName.FINISH
    ]
