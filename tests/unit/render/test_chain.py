"""The chain of a swing as the page tells it: order, arcs, proofs, and what is not known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from causeline.findings import explain_findings
from causeline.model.findings import Evidence, Findings, Ruling, Say
from causeline.model.moments import MomentName
from causeline.render.band_scale import render_band, render_scale
from causeline.render.chain import NOTHING, render_chain
from causeline.render.contract import Chain
from causeline.render.stills import render_crop, render_rows
from tests.drawn import drawn_reading
from tests.unit.findings.swings import EARLY_EXTENSION, SCENARIO, all_refused, seen


def _chain(found: Findings | None) -> Chain | None:
    reading = drawn_reading().reading
    swing = replace(reading.swings[0], findings=found)
    size = (reading.clip.width, reading.clip.height)
    crop = render_crop(swing.body, render_rows(swing), size)
    return render_chain(swing, crop, "swing-1", {})


def test_the_worked_case_is_told_from_cause_to_effect() -> None:
    chain = _chain(explain_findings(seen(SCENARIO)))
    assert chain is not None
    assert chain.lead == "It begins with over-turn; five things follow from it."
    assert [link.role for link in chain.links] == ["cause"] + ["effect"] * 5
    assert chain.links[5].place == "Follows from 5"
    assert len(chain.arcs) == 5
    assert chain.links[0].sentence.startswith("Shoulders and hips turn far past a right angle.")


def test_a_finding_by_itself_and_two_chains_are_told_apart() -> None:
    alone = _chain(explain_findings(seen(EARLY_EXTENSION)))
    assert alone is not None
    assert alone.lead.startswith("Early extension stands out")
    assert (alone.links[0].place, alone.arcs) == ("By itself", ())
    pinned = [Ruling("weak_grip", Say.PRESENT, "one knuckle")]
    apart = _chain(explain_findings(seen(SCENARIO), rulings=pinned))
    assert apart is not None
    assert apart.lead.endswith("One more stands apart.")
    assert apart.links[-1].odds == "as told"
    assert apart.links[-1].ruling == "Pinned by the coach: one knuckle"


def test_nothing_found_is_said_plainly_and_nothing_looked_for_is_no_section() -> None:
    sound = _chain(explain_findings(seen()))
    assert sound is not None
    assert (sound.lead, sound.links) == (NOTHING, ())
    assert _chain(None) is None


def test_what_is_unknown_is_gathered_by_reason() -> None:
    chain = _chain(explain_findings(all_refused()))
    assert chain is not None
    reasons = [one.why for one in chain.unknown]
    assert len(reasons) == len(set(reasons))
    club = next(one for one in chain.unknown if one.why == "The club cannot be made out.")
    assert "Steep coming down" in club.what


def test_a_figure_stands_only_where_the_frame_is_of_this_clip() -> None:
    drawn = drawn_reading().reading.swings[0].findings
    assert drawn is not None
    with_frames = _chain(drawn)
    assert with_frames is not None
    assert with_frames.links[0].plate == "swing-1-top"
    without = _chain(explain_findings(seen(SCENARIO)))
    assert without is not None
    assert all(link.drawing is None for link in without.links)


def _evidence(value: float, sd: float, low: float | None, high: float | None) -> Evidence:
    view = next(iter(seen()))
    return Evidence("turn", MomentName.TOP, view, 1, value, sd, "°", low, high, 3.0, True)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (88.0, 103.0, "band 88 to 103°"),
        (None, 46.0, "band up to 46°"),
        (-4.3, None, "band from \N{MINUS SIGN}4.3°"),
    ],
)
def test_a_band_in_words(low: float | None, high: float | None, words: str) -> None:
    assert render_band(_evidence(50.0, 2.0, low, high)) == words


def test_the_scale_by_hand() -> None:
    """Band 0 to 10, value 20 ± 2.5: the line shows 0 to 25, over 300 units from 10 on."""
    scale = render_scale(_evidence(20.0, 2.5, 0.0, 10.0))
    assert scale.band == "M10.0 24H130.0"
    assert scale.at == "M250.0 9V39"
    assert scale.once == "M220.0 24H280.0"
    assert scale.twice == "M190.0 24H310.0"


def test_an_open_band_runs_out_of_the_picture() -> None:
    assert render_scale(_evidence(50.0, 1.0, None, 46.0)).band.startswith("M0 ")
    assert render_scale(_evidence(50.0, 1.0, 156.0, None)).band.endswith("H320")
