"""Four weeks in the browser with time faked: lesson, practice, check-ins, answers, a real change.

Ivo is the scenario's first golfer. His films of four weeks later and of three days after that are
truly read, in the app's own worker; in the last one his hips slide, which the studio planted, so
that a next cause is there to be found. The film from behind is answered from a kept reading.
"""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page
from sqlalchemy import delete

from causeline.model.library import LessonEntry, Link, ReadingEntry, State
from causeline.model.progress import Stage, Verdict
from causeline.model.reading import Reading
from causeline.reading.doors import Settings
from causeline.store.library import Library, load_library
from causeline.store.library_lessons import load_lesson
from causeline.store.library_practice import load_check_ins, load_ticks
from causeline.store.library_readings import ReadingBook, load_reading_of
from causeline.store.library_whole import load_whole
from causeline.store.tables import CLIPS
from causeline.web.desk import Desk
from causeline.wiring_web import Reader, open_desk
from causeline.wiring_work import ask_reading
from tests.browser.browser import chromium
from tests.practising import a_link
from tests.workbench import ROOT, clip_of, golfer_of, serving

CLIPS_FOLDER = ROOT / "demo" / "clips"
LATER = CLIPS_FOLDER / "ivo_2026-05-04_face_on.mp4"
NEXT = CLIPS_FOLDER / "ivo_2026-05-07_face_on.mp4"
BEHIND = CLIPS_FOLDER / "ivo_2026-05-04_down_the_line.mp4"
READ_MS = 300_000
"""A busy machine reads a clip in minutes, an idle one in some twenty seconds."""


@dataclass
class Clock:
    """What day it is, for the app and for every browser."""

    now: datetime = datetime(2026, 4, 6, 12, 0, tzinfo=UTC)


@dataclass
class Kept:
    """Readings that are kept answer for the files they are put down for; others are truly read."""

    library: Library
    real: Reader
    tapes: dict[str, Callable[[], tuple[Reading, str]]] = field(default_factory=dict)

    def ask(self, sha256: str, settings: Settings) -> ReadingEntry:
        if sha256 not in self.tapes:
            return self.real.ask(sha256, settings)
        book = ReadingBook(self.library)
        claimed = book.claim(ask_reading(self.library, sha256, settings).id)
        assert claimed is not None
        reading, seen_key = self.tapes[sha256]()
        assert book.finish(claimed, reading, seen_key)
        return book.get(claimed.id)

    def judge(self, sha256: str, settings: Settings) -> ReadingEntry:
        return self.ask(sha256, settings)

    def wake(self) -> None:
        self.real.wake()


@dataclass
class Weeks:
    """The story's places and people."""

    desk: Desk
    kept: Kept
    clock: Clock
    address: str
    root: str
    link: Link
    lesson: LessonEntry
    browser: Browser
    folder: Path

    def at(self, day: str, hour: int = 17) -> None:
        """It is that day of 2026, in the afternoon."""
        month, number = day.split("-")
        self.clock.now = datetime(2026, int(month), int(number), hour, 0, tzinfo=UTC)

    def phone(self) -> Page:
        """Ivo opens his page."""
        context: BrowserContext = self.browser.new_context(
            viewport={"width": 390, "height": 844}, has_touch=True, timezone_id="Europe/Dublin"
        )
        context.set_default_timeout(READ_MS)
        page = context.new_page()
        page.clock.set_fixed_time(self.clock.now)
        page.goto(self.address + self.root)
        page.wait_for_selector("#today-words:not(:empty)")
        return page

    def coach(self, path: str) -> Page:
        """Maren Oakes opens a page of the workbench."""
        page = self.browser.new_page()
        page.set_default_timeout(READ_MS)
        page.goto(self.address + path)
        return page

    def send(self, page: Page, film: Path) -> None:
        """Choose a film that was made today, and send it."""
        stamp = self.clock.now.timestamp()
        os.utime(film, (stamp, stamp))
        before = len(load_check_ins(self.desk.library, self.link.golfer))
        page.set_input_files("#film-pick", film)
        page.wait_for_selector("#film-chosen:not([hidden])")
        page.locator("#film-send").tap()
        until(lambda: len(load_check_ins(self.desk.library, self.link.golfer)) > before)

    def film(self, source: Path, name: str) -> Path:
        """A copy of a film under another name."""
        return Path(shutil.copyfile(source, self.folder / name))


def until(true: Callable[[], bool], seconds: float = READ_MS / 1000) -> None:
    ends = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < ends, "it did not come to pass"
        time.sleep(0.1)


@pytest.fixture
def weeks(scenario_template: Path, tmp_path: Path) -> Iterator[Weeks]:
    shutil.copytree(scenario_template, tmp_path / "library")
    clock = Clock()
    library = load_library(tmp_path / "library", now=lambda: clock.now)
    reader = Reader(library, 1)
    desk = open_desk(library, reader)
    kept = Kept(library, reader)
    desk = replace(desk, readings=kept)
    later = clip_of(desk, "ivo_2026-05-04_down_the_line")
    with library.database.writing() as connection:  # not filmed yet; its reading is kept
        connection.execute(delete(CLIPS).where(CLIPS.c.id == later.id))
    kept.tapes[later.sha256] = kept_reading(library, later.sha256)
    root, link, lesson = a_link(desk)
    with chromium() as browser, serving(desk) as address:
        reader.start()
        yield Weeks(desk, kept, clock, address, root, link, lesson, browser, tmp_path)
        reader.stop()
    desk.jobs.stop()
    library.close()


