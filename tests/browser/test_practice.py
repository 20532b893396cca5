"""The golfer's page on a phone: light, alive without a network, gone once it is withdrawn."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Response, sync_playwright
from sqlalchemy import delete

from causeline.model.library import LessonEntry, Link
from causeline.store.library import load_library
from causeline.store.library_lessons import save_link, save_link_withdrawn
from causeline.store.library_practice import load_check_ins, load_ticks
from causeline.store.tables import CHECK_INS, TICKS
from causeline.web.desk import Desk
from causeline.wiring_web import open_desk
from tests.browser.browser import ARGUMENTS, AXE, CHROMIUM
from tests.practising import a_link
from tests.workbench import serving

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
CAMERA = ("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream")
NOON = datetime(2026, 4, 7, 12, 0, tzinfo=UTC)
"""The day of the first practice."""
MOST_BYTES = 300_000
PATIENCE_MS = 120_000
"""A busy machine is no failure: what a test waits for is a state."""
FRAMES = 20
"""Pictures that a camera has shown, before a film of it has something in it."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*ARGUMENTS, *CAMERA])
        yield browser
        browser.close()


@dataclass(frozen=True)
class Served:
    """A library on a real server, with a lesson for Ivo and one in German for Nell."""

    desk: Desk
    address: str
    english: LessonEntry
    german: LessonEntry

    def link(self, lesson: LessonEntry | None = None) -> tuple[str, Link]:
        """Address of a new link to a lesson's page, Ivo's where none is named."""
        lesson = lesson or self.english
        link, secret = save_link(self.desk.library, lesson.golfer, lesson.id)
        return f"{self.address}/g/{secret}/", link


@pytest.fixture(scope="module")
def served(scenario_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("practice") / "library"
    shutil.copytree(scenario_template, folder)
    library = load_library(folder, now=lambda: NOON)
    desk = open_desk(library)
    english = a_link(desk)[2]
    german = a_link(desk, "Nell Tarrow", "de", date(2026, 4, 8))[2]
    with serving(desk) as address:
        yield Served(desk, address, english, german)
    desk.jobs.stop()
    library.close()


@pytest.fixture
def linked(served: Served) -> tuple[str, Link]:
    """Address of Ivo's page, and its link."""
    return served.link()


@pytest.fixture
def desk(served: Served) -> Iterator[Desk]:
    """The desk; what a test's phone sends goes afterwards."""
    yield served.desk
    with served.desk.library.database.writing() as connection:
        connection.execute(delete(TICKS))
        connection.execute(delete(CHECK_INS))


def phone(
    browser: Browser, scheme: Literal["light", "dark"] = "light", bypass: bool = False
) -> BrowserContext:
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        color_scheme=scheme,
        is_mobile=True,
        has_touch=True,
        bypass_csp=bypass,
        timezone_id="Europe/Dublin",
        permissions=["camera", "microphone"],
    )
    context.set_default_timeout(PATIENCE_MS)
    return context


def opened(context: BrowserContext, address: str) -> Page:
    """The page at noon of the first practice, with its pictures drawn."""
    page = context.new_page()
    page.clock.set_fixed_time(NOON)
    page.goto(address)
    page.wait_for_selector(".frame img")
    page.wait_for_selector("html[data-lives]")
    page.wait_for_selector("#today-words:not(:empty)")
    return page


def until(true: Callable[[], bool], seconds: float = PATIENCE_MS / 1000) -> None:
    ends = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < ends, "it did not come to pass"
        time.sleep(0.1)


@pytest.mark.parametrize(("language", "scheme"), [("en", "light"), ("en", "dark"), ("de", "dark")])
def test_axe_finds_nothing_and_nothing_runs_off_the_side(
    browser: Browser, served: Served, language: str, scheme: Literal["light", "dark"]
) -> None:
    address, _ = served.link(served.german if language == "de" else served.english)
    context = phone(browser, scheme, bypass=True)
    page = opened(context, address)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    page.add_script_tag(path=AXE)
    run = "rules => axe.run({runOnly: rules}).then(result => result.violations)"
    found = page.evaluate(run, RULES)
    assert [(one["id"], one["nodes"][0]["html"][:200]) for one in found] == []
    for width in (320, 390, 820, 1440):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.set_viewport_size({"width": 390, "height": 844})
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    context.close()


