"""Lessons: written, edited by two at once, given other drills, looked at, sent, withdrawn."""

from __future__ import annotations

import re
import time
from dataclasses import replace

import pytest
from fastapi.testclient import TestClient

from causeline.model.lesson import Lesson, Part
from causeline.model.library import LessonEntry, Purpose
from causeline.store.library_consent import save_consent_withdrawn
from causeline.store.library_lessons import load_lesson, load_lesson_versions, load_link
from causeline.web.desk import Desk
from causeline.web.teaching import lesson_of
from tests.workbench import clip_of, golfer_of

WAIT_S = 240.0


@pytest.fixture
def at(web: TestClient, scenario_desk: Desk) -> str:
    """Address of the lesson of Ivo's first swing."""
    swing = f"{clip_of(scenario_desk, 'ivo_2026-04-06_face_on').id}.1"
    return str(web.post(f"/sheet/{swing}/lesson").headers["location"])


def _entry(desk: Desk, at: str) -> LessonEntry:
    return load_lesson(desk.library, at.rsplit("/", 1)[-1])


def _lesson(desk: Desk, at: str) -> Lesson:
    return lesson_of(_entry(desk, at))


def _form(lesson: Lesson, version: int, **texts: str) -> dict[str, str]:
    lines = {f"line.{line.id}": line.text for line in lesson.lines}
    return lines | {"version": str(version)} | {f"line.{k}": v for k, v in texts.items()}


