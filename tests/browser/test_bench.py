"""The bench in real Chromium: the frame shown is the frame named; drawn, kept, set right.

The pictures of one film carry their numbers (`tests.clips.numbered`), and are read back from the
canvas: what the page says is held against what it shows.
"""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from causeline.model.proxy import Proxy
from causeline.sources.encode_proxy import PLACES_HZ, encode_proxy
from causeline.store.library_proxies import LibraryProxies
from causeline.web.desk import Desk
from causeline.web.proxying import wanted_of
from causeline.web.shelf import swing_seen
from tests.browser.browser import AXE, chromium
from tests.clips import number_of, numbered
from tests.workbench import clip_of, coach_of, serving

IVO, REFERENCE = "ivo_2026-04-06_face_on", "reference_mid_iron_face_on"
WAIT_MS = 60_000
GONE = "delete window.VideoDecoder; delete window.EncodedVideoChunk;"
CANVAS = "document.querySelector('.band canvas')"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as started:
        yield started


@pytest.fixture
def address(scenario_desk: Desk) -> Iterator[str]:
    with serving(scenario_desk) as place:
        yield place
    scenario_desk.jobs.stop()


def _name(desk: Desk, clip: str) -> str:
    return f"{clip_of(desk, clip).id}.1"


def _numbered_film(desk: Desk, swing: str, folder: Path, stamps: list[int], base: Fraction) -> None:
    """In place of a swing's own frames, pictures that carry the numbers of those frames."""
    wanted = wanted_of(swing_seen(desk, coach_of(desk), swing))
    frames = tuple(range(wanted.first_frame, wanted.first_frame + len(stamps)))
    film = folder / "numbered.mp4"
    _, width, height = encode_proxy((numbered(number) for number in frames), film)
    ends = (wanted.first_frame, wanted.last_frame)
    proxy = Proxy(wanted.sha256, *ends, width, height, PLACES_HZ, frames, tuple(stamps), base)
    LibraryProxies(desk.library).keep_proxy(wanted.key, proxy, film)


def _open(browser: Browser, address: str, path: str, before: str = "", **look: Any) -> Page:
    look = {"viewport": {"width": 1440, "height": 900}, **look}
    page = browser.new_context(**look).new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda line: faults.append(line.text) if "policy" in line.text else None)
    if before:
        page.add_init_script(before)
    page.goto(address + path)
    page.wait_for_selector("#bench[data-ready]", timeout=WAIT_MS)
    assert faults == []
    return page


def _named(page: Page, row: int = 0) -> int:
    """The frame that the page names, once it has come to rest."""
    return int(page.locator(".band canvas").nth(row).get_attribute("data-frame") or -1)


def _rest(page: Page) -> None:
    """Until what is shown is what is wanted."""
    page.wait_for_function(
        "() => causelineBench.shown().every((each, row) =>"
        " document.querySelectorAll('.band canvas')[row].dataset.frame === String(each.number))",
        timeout=WAIT_MS,
    )


def _seen(page: Page) -> int:
    """The number that the picture on the canvas carries."""
    told = page.evaluate(
        f"""() => {{ const canvas = {CANVAS};
        const band = causelineBench.views.find((view) => view.canvas);
        const {{ clip }} = causelineBench.facts.get(band.swing); const lie = band.lie();
        const ratio = canvas.width / canvas.getBoundingClientRect().width;
        return {{ url: canvas.toDataURL(), box: [lie.right, lie.below, clip.width * lie.across,
        clip.height * lie.down].map((each) => each * ratio) }}; }}"""
    )
    raw = base64.b64decode(told["url"].split(",", 1)[1])
    picture = np.asarray(Image.open(io.BytesIO(raw)).convert("RGB"))
    left, top, wide, high = (round(each) for each in told["box"])
    return number_of(picture[top : top + high, left : left + wide])


def _bare(page: Page) -> None:
    """The picture alone, whole."""
    for key in "bcvn":
        page.keyboard.press(key)
    page.evaluate(
        "() => causelineBench.store.dispatch({do: 'view', row: 0, view: {zoom: 1, x: .5, y: .5}})"
    )


UNEVEN = np.cumsum([0, *np.random.default_rng(2).integers(2, 9, 59)]).tolist()
CLOCKS = {
    "240 Hz": (list(range(60)), Fraction(1, 240)),
    "uneven": (UNEVEN, Fraction(1, 1000)),
}


