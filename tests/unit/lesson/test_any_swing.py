"""Whatever was found and whoever asks, a lesson comes out whole, and comes back from its file."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from causeline.findings import explain_findings
from causeline.findings.bands import BANDS
from causeline.findings.graph import ARROWS
from causeline.lesson.compose import compose_lesson
from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort
from causeline.model.lesson import MOST_DRILLS, Back, Golfer, Part, Units
from causeline.model.measures import Measure
from causeline.render.calendar import render_calendar
from causeline.store.drill_files import load_drills
from causeline.store.languages import load_words
from causeline.store.lesson_file import load_lesson_dict, save_lesson_dict
from tests.unit.lesson.swings import brief

DRILLS = load_drills()
WHYS = {(arrow.cause, arrow.effect): arrow.why for arrow in ARROWS}
WORDS = {language: load_words(language) for language in ("en", "de")}

golfers = st.builds(
    Golfer,
    name=st.sampled_from(["", "Ivo", "Änne {lead} <b>"]),
    hand=st.sampled_from(Hand),
    units=st.sampled_from(Units),
    language=st.sampled_from(["en", "de"]),
    said=st.sampled_from(
        ["", "I want to turn more.", "I slice. I do not sway!", "Ich treffe fett {amount}", "¿"]
    ),
    stature_cm=st.sampled_from([None, 160.0]),
    junior=st.booleans(),
    back=st.sampled_from(Back),
)


@st.composite
def swings(draw: st.DrawFn) -> dict[View, list[Measure]]:
    """Every banded measure, most inside, some far out, with any ±."""
    seen: dict[View, list[Measure]] = {view: [] for view in draw(st.sampled_from(_VIEWS))}
    for band in BANDS.values():
        low, high = band.ends(None)
        middle = low + band.full if low is not None else (high or 0.0) - band.full
        value = middle + draw(st.sampled_from([0.0, 0.0, 0.0, -3.0, 3.0])) * band.full
        sd = draw(st.sampled_from([0.1, 0.5])) * band.full
        unit = "% of stature" if band.measure.endswith("_percent") else "°"
        for view in seen:
            if view in band.views:
                seen[view].append(Measure(band.measure, band.moment, value, sd, unit, ""))
    return seen


_VIEWS = [[View.FACE_ON], [View.DOWN_THE_LINE], list(View)]


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(golfers, swings(), st.sampled_from([None, *ClubSort]))
def test_a_lesson_comes_out_whole(
    golfer: Golfer, seen: dict[View, list[Measure]], club: ClubSort | None
) -> None:
    findings = explain_findings(seen, club)
    told = replace(
        brief(golfer, findings, DRILLS, club),
        measures={view: tuple(found) for view, found in seen.items()},
        whys=WHYS,
    )
    lesson = compose_lesson(told, WORDS[golfer.language])
    assert load_lesson_dict(save_lesson_dict(lesson)) == lesson
    assert render_calendar(lesson, datetime(2026, 4, 7, tzinfo=UTC)).startswith(b"BEGIN:VCALENDAR")
    assert len(lesson.drills) <= MOST_DRILLS
    assert {Part.OPENING, Part.STRENGTHS, Part.CAUSE, Part.FILM, Part.CARE} <= {
        line.part for line in lesson.lines
    }
    for line in lesson.lines:
        own = line.text.replace(golfer.said, "").replace(golfer.name or "\0", "")
        assert re.search(r"\{\w+\}", own) is None, line
        assert line.text.strip(), line
        assert "  " not in line.text, line
    against = {
        (one.measure, one.moment)
        for found in findings.findings
        for one in found.evidence
        if one.speaks_for
    }
    praised = {
        (name, still.moment)
        for line in lesson.part(Part.STRENGTHS)
        for still in line.stills
        for name in line.source
    }
    assert not praised & against
