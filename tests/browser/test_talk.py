"""The talk-through in a real browser: recorded with a microphone that clicks, and kept.

The microphone is a file that clicks each second. The page hears it too, and steps the bench at each
click: so the record has the same instant twice, in the sound and in the events.
"""

from __future__ import annotations

import json
import re
import shutil
import wave
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, Playwright, Route, expect, sync_playwright

from causeline.model.library import Attachment
from causeline.model.talk import Stepped, Talk
from causeline.model.talk_cuts import in_talk
from causeline.render.talk_voice import RATE_HZ, render_voice
from causeline.sources.fence import FencedClips
from causeline.store.library import load_library
from causeline.store.library_lessons import save_attachments_removed
from causeline.store.library_talks import TalkEntry, load_talk, load_talks
from causeline.web.desk import Desk
from causeline.wiring_web import open_desk
from tests.browser.browser import ARGUMENTS, AXE, CHROMIUM
from tests.workbench import clip_of, golfer_of, serving

TOGETHER_MS = 40
"""ITU-R BT.1359-1 has 45 ms of sound ahead as what begins to be noticed."""
TRIES = 3
"""Recordings, of which one has to hold: on a busy machine the page's ear lags behind."""
CLICK_MS, EVERY_MS = 10, 1000
OPENING_MS = PATIENT_MS = 120_000
"""The first look makes a swing's frames ready."""

LISTEN = """
window.late = [];
const open = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
navigator.mediaDevices.getUserMedia = async (wanted) => {
  const stream = await open(wanted);
  if (window.stepAtClicks) hear(stream);
  return stream;
};
function hear(stream) {
  const context = new AudioContext();
  const ear = context.createAnalyser();
  ear.fftSize = 2048;
  context.createMediaStreamSource(stream).connect(ear);
  const samples = new Float32Array(ear.fftSize);
  let last = 0;
  const { store } = window.causelineBench;
  const timer = setInterval(() => {
    if (stream.getTracks()[0].readyState === "ended") return clearInterval(timer);
    ear.getFloatTimeDomainData(samples);
    const first = samples.findIndex((one) => Math.abs(one) > 0.15);
    if (first < 0 || performance.now() - last < 500) return;
    last = performance.now();
    window.late.push((1000 * (samples.length - first)) / context.sampleRate);
    store.dispatch({ do: "seek", at_s: store.cursor() + 0.05 });
  }, 4);
}
"""
"""The page hears the very stream that is recorded: another one would play the file anew."""


