"""The page in a real browser: accessible, fetching nothing, whole without a script."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Literal, TypedDict

import pytest
from playwright.sync_api import Browser, Page

from causeline.model.clip import Hand, View
from causeline.render.page import PageNotes, render_page
from causeline.render.stills import render_stills
from tests.browser.browser import AXE, chromium
from tests.drawn import TEXTS, drawn_reading

Scheme = Literal["light", "dark"]
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


class _Violation(TypedDict):
    id: str
    nodes: list[dict[str, str]]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Addresses of a page of one swing and of a page of two."""
    folder = tmp_path_factory.mktemp("pages")
    return {
        "one": _write(folder / "one.html", View.FACE_ON, swings=1),
        "two": _write(folder / "two.html", View.DOWN_THE_LINE, swings=2),
    }


def _write(path: Path, view: View, swings: int) -> str:
    drawn = drawn_reading(view, Hand.RIGHT, swings)
    clip = drawn.reading.clip
    stills = [
        render_stills(swing, clip, frames)
        for swing, frames in zip(drawn.reading.swings, drawn.frames, strict=True)
    ]
    page = render_page(drawn.reading, stills, PageNotes(TEXTS, date(2031, 5, 14)))
    path.write_text(page, encoding="utf-8")
    return path.as_uri()


def _open(browser: Browser, address: str, width: int, scheme: Scheme = "light") -> Page:
    context = browser.new_context(
        viewport={"width": width, "height": 844},
        color_scheme=scheme,
        reduced_motion="reduce",
        bypass_csp=True,
    )
    page = context.new_page()
    page.goto(address)
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("which", "width"), [("one", 390), ("one", 1440), ("two", 390)])
def test_axe_finds_nothing(
    browser: Browser, pages: dict[str, str], which: str, width: int, scheme: Scheme
) -> None:
    page = _open(browser, pages[which], width, scheme)
    assert _axe(page) == []


def test_axe_finds_nothing_in_an_enlarged_moment(browser: Browser, pages: dict[str, str]) -> None:
    page = _open(browser, pages["one"], 390)
    page.get_by_role("button", name="Enlarge 5 Top").click()
    assert _axe(page) == []


def _axe(page: Page) -> list[tuple[str, str]]:
    page.add_script_tag(path=AXE)
    run = "rules => axe.run({runOnly: rules}).then(result => result.violations)"
    found: list[_Violation] = page.evaluate(run, RULES)
    return [(each["id"], each["nodes"][0]["html"][:200]) for each in found]


@pytest.mark.parametrize("which", ["one", "two"])
def test_nothing_runs_off_the_side(browser: Browser, pages: dict[str, str], which: str) -> None:
    """320 is what a screen of 1280 shows at 400 %, 720 one of 1440 at 200 % (WCAG 1.4.10)."""
    page = _open(browser, pages[which], 320)
    for width in (320, 390, 720, 820, 1440):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_text_of_twice_the_size_is_not_cut(browser: Browser, pages: dict[str, str]) -> None:
    page = _open(browser, pages["one"], 820)
    page.add_style_tag(content="html { font-size: 200% }")
    cut = page.evaluate(
        """() => [...document.querySelectorAll('h1,h2,h3,h4,p,dd')]
        .filter(e => e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
        .map(e => e.textContent.trim().slice(0, 60))"""
    )
    assert cut == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 820


def test_the_page_fetches_nothing_and_says_nothing(browser: Browser, pages: dict[str, str]) -> None:
    context = browser.new_context()
    page = context.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(pages["one"])
    assert [url[:60] for url in asked if not url.startswith("data:")] == [pages["one"][:60]]
    assert said == []
    assert page.evaluate("document.fonts.check('16px \"Causeline Serif\"')")


def test_the_page_is_whole_without_its_script(browser: Browser, pages: dict[str, str]) -> None:
    with_script = _open(browser, pages["one"], 390)
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    without = context.new_page()
    without.goto(pages["one"])
    words = [page.locator("main").inner_text() for page in (with_script, without)]
    assert _plain(words[0]) == _plain(words[1])
    assert without.get_by_role("img", name="The golfer at the top").is_visible()
    assert without.get_by_role("button").count() == 0


def _plain(text: str) -> list[str]:
    lines = (line.strip() for line in text.splitlines())
    return [line for line in lines if line and not line.startswith("Enlarge")]


def test_moments_are_enlarged_and_stepped_by_keyboard_alone(
    browser: Browser, pages: dict[str, str]
) -> None:
    page = _open(browser, pages["one"], 390)
    button = page.get_by_role("button", name="Enlarge 1 Address")
    button.focus()
    page.keyboard.press("Enter")
    dialog = page.get_by_role("dialog")
    assert dialog.is_visible()
    assert dialog.get_by_role("button", name="Earlier").is_disabled()
    page.keyboard.press("ArrowRight")
    assert page.locator("#enlarged").inner_text().startswith("2 Start")
    page.keyboard.press("Escape")
    assert not dialog.is_visible()
    assert button.evaluate("button => button === document.activeElement")


def test_a_figure_of_the_strip_leads_to_its_moment(browser: Browser, pages: dict[str, str]) -> None:
    page = _open(browser, pages["one"], 390)
    page.get_by_role("link", name="5 Top").click()
    assert page.url.endswith("#swing-1-top")
    assert page.locator("#swing-1-top h4").is_visible()


def test_all_stills_have_one_size_and_the_lines_lie_over_them(
    browser: Browser, pages: dict[str, str]
) -> None:
    page = _open(browser, pages["one"], 1440)
    boxes = page.evaluate(
        """() => [...document.querySelectorAll('.plate .frame')].map(frame => ['img', 'svg']
        .map(tag => { const b = frame.querySelector(tag).getBoundingClientRect();
                      return [b.width, b.height, b.x - frame.getBoundingClientRect().x]; }))"""
    )
    assert len(boxes) == 10
    for still, lines in boxes:
        assert lines == pytest.approx(still, abs=0.6)  # a device pixel of rounding
        assert still[:2] == pytest.approx(boxes[0][0][:2], abs=0.6)


def test_it_prints_on_few_sheets_in_ink_on_white(browser: Browser, pages: dict[str, str]) -> None:
    page = _open(browser, pages["one"], 820, "dark")
    page.emulate_media(media="print", color_scheme="dark")
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert paper == "rgb(255, 255, 255)"
    assert page.locator(".look").first.is_hidden()
    pdf = page.pdf(prefer_css_page_size=True, print_background=True)
    assert 3 <= pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page ") <= 8
