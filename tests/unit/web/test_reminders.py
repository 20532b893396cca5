"""A golfer words their reminders behind their link; the mail ends at one click, or one POST."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from causeline.model.library import Coach, GolferEntry, LessonEntry, Purpose, new_id
from causeline.store.library import Library, load_library
from causeline.store.library_consent import save_consent
from causeline.store.library_lessons import save_link
from causeline.store.library_people import save_coach
from causeline.store.library_reminders import load_mailing, load_reminders, save_mailing
from causeline.web.app import serve_app
from causeline.wiring_web import open_desk
from tests.kept_course import a_golfer_named, a_sent_lesson

NOW = datetime(2026, 4, 10, 9, tzinfo=UTC)
WORDS = {
    "cue": "I get home on Tuesday",
    "act": "I do ten swings <b>",
    "weekday": "1",
    "at": "18:30",
}


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    opened = load_library(tmp_path / "library", now=lambda: NOW)
    yield opened
    opened.close()


@pytest.fixture
def golfer(library: Library) -> tuple[GolferEntry, LessonEntry, str]:
    """A golfer with a lesson, and the address of their page."""
    coach = save_coach(library, Coach(new_id(), "Maren Oakes"))
    entry = a_golfer_named(library, coach.id, "Ivo Lindgard")
    save_consent(library, entry.id, Purpose.SHARING, "Ivo Lindgard")
    lesson = a_sent_lesson(library, entry)
    return entry, lesson, f"/g/{save_link(library, entry.id)[1]}/"


@pytest.fixture
def client(library: Library) -> Iterator[TestClient]:
    """A stranger's browser: no token, no cookie."""
    desk = open_desk(library)
    yield TestClient(serve_app(desk), base_url="http://127.0.0.1", follow_redirects=False)
    desk.jobs.stop()


def test_a_golfer_words_a_reminder_and_takes_it_back(
    client: TestClient, library: Library, golfer: tuple[GolferEntry, LessonEntry, str]
) -> None:
    entry, lesson, root = golfer
    assert client.post(f"{root}reminders", data=WORDS).headers["location"] == f"{root}reminders"
    page = client.get(f"{root}reminders").text
    assert "When I get home on Tuesday, then I do ten swings &lt;b&gt;." in page
    assert "Tuesday 18:30" in page
    (one,) = load_reminders(library, entry.id, lesson.id)
    assert f"UID:{one.id}@causeline" in client.get(f"{root}practice.ics").text
    assert client.post(f"{root}reminders/{one.id}/away").status_code == 303
    assert "STATUS:CANCELLED" in client.get(f"{root}practice.ics").text
    assert client.post(f"{root}reminders/{one.id}/away").status_code == 303
    assert load_reminders(library, entry.id, lesson.id) == ()


def test_without_words_nothing_is_kept_and_it_is_said(
    client: TestClient, library: Library, golfer: tuple[GolferEntry, LessonEntry, str]
) -> None:
    entry, lesson, root = golfer
    answer = client.post(f"{root}reminders", data={**WORDS, "act": "  "})
    assert "Please write both" in client.get(answer.headers["location"]).text
    assert load_reminders(library, entry.id, lesson.id) == ()


@pytest.mark.parametrize("wrong", [{"weekday": "8"}, {"at": "27:00"}, {"cue": "x" * 201}])
def test_what_no_form_of_ours_sends_is_refused(
    client: TestClient, golfer: tuple[GolferEntry, LessonEntry, str], wrong: dict[str, str]
) -> None:
    assert client.post(f"{golfer[2]}reminders", data={**WORDS, **wrong}).status_code == 422


def test_one_golfer_reaches_nothing_of_another(
    client: TestClient, library: Library, golfer: tuple[GolferEntry, LessonEntry, str]
) -> None:
    entry, lesson, root = golfer
    client.post(f"{root}reminders", data=WORDS)
    other = a_golfer_named(library, entry.coach, "Nell Tarrow")
    save_consent(library, other.id, Purpose.SHARING, "Nell Tarrow")
    a_sent_lesson(library, other)
    theirs = f"/g/{save_link(library, other.id)[1]}/"
    assert "ten swings &lt;b&gt;" not in client.get(f"{theirs}reminders").text
    (one,) = load_reminders(library, entry.id, lesson.id)
    client.post(f"{theirs}reminders/{one.id}/away")
    assert load_reminders(library, entry.id, lesson.id) == (one,)


def test_looking_at_the_link_stops_nothing(
    client: TestClient, library: Library, golfer: tuple[GolferEntry, LessonEntry, str]
) -> None:
    mailing = save_mailing(library, golfer[0].id, "ivo@example.org", "Ivo")
    assert "ivo@example.org" in client.get(f"/g/stop/{mailing.token}").text
    assert load_mailing(library, golfer[0].id) == mailing


def test_a_mail_program_stops_it_with_one_post(
    client: TestClient, library: Library, golfer: tuple[GolferEntry, LessonEntry, str]
) -> None:
    """RFC 8058, 3.2: a POST with that body, without cookies; it is not answered by a redirect."""
    mailing = save_mailing(library, golfer[0].id, "ivo@example.org", "Ivo")
    address = f"/g/stop/{mailing.token}"
    answer = client.post(address, data={"List-Unsubscribe": "One-Click"})
    assert answer.status_code == 200
    assert "Stopped" in answer.text
    assert load_mailing(library, golfer[0].id) is None
    assert client.post(address).status_code == 200
    assert client.get("/g/stop/no-such-token").status_code == 404
