"""The lesson's page in a real browser: accessible, nothing off the side, fit for paper."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page

from causeline.render.lesson_page import render_lesson_page
from tests.browser.browser import AXE, chromium
from tests.taught import sheet

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    path: Path = tmp_path_factory.mktemp("lesson") / "lesson.html"
    path.write_text(render_lesson_page(sheet("de", beside=True)), encoding="utf-8")
    return path.as_uri()


def _open(
    browser: Browser, address: str, width: int, scheme: Literal["light", "dark"] = "light"
) -> Page:
    context = browser.new_context(
        viewport={"width": width, "height": 844}, color_scheme=scheme, bypass_csp=True
    )
    page = context.new_page()
    page.goto(address)
    return page


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (390, "dark"), (1440, "light")])
def test_axe_finds_nothing(
    browser: Browser, address: str, width: int, scheme: Literal["light", "dark"]
) -> None:
    page = _open(browser, address, width, scheme)
    page.add_script_tag(path=AXE)
    run = "rules => axe.run({runOnly: rules}).then(result => result.violations)"
    found = page.evaluate(run, RULES)
    assert [(each["id"], each["nodes"][0]["html"][:200]) for each in found] == []


def test_nothing_runs_off_the_side(browser: Browser, address: str) -> None:
    page = _open(browser, address, 320)
    for width in (320, 390, 820, 1440):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_it_prints_on_few_sheets_in_ink_on_white(browser: Browser, address: str) -> None:
    page = _open(browser, address, 820, "dark")
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    pdf = page.pdf(prefer_css_page_size=True, print_background=True)
    assert 3 <= pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page ") <= 9