@pytest.mark.parametrize("before", ["", GONE], ids=["WebCodecs", "pictures sent"])
@pytest.mark.parametrize("clock", CLOCKS)
def test_the_frame_shown_is_the_frame_named(
    browser: Browser, address: str, scenario_desk: Desk, tmp_path: Path, clock: str, before: str
) -> None:
    swing = _name(scenario_desk, IVO)
    _numbered_film(scenario_desk, swing, tmp_path, *CLOCKS[clock])
    page = _open(browser, address, f"/bench/{swing}", before)
    said = page.text_content("#bench-say") or ""
    assert ("cannot take single frames" in said) is bool(before)
    _bare(page)
    page.evaluate("() => causelineBench.store.dispatch({do: 'seek', at_s: -1})")
    _rest(page)
    first = _named(page)
    walked = []
    for key in ["ArrowRight"] * 4 + ["Shift+ArrowRight"] * 3 + ["ArrowLeft"] * 5:
        page.keyboard.press(key)
        _rest(page)
        assert _seen(page) == _named(page)
        walked.append(_named(page) - first)
    assert walked == [1, 2, 3, 4, 14, 24, 34, 33, 32, 31, 30, 29]
    assert f"frame {_named(page)} ·" in (page.text_content(".band .instant") or "")


def test_scrubbing_and_running_end_on_the_frame_that_is_named(
    browser: Browser, address: str, scenario_desk: Desk, tmp_path: Path
) -> None:
    swing = _name(scenario_desk, IVO)
    _numbered_film(scenario_desk, swing, tmp_path, *CLOCKS["240 Hz"])
    page = _open(browser, address, f"/bench/{swing}")
    _bare(page)
    box = page.locator(".scale .track").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 1, box["y"] + 8)
    page.mouse.down()
    for share in (0.2, 0.9, 0.1, 0.4, 0.7, 0.35):
        page.mouse.move(box["x"] + share * box["width"], box["y"] + 8, steps=6)
    page.mouse.up()
    page.wait_for_timeout(300)
    _rest(page)
    assert _seen(page) == _named(page)
    page.keyboard.press("Space")
    page.wait_for_timeout(400)
    page.keyboard.press("Space")
    _rest(page)
    assert _seen(page) == _named(page)
    page.keyboard.press("Shift+Space")  # backward, to the beginning
    page.wait_for_function("() => causelineBench.store.state.run === null", timeout=WAIT_MS)
    _rest(page)
    assert _seen(page) == _named(page)
    assert page.evaluate("() => causelineBench.shown()[0].place") == 0


def test_rows_are_locked_by_moments(browser: Browser, address: str, scenario_desk: Desk) -> None:
    one, other = _name(scenario_desk, IVO), _name(scenario_desk, REFERENCE)
    page = _open(browser, address, f"/bench/{one}?moment=top&beside={other}")
    page.wait_for_function("() => document.querySelectorAll('.band').length === 2", timeout=WAIT_MS)
    for digit in range(1, 11):
        page.keyboard.press(str(digit % 10))
        _rest(page)
        frames = page.evaluate(
            """(k) => [...causelineBench.facts.values()].map((facts) => facts.moments[k].frame)""",
            digit - 1,
        )
        assert [_named(page, row) for row in (0, 1)] == frames
    page.keyboard.press("l")  # the other one's scale
    page.keyboard.press("5")
    _rest(page)
    page.click(".band >> nth=0 >> [data-act=later]")
    _rest(page)
    top = page.evaluate("() => [...causelineBench.facts.values()][0].moments[4].frame")
    assert _named(page, 0) == top + 1


def _places(page: Page) -> Callable[[str], tuple[float, float]]:
    """Where tracked points are on the screen."""
    found = page.evaluate(
        f"""() => {{ const band = causelineBench.views.find((view) => view.canvas);
        const box = {CANVAS}.getBoundingClientRect(); const lie = band.lie();
        const facts = causelineBench.facts.get(band.swing);
        const row = facts.tracks.numbers.indexOf(causelineBench.shown()[0].number);
        return Object.fromEntries([...facts.tracks.points].map(([name, point]) => [name,
          [box.x + point.xy[row][0] * lie.across + lie.right,
           box.y + point.xy[row][1] * lie.down + lie.below]])); }}"""
    )
    return lambda name: tuple(found[name])


