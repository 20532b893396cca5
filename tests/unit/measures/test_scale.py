"""Stature in pixels, against sticks of ANSUR II proportions and the published table."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from causeline.measures.scale import (
    ANSUR_HEIGHTS,
    ANSUR_LENGTHS,
    ASSUMED_STATURE_M,
    measure_scale,
)
from causeline.model.clip import View
from causeline.model.measures import Refusal
from causeline.model.moments import MomentName
from causeline.quantities.length import Scale
from tests.unit.measures import stick

ANSUR = json.loads((Path(__file__).parents[3] / "authorities" / "ansur2.json").read_text())
TRUE_PX = stick.STATURE_M * stick.PER_METRE


@pytest.mark.parametrize(
    ("view", "address", "known_to"),
    [
        # 1.6 % of build and 2.0 % of what the engine sees of it.
        (View.DOWN_THE_LINE, stick.down_the_line(), 0.026),
        # The crouch toward the camera is a guess: 20 ± 8° at the trunk is another 2 %.
        (View.FACE_ON, stick.face_on(), 0.040),
    ],
)
def test_a_golfer_of_average_build_is_as_tall_as_drawn(
    view: View, address: stick.Posture, known_to: float
) -> None:
    scale = stick.swing(view, address).scale
    assert isinstance(scale, Scale)
    assert scale.stature_px.value == pytest.approx(TRUE_PX, rel=1e-4)
    assert scale.stature_px.sd / scale.stature_px.value == pytest.approx(known_to, abs=0.002)


def test_one_side_is_enough() -> None:
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line())
    hidden = stick.hiding(context, "lead_hip", "lead_knee", "lead_ankle", "lead_shoulder")
    scale = measure_scale(hidden.body, hidden.moments, View.DOWN_THE_LINE)
    assert isinstance(scale, Scale)
    assert scale.stature_px.value == pytest.approx(TRUE_PX, rel=1e-4)


def test_without_a_knee_there_is_no_scale() -> None:
    context = stick.swing(View.DOWN_THE_LINE, stick.down_the_line())
    hidden = stick.hiding(context, "lead_knee", "trail_knee")
    scale = measure_scale(hidden.body, hidden.moments, View.DOWN_THE_LINE)
    assert isinstance(scale, Refusal)
    assert "cannot be read" in scale.refused


def test_the_start_serves_where_address_was_not_found() -> None:
    body = stick.swing(View.DOWN_THE_LINE, stick.down_the_line()).body
    no_address = stick.moments(without=(MomentName.ADDRESS,))
    neither = stick.moments(without=(MomentName.ADDRESS, MomentName.START))
    assert isinstance(measure_scale(body, no_address, View.DOWN_THE_LINE), Scale)
    refused = measure_scale(body, neither, View.DOWN_THE_LINE)
    assert isinstance(refused, Refusal)
    assert refused.refused == "The address was not found: it is cloudy."


def test_a_golfer_of_unknown_height_is_assumed_so_that_both_sexes_are_reached() -> None:
    low, high = ASSUMED_STATURE_M.interval_90()
    stature = ANSUR["dimensions"]["stature"]
    assert low < stature["women"]["mean_mm"] / 1000 < stature["men"]["mean_mm"] / 1000 < high


HEIGHTS = {
    "ankle": "lateral_malleolus_height",
    "knee": "lateral_femoral_epicondyle_height",
    "hip": "trochanterion_height",
    "shoulder": "acromial_height",
}
LENGTHS = {"upper_arm": "acromion_radiale_length", "forearm": "radiale_stylion_length"}


@pytest.mark.parametrize(
    ("stated", "published"),
    [(ANSUR_HEIGHTS[part], name) for part, name in HEIGHTS.items()]
    + [(ANSUR_LENGTHS[part], name) for part, name in LENGTHS.items()],
)
def test_ratios_are_the_mean_of_the_published_ones(
    stated: tuple[float, float], published: str
) -> None:
    men, women = (ANSUR["dimensions"][published][sex] for sex in ("men", "women"))
    # The table is printed to 0.001 of stature; spreads to 0.1 %, and the wider sex counts.
    assert stated[0] == pytest.approx((men["ratio"] + women["ratio"]) / 2, abs=0.0011)
    assert 100 * stated[1] == pytest.approx(max(men["cv_percent"], women["cv_percent"]), abs=0.4)


def test_leg_lengths_are_differences_of_heights() -> None:
    heights = {part: height for part, (height, _) in ANSUR_HEIGHTS.items()}
    assert ANSUR_LENGTHS["thigh"][0] == pytest.approx(heights["hip"] - heights["knee"])
    assert ANSUR_LENGTHS["shank"][0] == pytest.approx(heights["knee"] - heights["ankle"])