def kept_reading(library: Library, sha256: str) -> Callable[[], tuple[Reading, str]]:
    """The reading of that file as it stands now."""
    entry = load_reading_of(library, sha256)
    assert entry is not None
    assert entry.state is State.READY
    assert entry.seen_key is not None
    reading, key = load_whole(library, entry), entry.seen_key
    return lambda: (reading, key)


@pytest.mark.timeout(1800)  # it reads two clips, and each of its waits has its own limit
def test_four_weeks(weeks: Weeks) -> None:
    first_practice_and_how_it_felt(weeks)
    the_coach_answers(weeks)
    a_second_practice_and_then_a_full_week(weeks)
    a_film_from_the_wrong_place(weeks)
    four_weeks_later_it_is_there_and_real(weeks)
    there_on_a_second_day_and_the_next_cause(weeks)


def first_practice_and_how_it_felt(weeks: Weeks) -> None:
    weeks.at("04-07")
    page = weeks.phone()
    assert page.inner_text("h1") == weeks.lesson.title
    assert "Practice 1 of 8" in page.inner_text("#today-words")
    page.locator("[data-part=count]").first.tap()
    page.locator("#tick").tap()
    page.wait_for_selector("#today[data-kind=done]")
    page.fill("#felt-words", "Odd, as if I hardly turned.")
    page.locator("#felt button").tap()
    until(lambda: len(load_check_ins(weeks.desk.library, weeks.link.golfer)) == 1)
    weeks.clock.now = weeks.clock.now.replace(minute=1)
    page.clock.set_fixed_time(weeks.clock.now)
    page.evaluate("dispatchEvent(new Event('online'))")
    until(lambda: len(load_ticks(weeks.desk.library, weeks.link.golfer)) == 1)
    page.context.close()


def the_coach_answers(weeks: Weeks) -> None:
    weeks.at("04-08", 8)
    page = weeks.coach("/check-ins")
    assert "1 check-in to answer" in page.inner_text("h1")
    assert "Odd, as if I hardly turned." in page.inner_text("main")
    page.get_by_label("Answer").fill("Odd is right. It will feel short for a week.")
    page.get_by_role("button", name="Send").click()
    page.wait_for_selector("text=No check-in waits")
    page.close()
    weeks.at("04-08")
    phone = weeks.phone()
    phone.wait_for_selector("text=Odd is right.")
    assert phone.locator("#today").get_attribute("data-kind") == "rest"
    phone.context.close()


def a_second_practice_and_then_a_full_week(weeks: Weeks) -> None:
    """Two practices missed make the plan lighter, without a word of blame."""
    weeks.at("04-09")
    page = weeks.phone()
    page.locator("#tick").tap()
    page.wait_for_selector("#today[data-kind=done]")
    page.clock.set_fixed_time(weeks.clock.now.replace(minute=1))
    page.evaluate("dispatchEvent(new Event('online'))")
    until(lambda: len(load_ticks(weeks.desk.library, weeks.link.golfer)) == 2)
    page.context.close()
    weeks.at("04-17")
    page = weeks.phone()
    words = page.inner_text("#today")
    assert "about 8 minutes" in words
    assert "Weeks get full" in (page.text_content("#more") or "")
    assert load_lesson(weeks.desk.library, weeks.lesson.id).version == weeks.lesson.version + 1
    page.context.close()


def a_film_from_the_wrong_place(weeks: Weeks) -> None:
    weeks.at("04-20")
    page = weeks.phone()
    weeks.send(page, weeks.film(BEHIND, "behind.mp4"))
    page.wait_for_selector("[data-word='could not be seen']")
    told = page.inner_text("[data-word='could not be seen']")
    assert "from behind your hands" in told
    assert "Your clip is kept" in told
    page.context.close()


def four_weeks_later_it_is_there_and_real(weeks: Weeks) -> None:
    """Truly read: the app's worker finds the swing, the moments and the knee by itself."""
    weeks.at("05-04", 9)
    page = weeks.phone()
    assert page.locator("#today").get_attribute("data-kind") == "film"
    weeks.send(page, weeks.film(LATER, "later.mp4"))
    page.wait_for_selector("text=is being read")
    page.wait_for_selector("[data-word=there]")
    assert page.inner_text("[data-word=there] .word") == "You are there."
    page.wait_for_selector("[data-word=there] img")
    page.wait_for_selector("text=It has changed, and it is real.")
    page.context.close()
    course = weeks.desk.progress.standings.course(weeks.link.golfer)
    assert course.standing is not None
    assert course.standing.change is not None
    assert course.standing.change.verdict is Verdict.CHANGED
    coach = weeks.coach("/morning")
    assert "Really changed" in coach.inner_text("main")
    coach.close()


def there_on_a_second_day_and_the_next_cause(weeks: Weeks) -> None:
    weeks.at("05-07", 9)
    page = weeks.phone()
    weeks.send(page, weeks.film(NEXT, "again.mp4"))
    page.wait_for_selector("text=That is the second day on which it was there.")
    page.wait_for_selector("text=Your coach has the next thing for you.")
    page.context.close()
    course = weeks.desk.progress.standings.course(weeks.link.golfer)
    assert course.standing is not None
    assert course.standing.stage is Stage.NEXT
    assert course.standing.met_on == (date(2026, 5, 4), date(2026, 5, 7))
    assert course.next_cause is not None
    assert course.next_cause.name == "slide"
    coach = weeks.coach("/morning")
    assert golfer_of(weeks.desk).golfer.name in coach.inner_text("main")
    assert course.next_cause.title in coach.inner_text("main")
    coach.close()