def test_it_is_written_from_both_views_for_the_golfers_own_words(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    lesson = _lesson(scenario_desk, at)
    assert {ref.view.value for ref in lesson.swings} == {"face-on", "down-the-line"}
    assert lesson.golfer.said.startswith("I have been trying to turn more")
    assert lesson.golfer.name == "Ivo"
    text = web.get(at).text
    assert all(f'name="line.{line.id}"' in text for line in lesson.lines)


def test_words_are_edited_and_what_the_template_wrote_stays(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    lesson = _lesson(scenario_desk, at)
    form = _form(lesson, 1, **{"opening.hello": "Hello Ivo, good to see you swing."})
    assert web.post(at, data=form).headers["location"] == at
    line = _lesson(scenario_desk, at).line("opening.hello")
    assert line is not None
    assert line.text == "Hello Ivo, good to see you swing."
    assert line.written == lesson.line("opening.hello").text  # type: ignore[union-attr]
    others = [one for one in _lesson(scenario_desk, at).lines if one.id != "opening.hello"]
    assert all(one.written is None for one in others)


def test_a_strength_is_left_out(web: TestClient, scenario_desk: Desk, at: str) -> None:
    lesson = _lesson(scenario_desk, at)
    first, *rest = [line.id for line in lesson.part(Part.STRENGTHS)]
    keeps = {f"keep.shown.{name}": "1" for name in (first, *rest)}
    keeps |= {f"keep.{name}": "1" for name in rest}
    web.post(at, data=_form(lesson, 1) | keeps)
    assert [line.id for line in _lesson(scenario_desk, at).part(Part.STRENGTHS)] == rest


def test_of_two_tabs_neither_loses_a_word(web: TestClient, scenario_desk: Desk, at: str) -> None:
    lesson = _lesson(scenario_desk, at)
    web.post(at, data=_form(lesson, 1, **{"opening.hello": "First tab."}))
    answer = web.post(at, data=_form(lesson, 1, **{"opening.hello": "Second tab."}))
    assert answer.status_code == 409
    assert ">Second tab.</textarea>" in answer.text
    assert "Saved meanwhile:</b> First tab." in answer.text
    assert 'name="version" value="2"' in answer.text
    assert _lesson(scenario_desk, at).line("opening.hello").text == "First tab."  # type: ignore[union-attr]
    form = _form(lesson, 2, **{"opening.hello": "Second tab."})
    assert web.post(at, data=form).status_code == 303
    kept = load_lesson_versions(scenario_desk.library, at.rsplit("/", 1)[-1])
    assert [one.version for one in kept] == [1, 2, 3]


def test_other_drills_bring_their_own_plan_and_keep_the_coachs_words(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    lesson = _lesson(scenario_desk, at)
    page = web.get(at).text
    names = re.findall(r'name="drill" value="([^"]+)"', page)
    other = next(name for name in names if name not in {d.name for d in lesson.drills})
    form = _form(lesson, 1, **{"opening.hello": "Hello again."})
    answer = web.post(at, data=form | {"drills_shown": "1", "drill": other})
    assert answer.status_code == 303
    now = _lesson(scenario_desk, at)
    assert [drill.name for drill in now.drills] == [other]
    assert now.line("opening.hello").text == "Hello again."  # type: ignore[union-attr]
    assert all(session.drills == (other,) for session in now.sessions)
    assert now.id == lesson.id


def test_a_form_with_nothing_changed_changes_nothing(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    lesson = _lesson(scenario_desk, at)
    drills = {"drills_shown": "1", "drill": [drill.name for drill in lesson.drills]}
    web.post(at, data=_form(lesson, 1) | drills)
    assert _lesson(scenario_desk, at) == lesson


def test_what_was_struck_since_is_gone_when_it_is_composed_anew(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    swing = f"{clip_of(scenario_desk, 'ivo_2026-04-06_face_on').id}.1"
    rule = {"fault": "over_turn", "say": "absent", "reason": "it suits him"}
    web.post(f"/sheet/{swing}/rule", data=rule)
    assert _lesson(scenario_desk, at).cause == "over_turn"
    web.post(f"{at}/anew")
    assert _lesson(scenario_desk, at).cause != "over_turn"


def test_it_begins_where_the_coach_begins(web: TestClient, scenario_desk: Desk, at: str) -> None:
    swing = f"{clip_of(scenario_desk, 'ivo_2026-04-06_face_on').id}.1"
    chain = [link.name for link in _lesson(scenario_desk, at).chain]
    rule = {"fault": chain[-1], "say": "first", "reason": "he asked for it"}
    web.post(f"/sheet/{swing}/rule", data=rule)
    web.post(f"{at}/anew")
    assert _lesson(scenario_desk, at).cause == chain[-1]


def test_it_is_sent_by_a_link_that_can_be_withdrawn(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    text = web.post(f"{at}/send").text
    secret = re.search(r'value="http://127.0.0.1/g/([^/"]+)/"', text)
    assert secret is not None
    link = load_link(scenario_desk.library, secret[1])
    assert link.lesson == at.rsplit("/", 1)[-1]
    assert _entry(scenario_desk, at).sent_at is not None
    assert secret[1] not in web.get(at).text
    assert web.get(f"/g/{secret[1]}/").status_code == 200
    web.post(f"{at}/links/{link.id}/withdraw")
    assert web.get(f"/g/{secret[1]}/").status_code == 410


def test_without_consent_to_sharing_nothing_is_sent(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    ivo = golfer_of(scenario_desk)
    save_consent_withdrawn(scenario_desk.library, ivo.id, Purpose.SHARING)
    assert web.post(f"{at}/send").status_code == 403
    assert _entry(scenario_desk, at).sent_at is None


def test_the_preview_may_do_nothing_but_be_seen(web: TestClient, at: str) -> None:
    answer = web.get(f"{at}/preview")
    assert "sandbox" in answer.headers["content-security-policy"]
    assert "script-src" not in answer.headers["content-security-policy"]
    assert "Ivo" in answer.text


def test_page_and_print_are_made_in_the_background(
    web: TestClient, scenario_desk: Desk, at: str
) -> None:
    def quick(
        lesson: Lesson, views: object, references: object, report: object, *, film: bool
    ) -> dict[str, bytes]:
        made = {"lesson.html": b"<p>the page", "lesson.pdf": b"%PDF", "practice.ics": b"BEGIN"}
        return made | ({"swing.mp4": b"film"} if film else {})

    desk = replace(scenario_desk, lesson_files=quick)
    web.app.state.desk = desk  # type: ignore[attr-defined]
    web.post(f"{at}/files")
    ends = time.monotonic() + WAIT_S
    while (job := re.search(r'data-job="(\w+)"', web.get(at).text)) and time.monotonic() < ends:
        time.sleep(0.05)
    assert job is None
    assert web.get(f"{at}/files/lesson.pdf").content == b"%PDF"
    assert web.get(f"{at}/files/swing.mp4").headers["content-type"] == "video/mp4"
    assert web.get(f"{at}/files/passwords.txt").status_code == 404