@pytest.fixture(scope="module")
def microphone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file that clicks each second, 0.5 s after it begins."""
    samples = np.zeros(RATE_HZ * 10)
    click = 0.8 * np.sin(np.arange(RATE_HZ * CLICK_MS // 1000) * 2 * np.pi * 1000 / RATE_HZ)
    for at in range(RATE_HZ // 2, len(samples), RATE_HZ * EVERY_MS // 1000):
        samples[at : at + len(click)] = click
    path = tmp_path_factory.mktemp("microphone") / "clicks.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes((samples * 32767).astype("<i2").tobytes())
    return path


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as opened:
        yield opened


@contextmanager
def _chromium(playwright: Playwright, *more: str) -> Iterator[Browser]:
    told = [*ARGUMENTS, "--autoplay-policy=no-user-gesture-required", *more]
    opened = playwright.chromium.launch(executable_path=CHROMIUM, args=told)
    try:
        yield opened
    finally:
        opened.close()


@pytest.fixture(scope="module")
def browser(playwright: Playwright, microphone: Path) -> Iterator[Browser]:
    with _chromium(
        playwright,
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={microphone}",
    ) as opened:
        yield opened


@pytest.fixture(scope="module")
def desk(scenario_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("talk") / "library"
    shutil.copytree(scenario_template, folder)
    library = load_library(folder)
    opened = open_desk(library)
    yield opened
    opened.jobs.stop()
    library.close()


@pytest.fixture(scope="module")
def address(desk: Desk) -> Iterator[str]:
    with serving(desk) as at:
        yield at


@pytest.fixture
def swing(desk: Desk) -> str:
    """The swing on the bench, with nothing said about it yet."""
    _clear(desk)
    return f"{clip_of(desk, 'ivo_2026-04-06_face_on').id}.1"


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    with _page(browser) as opened:
        yield opened


@contextmanager
def _page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.add_init_script(LISTEN)
    yield context.new_page()
    context.close()


def _clear(desk: Desk) -> None:
    save_attachments_removed(desk.library, [one.id for one in _kept(desk)])


def _open(page: Page, address: str, swing: str) -> None:
    page.goto(f"{address}/bench/{swing}?moment=top")
    page.wait_for_selector("#talk:not([hidden])", timeout=OPENING_MS)


def _record(page: Page, for_ms: int) -> None:
    page.keyboard.press("r")
    page.wait_for_selector("#talk[data-doing=recording]")
    page.wait_for_timeout(for_ms)
    page.keyboard.press("r")
    page.wait_for_selector("#talk[data-doing=still]")


def _passage(page: Page, start_s: int, stop_s: int) -> None:
    """Choose a passage by keys."""
    page.locator(".talk-rail").focus()
    page.keyboard.press("Home")
    for at in range(stop_s + 1):
        if at == start_s:
            page.keyboard.press("[")
        if at == stop_s:
            page.keyboard.press("]")
        page.keyboard.press("ArrowRight")


def _kept(desk: Desk) -> list[Attachment]:
    return list(load_talks(desk.library, golfer_of(desk).id))


def _talk(desk: Desk) -> TalkEntry:
    (one,) = _kept(desk)
    return load_talk(desk.library, one.id)


def _clicks(desk: Desk, talk: Talk) -> list[float]:
    """Milliseconds of the talk-through at which the voice clicks."""
    sounds = {}
    with FencedClips() as clips:
        for take in talk.takes:
            if take.voice is not None:
                with desk.library.vault.on_disk(take.voice.key) as path:
                    sounds[take.id] = clips.voice(path)
    voice = render_voice(talk, sounds)
    assert voice is not None
    loud = np.flatnonzero(np.abs(voice.samples) > 0.1)
    return [1000 * at / RATE_HZ for at in loud[np.diff(loud, prepend=-(10**9)) > RATE_HZ / 4]]


def _steps(talk: Talk, late: dict[str, list[float]]) -> list[int]:
    """Milliseconds of the talk-through at which the bench stepped, less what the ear was late.

    `late` has, for each take, how long ago each click was when the page noticed it: that is the
    page's ear, which a coach does not have.
    """
    found: list[int] = []
    for take in talk.takes:
        steps = [event.at_ms for event in take.events if isinstance(event, Stepped)]
        heard = late[take.id][-len(steps) :] if steps else []
        for at, ago in zip(steps[-len(heard) :], heard, strict=True):
            found += in_talk(talk.pieces, take.id, max(round(at - ago), 0))
    return sorted(found)


def _apart(steps: list[int], clicks: list[float]) -> list[float]:
    """From each step to the click that is nearest: a busy page's ear may miss a click."""
    return [min(abs(click - step) for click in clicks) for step in steps]


def test_sound_and_steps_stay_together_from_recording_to_a_passage_spoken_anew(
    browser: Browser, desk: Desk, address: str, swing: str
) -> None:
    """What is late is late each time; what the page only heard late, on a busy machine, is not."""
    for _ in range(TRIES):
        _clear(desk)
        with _page(browser) as page:
            apart = _furthest_apart(page, desk, address, swing)
        if apart <= TOGETHER_MS:
            break
    assert apart <= TOGETHER_MS


def _furthest_apart(page: Page, desk: Desk, address: str, swing: str) -> float:
    """Milliseconds from a step to its click, at most: as recorded, cut, and spoken anew."""
    _open(page, address, swing)
    page.evaluate("window.stepAtClicks = true")
    _record(page, 7000)
    page.wait_for_selector(".talk-rail")
    recorded = _talk(desk).talk
    late = {recorded.takes[0].id: page.evaluate("window.late")}
    clicks = _clicks(desk, recorded)
    assert len(clicks) >= 5
    steps = _steps(recorded, late)
    assert len(steps) >= 4
    apart = _apart(steps, clicks)

    _passage(page, 2, 3)
    page.keyboard.press("x")  # a second is left out
    page.locator(".talk-say", has_text="left out").wait_for()
    cut = _talk(desk).talk
    assert cut.lasts_ms == recorded.lasts_ms - 1000
    apart += _apart(_steps(cut, late), _clicks(desk, cut))

    page.evaluate("window.late = []")
    _passage(page, 1, 3)
    page.keyboard.press("n")  # recorded anew on the bench, for longer than it was
    page.wait_for_selector("#talk[data-doing=recording]")
    page.wait_for_timeout(4000)
    page.keyboard.press("r")
    page.locator(".talk-joint").nth(1).wait_for(state="attached")
    edited = _talk(desk).talk
    assert len({piece.take for piece in edited.pieces}) == 2
    late[edited.takes[1].id] = page.evaluate("window.late")
    clicks = _clicks(desk, edited)
    assert len(clicks) >= 6
    return max(apart + _apart(_steps(edited, late), clicks))


