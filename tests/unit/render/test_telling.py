from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.reading import Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.render.contract import Refused
from causeline.render.stills import Crop
from causeline.render.strip import render_strip
from causeline.render.telling import (
    PLATE_MOST,
    MeasureText,
    render_measures,
    render_plate_measures,
    render_refused,
    render_sentence,
    render_tempo,
)

TOP, IMPACT, ADDRESS = MomentName.TOP, MomentName.IMPACT, MomentName.ADDRESS
HEAD = MeasureText("head_rise", "Head, up or down", "zero at address", "up")
TEXTS = {"head_rise": HEAD, "head_rise_percent": replace(HEAD, name="head_rise_percent")}


def _measure(name: str, moment: MomentName | None, value: float = 3.0, unit: str = "cm") -> Measure:
    return Measure(name, moment, value, 1.0, unit, "")


def _swing(*measures: Measure | Refusal, missing: tuple[tuple[MomentName, str], ...] = ()) -> Swing:
    points = np.ones((2, len(BODY_LANDMARKS)))
    body = BodyTrack(np.arange(2), np.arange(2.0), np.stack([points, points], 2), points, points, 9)
    lost = {name for name, _ in missing}
    found = tuple(
        Moment(name, 0.1 * i, 0.01, 0, "")
        for i, name in enumerate((ADDRESS, MomentName.START, TOP, IMPACT, MomentName.FINISH))
        if name not in lost
    )
    return Swing(0, 1, False, Moments(found, missing), measures, body)


def test_centimetres_stand_for_per_cent_of_the_same_measure() -> None:
    swing = _swing(
        _measure("head_rise", TOP), _measure("head_rise_percent", TOP, unit="% of stature")
    )
    (block,) = render_measures(swing, TEXTS, whole=False)
    assert [value.shown.unit.strip() for value in block.values] == ["cm"]


def test_per_cent_stands_where_centimetres_were_refused_and_the_refusal_goes() -> None:
    swing = _swing(
        Refusal("head_rise", TOP, "too wide"),
        _measure("head_rise_percent", TOP, unit="% of stature"),
    )
    (block,) = render_measures(swing, TEXTS, whole=False)
    assert block.title == "Head, up or down"
    assert block.explains == "Zero at address. Positive: up."
    assert render_refused(swing, TEXTS) == ()


def test_a_measure_without_words_is_named_by_its_own_name() -> None:
    (block,) = render_measures(_swing(_measure("wrist_hinge", TOP)), {}, whole=False)
    assert (block.title, block.explains) == ("Wrist hinge", "")


def test_whole_swing_measures_are_kept_apart() -> None:
    swing = _swing(_measure("swing_time", None), _measure("head_rise", TOP))
    assert [block.title for block in render_measures(swing, {}, whole=True)] == ["Swing time"]
    assert [block.title for block in render_measures(swing, {}, whole=False)] == ["Head rise"]


def test_values_carry_the_number_of_their_moment_in_the_strip() -> None:
    swing = _swing(_measure("head_rise", TOP), _measure("head_rise", IMPACT))
    (block,) = render_measures(swing, {}, whole=False)
    assert [(value.number, value.moment) for value in block.values] == [(3, "Top"), (4, "Impact")]


def test_under_a_picture_stand_the_foremost_few() -> None:
    names = ("wrist_hinge", "lead_arm_angle", "head_rise", "hands_height", "trunk_side_bend")
    swing = _swing(*(_measure(name, TOP) for name in names))
    told = render_plate_measures(swing, TOP, {})
    assert len(told) == PLATE_MOST
    assert [one.title for one in told] == [
        "Trunk side bend",
        "Hands height",
        "Head rise",
        "Lead arm angle",
    ]
    assert render_plate_measures(swing, IMPACT, {}) == ()


