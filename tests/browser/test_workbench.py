"""The workbench in a real browser: from an empty start to a sent lesson; by keyboard too."""

from __future__ import annotations

import base64
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser, Page, expect

from causeline.model.library import Coach, new_id
from causeline.store.library import load_library
from causeline.store.library_people import save_coach
from causeline.web.desk import Desk
from causeline.wiring_web import open_desk
from tests.browser.browser import AXE, chromium
from tests.workbench import ROOT, clip_of, golfer_of, serving

Scheme = Literal["light", "dark"]
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
CLIPS = [
    ROOT / "demo" / "clips" / f"ivo_2026-04-06_{view}.mp4" for view in ("face_on", "down_the_line")
]
MOST_ACTIONS = 15
READ_MS = 900_000
"""Two clips on a busy machine; a quiet one needs a minute."""
PAGES = ("golfers", "golfer", "form", "in", "sheet", "lesson", "references")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as opened:
        yield opened


@pytest.fixture(scope="module")
def desk(scenario_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """One desk for all pages that are only looked at."""
    folder = tmp_path_factory.mktemp("looked") / "library"
    shutil.copytree(scenario_template, folder)
    library = load_library(folder)
    desk = open_desk(library)
    yield desk
    desk.jobs.stop()
    library.close()


@pytest.fixture(scope="module")
def addresses(desk: Desk, browser: Browser) -> Iterator[dict[str, str]]:
    """Every page of the workbench that is made here."""
    ivo, later = golfer_of(desk), clip_of(desk, "ivo_2026-05-04_down").id
    sound, first = clip_of(desk, "reference_mid_iron_down").id, clip_of(desk, "ivo_2026-04-06_f").id
    with serving(desk) as root:
        page = browser.new_page()
        page.goto(f"{root}/sheet/{sound}.1")
        page.get_by_role("button", name="Keep it as a reference").click()
        page.goto(f"{root}/sheet/{first}.1")
        page.get_by_role("button", name="Write the lesson").click()
        lesson = page.url
        page.close()
        yield {
            "golfers": f"{root}/golfers",
            "golfer": f"{root}/golfers/{ivo.id}",
            "form": f"{root}/golfers/{ivo.id}/edit",
            "in": f"{root}/in",
            "sheet": f"{root}/sheet/{later}.1",
            "chain": f"{root}/sheet/{first}.1",
            "lesson": lesson,
            "references": f"{root}/references",
        }


def _open(browser: Browser, address: str, width: int, scheme: Scheme = "light") -> Page:
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        color_scheme=scheme,
        reduced_motion="reduce",
        bypass_csp=True,
    )
    page = context.new_page()
    page.goto(address)
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("which", [*PAGES, "chain"])
def test_axe_finds_nothing(
    browser: Browser, addresses: dict[str, str], which: str, scheme: Scheme
) -> None:
    page = _open(browser, addresses[which], 1440 if which in ("sheet", "chain") else 390, scheme)
    page.add_script_tag(path=AXE)
    found: list[dict[str, Any]] = page.evaluate(
        "rules => axe.run({exclude: [['iframe']]}, {runOnly: rules}).then(r => r.violations)", RULES
    )
    assert [(each["id"], each["nodes"][0]["html"][:200]) for each in found] == []
    page.context.close()


@pytest.mark.parametrize("which", [*PAGES, "chain"])
def test_nothing_runs_off_the_side(browser: Browser, addresses: dict[str, str], which: str) -> None:
    """720 is what a screen of 1440 shows at 200 %, 320 one of 1280 at 400 % (WCAG 1.4.10)."""
    page = _open(browser, addresses[which], 320)
    for width in (320, 390, 720, 820, 1440):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.context.close()


@pytest.mark.parametrize("which", PAGES)
def test_a_page_asks_for_nothing_from_elsewhere_and_says_nothing(
    browser: Browser, addresses: dict[str, str], which: str
) -> None:
    page = browser.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(addresses[which])
    root = re.match(r"http://[^/]+/", addresses[which])
    assert root is not None
    assert [url for url in asked if not url.startswith((root[0], "data:", "blob:"))] == []
    assert said == []
    page.close()


