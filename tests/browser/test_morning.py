"""The morning, a golfer's progress and the golfer's reminders in a real browser."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from causeline.model.library import CheckIn, Coach, Purpose, new_id
from causeline.store.lesson_file import load_lesson_dict
from causeline.store.library import load_library
from causeline.store.library_consent import save_consent
from causeline.store.library_lessons import save_link
from causeline.store.library_people import save_coach
from causeline.store.library_practice import save_check_in
from causeline.wiring_web import open_desk
from tests.browser.browser import AXE, chromium
from tests.kept_course import MADE, a_golfer_named, a_read_clip, a_sent_lesson, ticked
from tests.workbench import serving

NOW = datetime(2026, 5, 4, 9, tzinfo=UTC)
SPREAD = (-0.6, 0.3, 0.0, -0.2, 0.5)
FILMS = {
    "Wanda Brill": {0: -9.0, 22: -6.7, 24: -6.6},
    "Otis Fenn": {0: -9.0, 22: -9.2},
    "Pia Holm": {0: -9.0},
}
PATIENCE_MS = 120_000
"""A busy machine is no failure: what a test waits for is a state."""
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


@pytest.fixture
def place(tmp_path: Path) -> Iterator[tuple[str, str]]:
    """Address of a server with three golfers, and that of one golfer's own page."""
    library = load_library(tmp_path / "library", now=lambda: NOW)
    coach = save_coach(library, Coach(new_id(), "Maren Oakes"))
    for name, films in FILMS.items():
        golfer = a_golfer_named(library, coach.id, name)
        lesson = a_sent_lesson(library, golfer)
        ticked(library, lesson, load_lesson_dict(lesson.content), range(3))
        for day, level in films.items():
            values = [level + part for part in SPREAD]
            a_read_clip(library, golfer, MADE + timedelta(days=day), values)
    save_check_in(library, CheckIn(new_id(), golfer.id, NOW, felt="It feels short."))
    save_consent(library, golfer.id, Purpose.SHARING, golfer.golfer.name)
    root = f"/g/{save_link(library, golfer.id)[1]}/"
    desk = open_desk(library)
    with serving(desk) as address:
        yield address, root
    desk.jobs.stop()
    library.close()


def _open(browser: Browser, address: str, scheme: str = "light") -> Page:
    page = browser.new_context(color_scheme=scheme, reduced_motion="reduce").new_page()  # type: ignore[arg-type]
    page.set_default_timeout(PATIENCE_MS)
    page.goto(address)
    return page


def _is_usable(page: Page) -> None:
    """Nothing runs out at the side at any width; axe-core finds nothing against WCAG 2.2 AA."""
    for wide in (390, 820, 1440):
        page.set_viewport_size({"width": wide, "height": 844})
        over = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
        assert page.evaluate(over) <= 0, wide
    page.evaluate(AXE.read_text())
    found = page.evaluate(f"() => axe.run({{runOnly: {TAGS}}})")
    assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_anybody_can_use_them(browser: Browser, place: tuple[str, str], scheme: str) -> None:
    address, root = place
    page = _open(browser, f"{address}/", scheme)
    assert page.url == f"{address}/morning"
    _is_usable(page)
    page.get_by_role("link", name="Wanda Brill").first.click()
    page.wait_for_url("**/progress")
    _is_usable(page)
    page.goto(f"{address}{root}reminders")
    _is_usable(page)


def test_a_phone_gets_a_chart_that_fits_it(browser: Browser, place: tuple[str, str]) -> None:
    page = _open(browser, f"{place[0]}/morning")
    page.set_viewport_size({"width": 390, "height": 844})
    page.get_by_role("link", name="Wanda Brill").first.click()
    page.wait_for_url("**/progress")
    box = page.locator(".chart.narrow svg").bounding_box()
    assert box is not None
    assert 300 < box["width"] <= 390
    assert page.locator(".chart.wide").is_hidden()


def test_by_keyboard_alone_a_target_moves_on(
    browser: Browser, place: tuple[str, str], tmp_path: Path
) -> None:
    page = _open(browser, f"{place[0]}/morning")
    button = page.get_by_role("button", name="Move the target on")
    button.focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/progress")
    assert "Practise on" in page.inner_text("main")
    assert page.get_by_role("button", name="Move the target on").count() == 0


def test_a_golfer_words_a_reminder_with_a_thumb(browser: Browser, place: tuple[str, str]) -> None:
    address, root = place
    page = _open(browser, f"{address}{root}reminders")
    page.set_viewport_size({"width": 390, "height": 844})
    page.get_by_label("When …").fill("I have put my bag down on Tuesday")
    page.get_by_label("… then").fill("I do ten swings")
    page.get_by_label("Day").select_option(label="Tuesday")
    button = page.get_by_role("button", name="Keep it")
    box = button.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    button.click()
    page.get_by_text("When I have put my bag down on Tuesday, then I do ten swings.").wait_for()
    page.get_by_role("button", name="Take it back").click()
    page.get_by_role("button", name="Take it back").wait_for(state="detached")