def test_one_reason_is_told_once_for_all_that_it_refuses() -> None:
    swing = _swing(
        Refusal("shoulder_turn", None, "one view cannot show a turn"),
        Refusal("pelvis_turn", None, "one view cannot show a turn"),
        Refusal("lead_elbow", TOP, "your arm is hidden"),
    )
    assert render_refused(swing, {}) == (
        Refused("Shoulder turn; Pelvis turn", "One view cannot show a turn."),
        Refused("Lead elbow, at the top", "Your arm is hidden."),
    )


def test_reasons_that_differ_in_numbers_become_a_range() -> None:
    swing = _swing(
        Refusal("lead_elbow", ADDRESS, "unsure by ±17°, too much"),
        Refusal("lead_elbow", TOP, "unsure by ±9.5°, too much"),
        Refusal("trail_elbow", IMPACT, "unsure by ±53°, too much"),
    )
    assert render_refused(swing, {}) == (
        Refused(
            "Lead elbow (address, top); Trail elbow, at impact",
            "Unsure by ±9.5 to 53°, too much.",
        ),
    )


def test_a_missing_moment_is_told_once_and_not_for_each_measure() -> None:
    swing = _swing(
        Refusal("head_rise", TOP, "the top was not found: the arm never stops"),
        missing=((TOP, "the arm never stops"),),
    )
    assert render_refused(swing, {}) == (Refused("Top", "The arm never stops."),)


def test_a_number_that_is_none_is_told_among_the_refusals() -> None:
    swing = _swing(_measure("head_rise", TOP, value=math.nan))
    (refused,) = render_refused(swing, {})
    assert refused.what == "Head rise, at the top"
    assert render_measures(swing, {}, whole=False) == ()


def test_sentences_have_capital_and_stop_and_no_code_names() -> None:
    assert render_sentence("the shaft_level_back was not found") == (
        "The shaft level, going back was not found."
    )
    assert render_sentence("Is it so?") == "Is it so?"
    assert render_sentence("") == ""


def test_lengths_come_from_the_measures_where_there_are_any() -> None:
    swing = _swing(_measure("backswing_time", None, 0.84, "s"), _measure("tempo_ratio", None, 3.0))
    strip = render_strip(swing, Crop(0, 0, 9, 9), "s")
    assert strip is not None
    assert [(phase.kind, phase.length and phase.length.value) for phase in strip.phases] == [
        ("back", "0.8"),
        ("down", "0.100"),
        ("through", "0.100"),
    ]
    assert render_tempo(swing) == strip.tempo


def test_a_length_that_was_refused_is_not_worked_out_behind_its_back() -> None:
    swing = _swing(Refusal("backswing_time", None, "slow motion had to be guessed"))
    strip = render_strip(swing, Crop(0, 0, 9, 9), "s")
    assert strip is not None
    assert strip.phases[0].length is None
    assert strip.tempo is None


def test_time_counts_from_the_start_else_from_address() -> None:
    plain = render_strip(_swing(), Crop(0, 0, 9, 9), "s")
    without = render_strip(_swing(missing=((MomentName.START, "hidden"),)), Crop(0, 0, 9, 9), "s")
    assert plain is not None
    assert without is not None
    assert (plain.zero, without.zero) == ("the start of the swing", "address")


def test_figures_lead_down_to_their_true_instants() -> None:
    strip = render_strip(_swing(), Crop(0, 0, 9, 9), "s")
    assert strip is not None
    at = [figure.at for figure in strip.figures]
    air = 100 * 0.015 / 0.43  # one and a half ± of the outer instants on either side of 0.4 s
    assert np.allclose(at, [air, 26.74, 50.0, 73.26, 100 - air], atol=0.01)
    assert strip.figures[0].leader.startswith("M10.00 0C")
    assert strip.figures[4].leader.endswith(f"{at[4]:.2f} 100")


def test_a_swing_without_moments_has_no_strip() -> None:
    swing = replace(_swing(), moments=Moments(()))
    assert render_strip(swing, Crop(0, 0, 9, 9), "s") is None
