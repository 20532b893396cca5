"""The tables of faults, bands and arrows hang together."""

from __future__ import annotations

from dataclasses import replace

import pytest

from causeline.findings.bands import BANDS
from causeline.findings.catalogue import FAULTS, MEASURED, TOLD
from causeline.findings.graph import (
    ARROWS,
    explain_descendants,
    explain_mistakes,
    explain_order,
)
from causeline.findings.spec import Arrow
from causeline.measures.club_catalogue import FULL_CATALOGUE


def test_the_graph_is_sound() -> None:
    assert explain_mistakes() == []


def test_there_are_enough_faults_and_each_says_what_it_is() -> None:
    assert len(MEASURED) >= 20
    assert len(TOLD) >= 5
    for fault in FAULTS:
        assert fault.title
        assert fault.looks
        assert fault.costs
        assert bool(fault.signs) != bool(fault.told_by), fault.name
        assert 0 < fault.prior < 0.2


@pytest.mark.parametrize("key", BANDS)
def test_a_band_asks_for_a_measure_that_is_defined_there_in_that_view(key: str) -> None:
    band = BANDS[key]
    spec = next(
        one for one in FULL_CATALOGUE if one.name == band.measure.removesuffix("_percent")
        or one.name == band.measure
    )  # fmt: skip
    assert band.moment is None or band.moment in spec.moments
    if spec.views:  # none for a measure of the body in space, which any view may carry
        assert set(band.views) <= set(spec.views)


@pytest.mark.parametrize("key", BANDS)
def test_a_band_has_width_and_a_source(key: str) -> None:
    band = BANDS[key]
    assert band.source
    assert band.full > 0
    assert (band.low is None) or band.low < band.usual
    assert (band.high is None) or band.usual < band.high
    for low, high in ((band.low, band.high), *band.by_club.values()):
        assert low is not None or high is not None
        assert low is None or high is None or low < high


def test_every_band_is_used_and_every_sign_has_an_end() -> None:
    used = {(sign.band, sign.side) for fault in FAULTS for sign in fault.signs}
    assert {band for band, _ in used} == set(BANDS)
    for band, side in used:
        assert (BANDS[band].low if side == "low" else BANDS[band].high) is not None, (band, side)


def test_mistakes_are_told() -> None:
    early, late = "club_inside", "early_extension"
    backward = Arrow(late, early, 0.3, "no")
    assert any("later than its effect" in one for one in explain_mistakes(arrows=[backward]))
    loop = [Arrow("steep", "over_the_top", 0.3, "no"), Arrow("over_the_top", "steep", 0.3, "no")]
    assert any("leads to itself" in one for one in explain_mistakes(arrows=loop))
    assert any("drawn twice" in one for one in explain_mistakes(arrows=[loop[0], loop[0]]))
    unknown = replace(backward, effect="tea")
    assert any("no fault is called tea" in one for one in explain_mistakes(arrows=[unknown]))
    sure = replace(loop[1], strength=1.0)
    assert any("not between 0 and 1" in one for one in explain_mistakes(arrows=[sure]))
    assert any("two faults" in one for one in explain_mistakes(faults=[FAULTS[0], FAULTS[0]]))


def test_causes_come_before_their_effects_in_the_order_of_the_swing() -> None:
    order = explain_order()
    late = [arrow for arrow in ARROWS if order[arrow.cause] > order[arrow.effect]]
    # Within one moment the catalogue's order decides, and arrows may run against it.
    first = {fault.name: fault.first for fault in FAULTS}
    assert all(first[arrow.cause] == first[arrow.effect] for arrow in late)


def test_descendants_go_all_the_way_down() -> None:
    assert "early_extension" in explain_descendants()["over_turn"]
    assert "over_turn" not in explain_descendants()["over_turn"]