def test_the_sheet_by_keyboard_alone(browser: Browser, addresses: dict[str, str]) -> None:
    page = _open(browser, addresses["sheet"], 1440)
    cells = page.locator("a.cell")
    assert [cell.get_attribute("tabindex") for cell in cells.all()].count("0") == 1
    cells.first.focus()
    for key in ("ArrowDown", "ArrowRight", "ArrowRight", "End", "Home", "ArrowRight"):
        page.keyboard.press(key)
    focused = page.evaluate("document.activeElement.getAttribute('aria-label')")
    assert focused == "Earlier at the start: open the bench"
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench/**")
    assert "moment=start" in page.url
    assert "beside=" in page.url
    page.context.close()


def test_a_chain_is_ruled_on_without_a_script(browser: Browser, addresses: dict[str, str]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(addresses["chain"])
    card = page.locator("#chain-over_the_top")
    card.locator("summary").click()
    card.get_by_label("Why").fill("it is the shirt")
    card.get_by_role("button", name="Strike it").click()
    expect(page.locator("#chain-over_the_top")).to_have_count(0)
    page.get_by_role("button", name="Take it back").click()
    expect(page.locator("#chain-over_the_top")).to_have_count(1)
    context.close()


def test_two_tabs_edit_one_lesson_and_both_texts_are_shown(
    browser: Browser, addresses: dict[str, str]
) -> None:
    one, two = (_open(browser, addresses["lesson"], 1440) for _ in range(2))
    for page, words in ((one, "From the first tab."), (two, "From the second tab.")):
        page.get_by_label("Opening, line 1").fill(words)
        page.get_by_role("button", name="Save").click()
        page.wait_for_load_state()
    expect(two.get_by_role("alert")).to_contain_text("Nothing of yours is lost")
    expect(two.get_by_label("Opening, line 1")).to_have_value("From the second tab.")
    expect(two.get_by_text("Saved meanwhile: From the first tab.")).to_be_visible()
    two.get_by_role("button", name="Save").click()
    expect(two.get_by_label("Opening, line 1")).to_have_value("From the second tab.")
    for page in (one, two):
        page.context.close()


def test_a_server_that_is_gone_is_told_and_the_page_goes_on_by_itself(
    browser: Browser, scenario_desk: Desk
) -> None:
    with serving(scenario_desk) as root:
        page = _open(browser, f"{root}/in", 820)
        expect(page.locator(".arrival").first).to_be_visible()
        port = int(root.rsplit(":", 1)[1])
    told = page.get_by_text("Causeline does not answer")
    expect(told).to_be_visible(timeout=20_000)
    _drop(page, CLIPS[:1], golfer=golfer_of(scenario_desk, "Dara Quill").id)
    with serving(scenario_desk, port=port):
        expect(told).to_be_hidden(timeout=30_000)
        expect(page.get_by_text("1 of 1 came in.")).to_be_visible(timeout=60_000)
    page.context.close()


def test_from_an_empty_start_to_a_sent_lesson(browser: Browser, tmp_path: Path) -> None:
    """Counts clicks, keys and drops from dropping two clips on, with a coach who agrees."""
    library = load_library(tmp_path / "library")
    save_coach(library, Coach(new_id(), "Maren Oakes"))
    desk = open_desk(library)
    with serving(desk, read=True) as root:
        page = _open(browser, f"{root}/golfers", 1440)
        page.get_by_role("link", name="Add a golfer").first.click()
        page.get_by_label("Name").fill("Ivo Lindgard")
        page.get_by_label("Height, cm").fill("181")
        page.get_by_role("button", name="Save").click()
        page.get_by_role("link", name="Add clips").click()
        page.get_by_label("What the golfer wrote with it").fill("I have been trying to turn more.")
        actions = 0

        _drop(page, CLIPS)
        actions += 1
        expect(page.locator(".arrival .state.ready")).to_have_count(2, timeout=READ_MS)
        page.reload()  # a reload goes on where it was: no action of the coach
        page.get_by_role("link", name="Open the sheet").last.click()
        actions += 1
        expect(page.locator("a.cell")).to_have_count(10)
        page.get_by_role("button", name="Write the lesson").click()
        actions += 1
        expect(page.get_by_label("Opening, line 1")).to_be_visible()
        page.get_by_role("button", name="Send").click()
        actions += 1
        secret = page.get_by_label("The golfer’s address").input_value()
        page.get_by_role("button", name="Copy").click()
        actions += 1

        assert actions <= MOST_ACTIONS
        golfer = browser.new_page()
        golfer.goto(secret)
        expect(golfer.get_by_role("heading").first).to_be_visible()
        golfer.close()
        page.context.close()
    desk.jobs.stop()
    library.close()


def _drop(page: Page, paths: list[Path], golfer: str = "") -> None:
    """Drop files on the page, as a hand does."""
    if golfer:
        page.get_by_label("Whose swing").select_option(golfer)
    files = [[path.name, base64.b64encode(path.read_bytes()).decode()] for path in paths]
    page.evaluate(
        """files => {
            const carried = new DataTransfer();
            for (const [name, content] of files) {
                const bytes = Uint8Array.from(atob(content), letter => letter.charCodeAt(0));
                carried.items.add(new File([bytes], name, {type: 'video/mp4'}));
            }
            for (const kind of ['dragover', 'drop'])
                document.querySelector('#drop').dispatchEvent(new DragEvent(kind,
                    {dataTransfer: carried, bubbles: true, cancelable: true}));
        }""",
        files,
    )