def test_another_voice_under_the_same_pictures(
    page: Page, desk: Desk, address: str, swing: str
) -> None:
    _open(page, address, swing)
    page.keyboard.press("r")
    page.wait_for_selector("#talk[data-doing=recording]")
    for _ in range(6):
        page.wait_for_timeout(400)
        page.keyboard.press("ArrowRight")
    page.keyboard.press("r")
    page.wait_for_selector(".talk-rail")
    before = _talk(desk).talk
    _passage(page, 0, 2)
    page.keyboard.press("s")
    page.wait_for_selector("#talk[data-doing=recording]")
    page.wait_for_timeout(2600)
    page.keyboard.press("r")
    page.locator(".talk-joint").nth(0).wait_for(state="attached")
    after = _talk(desk).talk
    new = after.take(after.pieces[0].take)
    old = before.takes[0]
    shown = [event.frame for event in new.events if isinstance(event, Stepped)]
    passage = [e.frame for e in old.events if isinstance(e, Stepped) and e.at_ms <= 2000]
    assert new.id != old.id
    assert shown == passage
    assert new.voice is not None


def test_a_reload_in_mid_recording_loses_less_than_a_second(
    page: Page, desk: Desk, address: str, swing: str
) -> None:
    _open(page, address, swing)
    page.keyboard.press("r")
    page.wait_for_selector("#talk[data-doing=recording]")
    page.wait_for_timeout(1500)
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(2700)
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    page.wait_for_selector(".talk-lost", timeout=OPENING_MS)
    told = page.locator(".talk-lost").inner_text()
    assert "was cut off when the page went away" in told
    page.get_by_role("button", name="Go on recording").click()
    page.wait_for_selector("#talk[data-doing=recording]")
    page.wait_for_timeout(1500)
    page.keyboard.press("r")
    page.locator(".talk-joint").nth(0).wait_for(state="attached")
    talk = _talk(desk).talk
    assert len(talk.pieces) == 2
    assert 3000 <= talk.pieces[0].lasts_ms <= 5200
    assert any(isinstance(event, Stepped) for event in talk.takes[0].events)
    assert len(_clicks(desk, talk)) >= 4


def test_the_server_gone_in_mid_recording_loses_nothing(
    browser: Browser, desk: Desk, swing: str
) -> None:
    context = browser.new_context(viewport={"width": 820, "height": 900})
    page = context.new_page()
    with serving(desk) as address:
        _open(page, address, swing)
        page.keyboard.press("r")
        page.wait_for_selector("#talk[data-doing=recording]")
        page.wait_for_timeout(1500)
        gone: list[bool] = [True]

        def away(route: Route) -> None:
            route.abort() if gone[0] else route.continue_()

        context.route("**/talk/**", away)
        page.wait_for_timeout(2500)
        page.keyboard.press("r")
        page.wait_for_selector("#talk[data-doing=still]")
        expect(page.locator(".talk-say")).to_contain_text(
            re.compile("Causeline does not answer.*kept in this browser", re.S), timeout=PATIENT_MS
        )
        gone[0] = False
        page.wait_for_selector(".talk-rail", timeout=PATIENT_MS)
        talk = _talk(desk).talk
        assert talk.lasts_ms >= 3500
        assert len(_clicks(desk, talk)) >= 3
        expect(page.locator(".talk-say")).to_have_text("Kept.", timeout=PATIENT_MS)
    context.close()


def test_a_full_disk_is_told_and_the_recording_goes_on_in_the_browser(
    browser: Browser, desk: Desk, address: str, swing: str
) -> None:
    context = browser.new_context()
    page = context.new_page()
    full: list[bool] = [True]
    told = {"came": "no room is left on the disk", "expected": "", "remedy": "make room"}

    def refuse(route: Route) -> None:
        if full[0]:
            route.fulfill(status=507, content_type="application/json", body=json.dumps(told))
        else:
            route.continue_()

    context.route("**/parts/**", refuse)
    _open(page, address, swing)
    _record(page, 2500)
    expect(page.locator(".talk-say")).to_contain_text(
        re.compile("No room is left on the disk.*kept in this browser", re.S), timeout=PATIENT_MS
    )
    full[0] = False
    page.wait_for_selector(".talk-rail", timeout=PATIENT_MS)
    assert _talk(desk).talk.lasts_ms >= 2000
    context.close()