def _drag(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(*end, steps=5)
    page.wait_for_timeout(80)
    page.mouse.up()
    page.wait_for_timeout(80)


def _marks(page: Page) -> list[dict[str, Any]]:
    told = page.evaluate(
        "() => Object.values(causelineBench.store.state.marks).flatMap((each) => each.marks)"
    )
    return list(told)


def test_what_is_drawn_holds_on_to_joints_is_kept_and_comes_back(
    browser: Browser, address: str, scenario_desk: Desk
) -> None:
    page = _open(browser, address, f"/bench/{_name(scenario_desk, IVO)}?moment=top")
    _rest(page)
    at = _places(page)
    page.keyboard.press("i")
    _drag(page, at("trail_hip"), at("lead_shoulder"))
    page.keyboard.press("g")
    for name in ("lead_hip", "lead_knee", "lead_ankle"):
        page.mouse.click(*at(name))
        page.wait_for_timeout(80)
    page.keyboard.press("e")
    _drag(page, at("nose"), (at("nose")[0] + 60, at("nose")[1] + 90))
    kinds = [mark["kind"] for mark in _marks(page)]
    assert kinds == ["line", "angle", "freehand"]
    assert [spot[2] for spot in _marks(page)[1]["spots"]] == ["lead_hip", "lead_knee", "lead_ankle"]
    page.keyboard.press("z")
    assert len(_marks(page)) == 2
    page.keyboard.press("Shift+Z")
    assert len(_marks(page)) == 3
    page.keyboard.press("h")
    page.click("[data-do='follow shaft']")
    assert re.search(r"\d+° ± \d", page.text_content(".band .drawn") or "")
    page.wait_for_function("() => localStorage.length === 0", timeout=WAIT_MS)  # the app has it
    before = _marks(page)
    page.reload()
    page.wait_for_selector("#bench[data-ready]", timeout=WAIT_MS)
    assert _marks(page) == json.loads(json.dumps(before))


def test_two_pages_draw_on_one_swing_and_nothing_is_lost(
    browser: Browser, address: str, scenario_desk: Desk
) -> None:
    path = f"/bench/{_name(scenario_desk, IVO)}?moment=top"
    one, other = _open(browser, address, path), _open(browser, address, path)
    for page, name in ((one, "shaft"), (other, "hips")):
        _rest(page)
        page.click(f"[data-do='follow {name}']")
    follows = "() => Object.values(causelineBench.store.state.marks)[0].marks.map((m) => m.follow)"
    page = other
    page.wait_for_function(f"() => ({follows})().length === 2 || ({follows})().length === 1")
    one.wait_for_function("() => localStorage.length === 0", timeout=WAIT_MS)
    other.wait_for_function("() => localStorage.length === 0", timeout=WAIT_MS)
    third = _open(browser, address, path)
    assert sorted(third.evaluate(follows)) == ["hips", "shaft"]


def test_what_was_drawn_while_the_app_was_gone_is_not_lost(
    browser: Browser, address: str, scenario_desk: Desk
) -> None:
    page = _open(browser, address, f"/bench/{_name(scenario_desk, IVO)}?moment=top")
    _rest(page)
    page.route("**/marks", lambda route: route.abort())
    page.click("[data-do='follow shaft']")
    page.wait_for_function(
        "() => document.querySelector('#bench-say').textContent.includes('does not answer')",
        timeout=WAIT_MS,
    )
    page.unroute("**/marks")
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    page.wait_for_selector("#bench[data-ready]", timeout=WAIT_MS)
    assert [mark["follow"] for mark in _marks(page)] == ["shaft"]
    page.wait_for_function("() => localStorage.length === 0", timeout=WAIT_MS)


def test_a_joint_is_set_by_hand_or_by_keys_and_one_key_takes_it_back(
    browser: Browser, address: str, scenario_desk: Desk
) -> None:
    page = _open(browser, address, f"/bench/{_name(scenario_desk, IVO)}?moment=top")
    _rest(page)
    at, say = _places(page), page.locator("#bench-say")
    knee = at("lead_knee")
    page.keyboard.press("p")
    _drag(page, knee, (knee[0] + 14, knee[1] - 6))
    say.filter(has_text="Judged again").wait_for(timeout=WAIT_MS)
    assert "lead knee set by Maren Oakes" in (page.text_content(".band .drawn") or "")
    moved = _places(page)("lead_knee")
    assert moved == pytest.approx((knee[0] + 14, knee[1] - 6), abs=1.0)
    page.keyboard.press("u")
    say.filter(has_text="automatic again. Judged again").wait_for(timeout=WAIT_MS)
    assert _places(page)("lead_knee") == pytest.approx(knee, abs=0.6)
    page.keyboard.press("Shift+Digit5")  # the top is here
    say.filter(has_text="Top set at").filter(has_text="Judged").wait_for(timeout=WAIT_MS)
    assert page.locator(".moment.by-hand").count() == 1
    page.keyboard.press("Control+ArrowRight")
    page.keyboard.press("Enter")  # takes hold of what is nearest to the cross, or of nothing
    page.keyboard.press("Escape")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_anybody_can_use_it(
    browser: Browser, address: str, scenario_desk: Desk, scheme: str
) -> None:
    """WCAG 2.2 AA as far as axe-core can tell; nothing runs out at the side, at any width."""
    path = f"/bench/{_name(scenario_desk, IVO)}?moment=top"
    page = _open(browser, address, path, color_scheme=scheme, reduced_motion="reduce")
    _rest(page)
    page.click("[data-do='follow shaft']")
    page.locator(".mark-line").click()
    for wide in (1440, 820, 390):
        page.set_viewport_size({"width": wide, "height": 844})
        page.wait_for_timeout(150)
        over = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
        assert page.evaluate(over) <= 0, wide
        assert _faults(page) == [], wide
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    page.locator("dialog[open]").wait_for()
    assert _faults(page) == []
    page.keyboard.press("Escape")
    page.locator("dialog").wait_for(state="detached")


def _faults(page: Page) -> list[tuple[str, str]]:
    """What axe-core finds: the rule, and the first element that breaks it."""
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE.read_text())
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    found = page.evaluate(f"() => axe.run({{runOnly: {tags}}})")
    return [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]]
