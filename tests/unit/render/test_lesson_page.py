"""The lesson's page and its print say every line once, in the golfer's language, and no other."""

from __future__ import annotations

import base64
import io
import re
from html.parser import HTMLParser

import pypdfium2 as pdfium  # type: ignore[import-untyped]
import pytest
from PIL import Image

from causeline.model.lesson import Part
from causeline.render.checkpoint import render_checkpoint
from causeline.render.lesson_page import MOST_TALKS, render_lesson_page, render_talks
from causeline.render.pdf import render_pdf
from tests.taught import sheet


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.skips = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.skips += tag in ("style", "title")

    def handle_endtag(self, tag: str) -> None:
        self.skips -= tag in ("style", "title")

    def handle_data(self, data: str) -> None:
        if not self.skips:
            self.said.append(data)


def _words(page: str) -> str:
    parser = _Words()
    parser.feed(page)
    return _plain(" ".join(parser.said))


def _plain(text: str) -> str:
    return re.sub(r"\s+", "", text)


def _printed(pdf: bytes) -> tuple[str, int]:
    document = pdfium.PdfDocument(pdf)
    try:
        pages = [document[i].get_textpage().get_text_bounded() for i in range(len(document))]
    finally:
        document.close()
    words = [re.sub(r"ForIvo·.*\d/\d$|FürIvo·.*\d/\d$", "", _plain(page)[-80:]) for page in pages]
    return "".join(_plain(p)[:-80] + end for p, end in zip(pages, words, strict=True)), len(pages)


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_line_stands_on_the_page(language: str) -> None:
    shown = sheet(language)
    said = _words(render_lesson_page(shown))
    drills = [line for line in shown.lesson.part(Part.DRILLS) if line.id != "drills.later"]
    for line in shown.lesson.lines:
        if line not in drills:  # their words are those of the drill itself
            assert _plain(line.text) in said, line.id
    for drill in shown.lesson.drills:
        for text in (drill.title, drill.cue, *drill.steps, *(one.move_on for one in drill.stages)):
            assert _plain(text) in said
    for note in shown.lesson.for_coach:
        assert _plain(note) not in said


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_line_stands_in_print(language: str) -> None:
    shown = sheet(language)
    said, pages = _printed(render_pdf(shown))
    assert 3 <= pages <= 8
    for line in shown.lesson.lines:
        if line.part is not Part.DRILLS:
            assert _plain(line.text) in said, line.id
    for drill in shown.lesson.drills:
        for text in (drill.title, drill.cue, *drill.steps):
            assert _plain(text) in said


def test_print_knows_two_papers() -> None:
    """ISO 216: A4 is 210 × 297 mm; Letter is 8½ × 11 inches; a point is 1/72 inch."""
    sizes = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "us-letter": (612, 792)}
    for paper, size in sizes.items():
        document = pdfium.PdfDocument(render_pdf(sheet(), paper))
        assert document[0].get_size() == pytest.approx(size, abs=1)
        document.close()
    with pytest.raises(ValueError, match="got paper 'quarto'"):
        render_pdf(sheet(), "quarto")


def test_a_lesson_without_a_cause_has_neither_drill_nor_plan() -> None:
    shown = sheet(found=False)
    page = render_lesson_page(shown)
    assert "<article" not in page
    assert "<table" not in page
    assert shown.check == ""
    said, _ = _printed(render_pdf(shown))
    for line in shown.lesson.part(Part.CARE):
        assert _plain(line.text) in said


def test_pictures_are_those_of_the_lines_and_small() -> None:
    shown = sheet()
    pictured = {line.id for line in shown.lesson.lines if line.stills}
    assert set(shown.figures) <= pictured
    assert "cause.what" in shown.figures or "cause.evidence.1" in shown.figures
    for figure in shown.figures.values():
        with Image.open(io.BytesIO(figure.jpeg)) as image:
            assert image.size == (figure.width, figure.height)
        assert len(figure.jpeg) < 200_000


def test_a_reference_stands_beside_the_golfer() -> None:
    alone, beside = sheet().figures, sheet(beside=True).figures
    name = next(iter(alone))
    assert beside[name].width > alone[name].width
    assert "A sound swing" in beside[name].caption


def test_the_page_fetches_nothing_and_runs_nothing() -> None:
    page = render_lesson_page(sheet())
    assert "<script" not in page
    assert "http://" not in page.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in page


def test_the_checkpoint_runs_from_now_to_the_next_step() -> None:
    """Now lies farther from zero than the step, which lies farther than the band's end."""
    lesson = sheet().lesson
    assert lesson.checkpoint is not None
    svg = render_checkpoint(lesson)
    now, step = (float(x) for x in re.findall(r'<circle class="ck-\w+-fill" cx="([\d.]+)"', svg))
    band = re.search(r'<rect class="ck-band" x="([\d.]+)"[^>]*width="([\d.]+)"', svg)
    assert band is not None
    left, width = (float(value) for value in band.groups())
    check = lesson.checkpoint
    assert (now > step) == (abs(check.now.value) > abs(check.target))
    assert left < step
    assert width > 0
    assert len(re.findall(r">[^<]* \d+\D* ± [1-9]\d*<", svg)) == 1  # what is measured, not the aim


def test_talk_throughs_stand_in_the_page_as_far_as_they_fit() -> None:
    page = render_lesson_page(sheet())
    assert render_talks(page, "Maren talks", []) == page
    films = [b"one" * 100, bytes(MOST_TALKS), b"two"]
    with_films = render_talks(page, "Maren <talks>", films)
    assert re.findall(r'<video [^>]*base64,([^"]*)"', with_films) == [
        base64.b64encode(film).decode() for film in (films[0], films[2])
    ]  # the second is too large beside the first
    assert "Maren &lt;talks&gt;" in with_films
    assert "<talks>" not in with_films
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', with_films)
    assert policy is not None
    assert "media-src data:" in policy[1].replace("&#39;", "'")