def test_without_a_microphone_it_is_said_and_a_silent_one_is_made(
    playwright: Playwright, desk: Desk, address: str, swing: str
) -> None:
    with _chromium(playwright) as plain:  # a machine without any microphone
        page = plain.new_page()
        _open(page, address, swing)
        page.keyboard.press("r")
        page.locator(".talk-say:not(:empty)").wait_for()
        said = page.locator(".talk-say").inner_text()
        assert "record without a voice" in said
        page.get_by_role("button", name="Record without a voice").click()
        page.wait_for_selector("#talk[data-doing=recording]")
        page.wait_for_timeout(600)
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(900)
        page.keyboard.press("r")
        page.wait_for_selector(".talk-rail")
        (take,) = _talk(desk).talk.takes
        assert take.voice is None
        assert [event.what for event in take.events] == ["step"]


def test_it_plays_as_sharp_data_and_is_searched_by_moment(
    page: Page, desk: Desk, address: str, swing: str
) -> None:
    _open(page, address, swing)
    page.keyboard.press("r")
    page.wait_for_selector("#talk[data-doing=recording]")
    page.wait_for_timeout(1200)  # the top, where the bench was opened
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    page.wait_for_timeout(1200)  # impact
    page.keyboard.press("r")
    page.wait_for_selector(".talk-moments li")
    assert page.locator(".talk-moments button").all_inner_texts() == ["Top", "Impact"]
    own = page.evaluate("window.causelineBench.store.state.at_s")
    page.get_by_role("button", name="Impact, 0:0").click()
    page.wait_for_selector("#talk[data-doing=paused]")
    shown = page.locator(".scale, #scale").first.inner_text()
    assert "Impact" in shown
    page.locator(".talk-rail").focus()
    page.keyboard.press("Home")
    page.keyboard.press(" ")
    page.wait_for_selector("#talk[data-doing=playing]")
    page.wait_for_selector("#talk[data-doing=paused]", timeout=PATIENT_MS)
    page.keyboard.press("Escape")
    page.wait_for_selector("#talk[data-doing=still]")
    assert page.evaluate("window.causelineBench.store.state.at_s") == own  # the bench is as it was


def test_the_film_is_made_and_looked_at(
    page: Page, desk: Desk, address: str, swing: str, tmp_path: Path
) -> None:
    _open(page, address, swing)
    _record(page, 1500)
    page.wait_for_selector(".talk-rail")
    page.get_by_role("button", name="Make the film").click()
    page.wait_for_selector("#talk a[href$='/film']", timeout=60_000)
    entry = _talk(desk)
    assert entry.attachment.file_key is not None
    film = desk.library.vault.read(entry.attachment.file_key)
    assert film[4:8] == b"ftyp"
    page.locator(".talk-rail").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("[")
    page.keyboard.press("x")  # an edit: the film of what was is none of what is
    page.locator(".talk-say", has_text="left out").wait_for()
    assert page.get_by_role("button", name="Make the film").count() == 1
    assert _talk(desk).attachment.file_key is None


@pytest.mark.parametrize(("width", "scheme"), [(390, "dark"), (820, "light"), (1440, "dark")])
def test_axe_finds_nothing_in_it(
    browser: Browser, desk: Desk, address: str, swing: str, width: int, scheme: Any
) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True
    )
    page = context.new_page()
    _open(page, address, swing)
    page.add_script_tag(path=AXE)
    run = "() => axe.run('#talk', {runOnly: ['wcag2a','wcag2aa','wcag21aa','wcag22aa']})"
    found = page.evaluate(run)["violations"]
    page.keyboard.press("r")
    page.wait_for_selector("#talk[data-doing=recording]")
    found += page.evaluate(run)["violations"]
    page.wait_for_timeout(1200)
    page.keyboard.press("r")
    page.wait_for_selector(".talk-rail")
    page.locator(".talk-rail").focus()
    page.keyboard.press("[")
    found += page.evaluate(run)["violations"]
    assert [(each["id"], each["nodes"][0]["html"][:200]) for each in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()
