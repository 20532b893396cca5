"""The page as a whole: its contract, what it must and must not contain, and its weight."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import cache
from html.parser import HTMLParser
from inspect import getmembers
from typing import Any, get_type_hints

import pytest

from causeline.model.clip import Hand, View
from causeline.model.moments import Moments
from causeline.model.reading import Reading
from causeline.render import contract, sections
from causeline.render.numbers import MINUS, Shown
from causeline.render.page import PageNotes, render_html, render_page
from causeline.render.sections import render_sections
from causeline.render.stills import render_stills
from tests.drawn import ENGINE, TEXTS, Drawn, drawn_reading

SECTIONS = [
    record
    for _, record in getmembers(contract)
    if is_dataclass(record) and isinstance(record, type) and record.__module__ == contract.__name__
]
NOTES = PageNotes(TEXTS, date(2031, 5, 14))


@cache
def _drawn(view: View = View.FACE_ON, swings: int = 1) -> Drawn:
    return drawn_reading(view, Hand.RIGHT, swings)


def _page(drawn: Drawn, notes: PageNotes = NOTES) -> str:
    clip = drawn.reading.clip
    pairs = zip(drawn.reading.swings, drawn.frames, strict=True)
    stills = [render_stills(swing, clip, frames) for swing, frames in pairs]
    return render_page(drawn.reading, stills, notes)


class _Watched:
    """Stands for a section and writes down which of its fields a template reads."""

    def __init__(self, section: Any, seen: set[tuple[str, str]]) -> None:
        self._section, self._seen = section, seen

    def __getattr__(self, name: str) -> Any:
        value = getattr(self._section, name)
        self._seen.add((type(self._section).__name__, name))
        return _watched(value, self._seen)


def _watched(value: Any, seen: set[tuple[str, str]]) -> Any:
    if isinstance(value, tuple):
        return tuple(_watched(each, seen) for each in value)
    return _Watched(value, seen) if type(value) in SECTIONS else value


@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.__name__)
def test_every_field_of_every_section_has_help(section: type) -> None:
    hints = get_type_hints(section, include_extras=True)
    helps = {
        field.name: getattr(hints[field.name], "__metadata__", ()) for field in fields(section)
    }
    assert section.__doc__
    assert [name for name, told in helps.items() if not (told and told[0].endswith("."))] == []


def test_templates_read_every_documented_field_and_no_other() -> None:
    """No other: strict undefined refuses it. Every one: watched here."""
    drawn = _drawn(swings=2)
    clip = drawn.reading.clip
    stills = [
        render_stills(swing, clip, frames)
        for swing, frames in zip(drawn.reading.swings, drawn.frames, strict=True)
    ]
    page = render_sections(drawn.reading, stills, TEXTS, NOTES.filmed_on, None)
    seen: set[tuple[str, str]] = set()
    render_html(_Watched(page, seen))  # type: ignore[arg-type]
    documented = {(each.__name__, field.name) for each in SECTIONS for field in fields(each)}
    assert seen == documented


def test_the_page_fetches_nothing() -> None:
    page = _page(_drawn())
    assert re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}", page.split("</style>")[1]) == []
    assert "default-src &#39;none&#39;" in page
    assert set(re.findall(r"src=\"([a-z]+:[a-z/]+)", page)) == {"data:image/jpeg"}


def test_a_page_of_one_swing_weighs_less_than_a_megabyte_and_a_half() -> None:
    assert len(_page(_drawn()).encode()) < 1_500_000


def test_every_picture_has_its_words() -> None:
    class Pictures(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.alts: list[str | None] = []

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            if tag == "img":
                self.alts.append(dict(attrs).get("alt"))

    parser = Pictures()
    parser.feed(_page(_drawn()))
    assert len(parser.alts) == 10
    assert parser.alts[4] == (
        "The golfer at the top, seen face-on, with the body’s lines drawn over."
    )


def test_what_the_reader_wants_is_on_the_page() -> None:
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", _page(_drawn()).split("<body>")[1]))
    for wanted in (
        "Practice ground, seven iron",
        "14 May 2031",
        "240 frames a second, slowed 8×, as the file itself says",
        "0.840 s ± 0.006",
        "Lead arm level, coming down",
        "One camera cannot tell a turn from a narrower body; film a second view as well.",
        "Stand a step farther back.",
        "causeline.reading/1",
        *ENGINE.values(),
    ):
        assert wanted in text, wanted


def test_a_golfer_s_words_cannot_become_markup() -> None:
    drawn = _drawn()
    clip = replace(drawn.reading.clip, name="<script>alert(1)</script> & more.mov")
    page = render_page(replace(drawn.reading, clip=clip))
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_a_file_name_of_raw_bytes_does_not_break_the_page() -> None:
    drawn = _drawn()
    clip = replace(drawn.reading.clip, name="swing\udcff.mov")
    assert "<h1>swing?</h1>" in render_page(replace(drawn.reading, clip=clip))


@pytest.mark.parametrize(
    ("shown", "low", "high"),
    [(Shown("91", "8", "°"), "83°", "99°"), (Shown(f"{MINUS}3.2", "1.4", "°"), "−4.6°", "−1.8°")],
)
def test_the_reach_of_the_example_fits_its_printed_numbers(
    shown: Shown, low: str, high: str
) -> None:
    assert (sections._away(shown, -1), sections._away(shown, 1)) == (low, high)


def test_several_swings_have_an_index_and_a_rehearsal_says_so() -> None:
    page = _page(_drawn(swings=2))
    assert '<a href="#swing-1">Rehearsal 1</a>' in page
    assert '<a href="#swing-2">Swing 1</a>' in page
    assert page.count("no ball was struck") == 1
    assert '<nav class="index"' not in _page(_drawn())


def test_ids_are_not_used_twice() -> None:
    ids = re.findall(r'\bid="([^"]+)"', _page(_drawn(swings=2)))
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("kept", ["no stills", "no moments", "no swings"])
def test_a_poorer_reading_still_makes_a_page(kept: str) -> None:
    reading = _drawn().reading
    poorer = {
        "no stills": reading,
        "no moments": _without_moments(reading),
        "no swings": replace(reading, swings=()),
    }
    page = render_page(poorer[kept])
    assert "</html>" in page
    assert ("<img" in page, "None" in page.split("<body>")[1]) == (False, False)


def test_the_page_is_the_same_each_time() -> None:
    assert _page(_drawn()) == _page(_drawn())


def _without_moments(reading: Reading) -> Reading:
    swing = reading.swings[0]
    missing = tuple((moment.name, "it is hidden") for moment in swing.moments.found)
    return replace(reading, swings=(replace(swing, moments=Moments((), missing)),))