def test_what_is_pressed_is_as_large_as_a_thumb(browser: Browser, linked: tuple[str, Link]) -> None:
    """At least 44 px high, as WCAG 2.2 asks at level AAA (success criterion 2.5.5)."""
    context = phone(browser)
    page = opened(context, linked[0])
    small = page.evaluate(
        "[...document.querySelectorAll('button, .thumb, summary, .links a')]"
        ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 44)"
        ".map(e => e.outerHTML.slice(0, 90))"
    )
    assert small == []
    context.close()


def test_it_is_light(browser: Browser, linked: tuple[str, Link]) -> None:
    context = phone(browser)
    page = context.new_page()
    sizes: dict[str, int] = {}

    def note(response: Response) -> None:
        sizes[response.url] = len(response.body()) if response.ok else 0

    page.on("response", note)
    page.goto(linked[0])
    page.wait_for_load_state("networkidle")
    told = {url: size for url, size in sizes.items() if "/picture/" not in url}
    assert 20_000 < sum(told.values()) < MOST_BYTES, told
    context.close()


def test_without_a_network_it_opens_counts_and_ticks_and_sends_later_once(
    browser: Browser, linked: tuple[str, Link], desk: Desk
) -> None:
    address, link = linked
    context = phone(browser)
    page = opened(context, address)
    page.evaluate("navigator.serviceWorker.ready.then(there => there.active.postMessage('keep'))")
    page.wait_for_function(_KEPT, arg=address)
    context.set_offline(True)
    page.reload()
    page.wait_for_selector("#today-words:not(:empty)")
    assert "Practice 1 of" in page.inner_text("#today-words")
    assert page.evaluate("getComputedStyle(document.getElementById('tick')).minHeight") == "64px"
    page.wait_for_function("() => document.querySelector('.frame img').naturalWidth > 100")
    page.wait_for_selector("#offline:not([hidden])")
    count = page.locator("[data-part=count]").first
    for _ in range(3):
        count.tap()
    assert page.locator("[data-part=number]").first.inner_text() == "3"
    page.fill("#felt-words", "lighter than I thought")
    page.locator("#felt button").tap()
    page.locator("#tick-below").tap()
    page.wait_for_selector("#today[data-kind=done]")
    page.wait_for_selector("#send:not([hidden])")
    assert "Kept on this phone" in page.inner_text("#send")
    assert load_check_ins(desk.library, link.golfer) == ()
    page.reload()
    page.wait_for_selector("#today[data-kind=done]")
    page.clock.set_fixed_time(NOON.replace(minute=1))
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    until(lambda: len(load_ticks(desk.library, link.golfer)) == 1)
    page.reload()
    page.wait_for_selector("#today[data-kind=done]")
    assert len(load_ticks(desk.library, link.golfer)) == 1
    (said,) = load_check_ins(desk.library, link.golfer)
    assert (said.felt, said.sent_at) == ("lighter than I thought", NOON)
    context.close()


_KEPT = """async address => {
  const cache = await caches.open('practice ' + new URL(address).pathname);
  const kept = (await cache.keys()).map(one => new URL(one.url).pathname);
  return kept.includes(new URL(address).pathname) && kept.some(one => one.includes('/picture/'))
    && kept.some(one => one.startsWith('/built/'));
}"""


def test_a_tick_by_mistake_is_taken_back(
    browser: Browser, linked: tuple[str, Link], desk: Desk
) -> None:
    context = phone(browser)
    page = opened(context, linked[0])
    page.locator("#tick").tap()
    page.locator("#undo").tap()
    page.wait_for_selector("#today[data-kind=practise]")
    page.clock.set_fixed_time(NOON.replace(minute=5))
    page.fill("#felt-words", "sent after it")
    page.locator("#felt button").tap()
    until(lambda: len(load_check_ins(desk.library, linked[1].golfer)) == 1)
    assert load_ticks(desk.library, linked[1].golfer) == ()
    context.close()


