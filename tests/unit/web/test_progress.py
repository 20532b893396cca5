"""The morning and a golfer's progress, as pages, as data, on paper; and what they may change."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from causeline.model.library import CheckIn, Coach, GolferEntry, LessonEntry, new_id
from causeline.store.lesson_file import load_lesson_dict
from causeline.store.library import Library, load_library
from causeline.store.library_lessons import load_lesson
from causeline.store.library_people import save_coach, save_golfer
from causeline.store.library_practice import save_check_in
from causeline.store.library_reminders import load_mailing
from causeline.web.app import serve_app
from causeline.wiring_web import open_desk
from tests.kept_course import (
    CHECK,
    MADE,
    a_golfer_named,
    a_read_clip,
    a_sent_lesson,
    ticked,
)
from tests.workbench import asking

BEFORE = (-9.6, -8.7, -9.0, -9.2, -8.5)
BETTER = (-6.4, -6.8, -7.0, -6.9, -6.4)
IN_BAND = (-5.6, -4.7, -5.0, -5.2, -4.5)
NOW = datetime(2026, 5, 4, 9, tzinfo=UTC)


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    opened = load_library(tmp_path / "library", now=lambda: NOW)
    yield opened
    opened.close()


@pytest.fixture
def coach(library: Library) -> Coach:
    return save_coach(library, Coach(new_id(), "Maren Oakes"))


@pytest.fixture
def client(library: Library, coach: Coach) -> Iterator[TestClient]:
    desk = open_desk(library)
    yield asking(serve_app(desk))
    desk.jobs.stop()


def _golfer(
    library: Library, coach: Coach, name: str, films: dict[int, tuple[float, ...]], done: int = 6
) -> tuple[GolferEntry, LessonEntry]:
    golfer = a_golfer_named(library, coach.id, name)
    lesson = a_sent_lesson(library, golfer)
    ticked(library, lesson, load_lesson_dict(lesson.content), range(done))
    for day, values in films.items():
        a_read_clip(library, golfer, MADE + timedelta(days=day), values)
    return golfer, lesson


def test_the_first_page_is_the_morning(client: TestClient) -> None:
    assert client.get("/").headers["location"] == "/morning"
    page = client.get("/morning")
    assert page.status_code == 200
    assert "No golfers yet" in page.text


def test_the_morning_says_who_and_why(client: TestClient, library: Library, coach: Coach) -> None:
    _golfer(library, coach, "Wanda Brill", {0: BEFORE, 22: IN_BAND, 24: IN_BAND})
    _golfer(library, coach, "Otis Fenn", {0: BEFORE, 22: BEFORE})
    pia, _ = _golfer(library, coach, "Pia Holm", {0: BEFORE}, done=1)
    save_check_in(library, CheckIn(new_id(), pia.id, NOW - timedelta(days=1), felt="A <b> knee"))
    page = client.get("/morning").text
    for words in (
        "Checked in, and wait for you", "A &lt;b&gt; knee", "Really changed", "Wanda Brill",
        "Not told apart yet, and why", "Otis Fenn", "could be chance",
    ):  # fmt: skip
        assert words in page
    assert page.index("Pia Holm") < page.index("Wanda Brill") < page.index("Otis Fenn")


def test_the_morning_as_table_and_as_data(
    client: TestClient, library: Library, coach: Coach
) -> None:
    _golfer(library, coach, "=Wanda", {0: BEFORE, 22: IN_BAND})
    rows = list(csv.DictReader(StringIO(client.get("/morning.csv").text)))
    assert rows[0]["golfer"] == "'=Wanda"
    assert rows[0]["verdict"] == "Changed"
    data = client.get("/morning.json").json()
    assert data["matters"][0]["matter"] == "really changed"
    assert data["golfers"][0]["lessons"][0]["change"]["difference"]["value"] == pytest.approx(4.0)


def test_a_golfers_page_shows_chart_verdict_and_practice(
    client: TestClient, library: Library, coach: Coach
) -> None:
    golfer, _ = _golfer(library, coach, "Wanda Brill", {0: BEFORE, 22: IN_BAND})
    page = client.get(f"/golfers/{golfer.id}/progress").text
    assert "progress-chart" in page
    assert "Changed" in page
    assert "6 of 8 practices done" in page
    assert client.get(f"/golfers/{golfer.id}/progress.json").json()["lessons"]
    assert client.get(f"/golfers/{golfer.id}/progress.csv").text.count("\n") == 2
    assert client.get(f"/golfers/{golfer.id}/progress.pdf").content.startswith(b"%PDF")


def test_who_has_no_lesson_has_a_page_too(
    client: TestClient, library: Library, coach: Coach
) -> None:
    golfer = a_golfer_named(library, coach.id, "Rufus Adler")
    assert "No lesson was sent yet" in client.get(f"/golfers/{golfer.id}/progress").text


def test_a_target_that_was_met_twice_moves_on_with_one_click(
    client: TestClient, library: Library, coach: Coach
) -> None:
    golfer, lesson = _golfer(library, coach, "Wanda Brill", {0: BEFORE, 22: BETTER, 24: BETTER})
    page = client.get(f"/golfers/{golfer.id}/progress").text
    assert "Move the target on" in page
    answer = client.post(f"/golfers/{golfer.id}/progress/{lesson.id}/further")
    assert answer.status_code == 303
    moved = load_lesson_dict(load_lesson(library, lesson.id).content)
    assert moved.checkpoint is not None
    assert moved.checkpoint.target > CHECK.target
    assert moved.sequence == 1
    assert moved.sessions[0].starts.date() == NOW.date() + timedelta(days=1)


def test_a_target_that_was_not_met_does_not_move(
    client: TestClient, library: Library, coach: Coach
) -> None:
    golfer, lesson = _golfer(library, coach, "Otis Fenn", {0: BEFORE, 22: BEFORE})
    answer = client.post(f"/golfers/{golfer.id}/progress/{lesson.id}/further")
    assert answer.status_code == 404
    assert load_lesson(library, lesson.id).version == lesson.version


def test_mail_begins_when_somebody_agreed_and_ends_with_a_click(
    client: TestClient, library: Library, coach: Coach
) -> None:
    golfer, _ = _golfer(library, coach, "Wanda Brill", {0: BEFORE})
    at = f"/golfers/{golfer.id}/mail"
    assert client.post(at, data={"address": "nowhere", "by": "Wanda"}).status_code == 422
    assert client.post(at, data={"address": "w@example.org", "by": " "}).status_code == 422
    assert client.post(at, data={"address": "w@example.org", "by": "Wanda"}).status_code == 303
    page = client.get(f"/golfers/{golfer.id}/progress").text
    assert "w@example.org" in page
    assert "Wanda agreed on 4 May 2026" in page
    assert client.post(f"{at}/stop").status_code == 303
    assert load_mailing(library, golfer.id) is None


def test_a_junior_needs_a_guardian(client: TestClient, library: Library, coach: Coach) -> None:
    golfer, _ = _golfer(library, coach, "Lia", {0: BEFORE})
    save_golfer(library, replace(golfer, golfer=replace(golfer.golfer, junior=True)))
    at = f"/golfers/{golfer.id}/mail"
    assert client.post(at, data={"address": "l@example.org", "by": "lia"}).status_code == 422
    assert client.post(at, data={"address": "m@example.org", "by": "Her mother"}).status_code == 303


def test_nothing_of_another_coachs_golfer_is_shown_or_changed(
    client: TestClient, library: Library, coach: Coach
) -> None:
    other = save_coach(library, Coach(new_id(), "Zed Other"))
    golfer, lesson = _golfer(library, other, "Somebody", {0: BEFORE, 22: IN_BAND})
    assert "Somebody" not in client.get("/morning").text
    for end in ("progress", "progress.json", "progress.csv", "progress.pdf"):
        assert client.get(f"/golfers/{golfer.id}/{end}").status_code == 404
    mine, _ = _golfer(library, coach, "Mine", {0: BEFORE})
    for path in (golfer.id, mine.id):  # nor by way of a golfer of one's own
        answer = client.post(f"/golfers/{path}/progress/{lesson.id}/lighter")
        assert answer.status_code == 404