def test_what_came_back_is_not_drawn_anew_while_it_stays_the_same(
    browser: Browser, linked: tuple[str, Link], desk: Desk
) -> None:
    """A talk-through that plays there would begin again."""
    context = phone(browser)
    page = opened(context, linked[0])
    page.fill("#felt-words", "heavy")
    page.locator("#felt button").tap()
    page.wait_for_selector("#back-list >> text=Maren Oakes has it.")
    page.evaluate("document.querySelector('.entry').dataset.same = ''")
    with page.expect_response("**/state") as answered:
        page.evaluate("dispatchEvent(new Event('online'))")
    assert answered.value.ok
    page.wait_for_timeout(500)
    assert page.locator(".entry[data-same]").count() == 1
    context.close()


def test_withdrawn_it_leaves_the_phone_when_the_network_is_back(
    browser: Browser, linked: tuple[str, Link], desk: Desk
) -> None:
    address, link = linked
    context = phone(browser)
    page = opened(context, address)
    page.evaluate("navigator.serviceWorker.ready.then(there => there.active.postMessage('keep'))")
    page.wait_for_function(_KEPT, arg=address)
    context.set_offline(True)
    page.reload()
    page.wait_for_selector("#today-words:not(:empty)")
    save_link_withdrawn(desk.library, link.id)
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_selector(".alone")
    assert "withdrawn" in page.inner_text("body")
    page.wait_for_function("() => caches.keys().then(all => all.length === 0)")
    page.wait_for_function("() => indexedDB.databases().then(all => all.length === 0)")
    page.reload()
    assert "withdrawn" in page.inner_text("h1")
    context.close()


def test_the_camera_shows_where_to_stand_and_its_film_is_sent(
    browser: Browser, linked: tuple[str, Link], desk: Desk
) -> None:
    address, link = linked
    context = phone(browser)
    page = opened(context, address)
    page.locator("[data-open-camera]").first.tap()
    page.wait_for_function("() => document.getElementById('camera-screen').videoWidth > 0")
    assert page.locator(".outline svg").first.is_visible()
    page.locator("#camera-record").tap()
    page.wait_for_selector("#camera-count:not([hidden])")
    assert "Filming starts in" in page.inner_text("#camera-count")
    page.wait_for_selector("#camera-count", state="hidden")
    page.wait_for_function(_FILMED, arg=page.evaluate(_SHOWN) + FRAMES)
    page.locator("#camera-record").tap()
    page.wait_for_selector("#film-chosen:not([hidden])")
    page.fill("#film-words", "from the range")
    page.locator("#film-send").tap()
    until(lambda: len(load_check_ins(desk.library, link.golfer)) == 1)
    (sent,) = load_check_ins(desk.library, link.golfer)
    assert (sent.felt, sent.clip is not None) == ("from the range", True)
    page.wait_for_selector("text=is being read")
    context.close()


_SHOWN = "() => document.getElementById('camera-screen').getVideoPlaybackQuality().totalVideoFrames"
_FILMED = f"most => ({_SHOWN})() >= most"


def test_without_a_camera_the_drawing_does(browser: Browser, linked: tuple[str, Link]) -> None:
    context = phone(browser)
    page = context.new_page()
    page.add_init_script("delete Navigator.prototype.mediaDevices")
    page.goto(linked[0])
    page.wait_for_selector("#no-camera:not([hidden])")
    assert page.locator("#check figure.diagram svg").first.is_visible()
    assert not page.locator("[data-open-camera]").first.is_visible()
    context.close()


def test_without_script_the_lesson_can_be_read(browser: Browser, linked: tuple[str, Link]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(linked[0])
    assert "need JavaScript" in page.inner_text("noscript")
    assert page.locator("#why").is_visible()
    assert not page.locator("#tick-below").is_visible()
    context.close()
