"""The golfer's page behind its link: what it shows, what it takes, and whom it lets in."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from causeline.model.library import Attachment, CheckIn, Kind, Purpose, new_id
from causeline.store.lesson_file import load_lesson_dict
from causeline.store.library_clips import load_clip
from causeline.store.library_consent import save_consent, save_consent_withdrawn
from causeline.store.library_lessons import save_attachment, save_link_withdrawn
from causeline.store.library_people import load_golfer, save_golfer
from causeline.store.library_practice import load_check_ins, load_ticks, save_check_in
from causeline.web.app import serve_app
from causeline.web.desk import Desk
from causeline.web.practice_guest import nameless
from causeline.web.practice_limits import PracticeLimits
from causeline.web.rates import Rate
from tests.clips import Recipe, numbered_pictures, write_clip
from tests.practising import LESSON_DAY, a_link
from tests.workbench import ROOT, asking, clip_of, golfer_of

NOW = datetime(2026, 4, 9, 17, 0, tzinfo=UTC)
CLIP = ROOT / "demo" / "clips" / "ivo_2026-05-04_face_on.mp4"


@pytest.fixture
def desk(scenario_desk: Desk) -> Desk:
    """The scenario in the first week of practice."""
    scenario_desk.library.now = lambda: NOW
    return scenario_desk


@pytest.fixture
def phone(desk: Desk) -> Iterator[TestClient]:
    """A browser that knows nothing of the workbench."""
    with TestClient(serve_app(desk), base_url="http://127.0.0.1", follow_redirects=False) as client:
        yield client


def drawn(phone: TestClient, root: str) -> dict[str, Any]:
    """The state once the pictures are ready."""
    for _ in range(600):
        state: dict[str, Any] = phone.get(f"{root}state").json()
        if state["drawn"]:
            return state
        time.sleep(0.1)
    raise AssertionError("the pictures were not drawn within a minute")


def test_the_page_has_the_lesson_and_what_the_script_needs(desk: Desk, phone: TestClient) -> None:
    root, _, entry = a_link(desk)
    answer = phone.get(root)
    assert answer.status_code == 200
    lesson = load_lesson_dict(entry.content)
    for line in lesson.lines:
        if not line.id.startswith(("drills.1", "drills.2", "film.down")):
            assert _escaped(line.text) in answer.text, line.id
    data = json.loads(re.findall(r'id="data">(.*?)</script>', answer.text, re.DOTALL)[0])
    assert data["root"] == root
    assert len(data["state"]["sessions"]) == len(lesson.sessions)
    assert answer.headers["permissions-policy"].startswith("camera=(self), microphone=(self)")
    assert "'unsafe-inline'" not in answer.headers["content-security-policy"]
    assert answer.headers["referrer-policy"] in ("no-referrer", "same-origin")
    assert answer.headers["cache-control"] == "no-store"


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("'", "&#39;").replace('"', "&#34;")


def test_a_german_golfer_s_page_is_german(desk: Desk, phone: TestClient) -> None:
    root, *_ = a_link(desk, language="de")
    text = phone.get(root).text
    assert '<html lang="de">' in text
    assert "Filme dich" in text
    assert "Practice done" not in text


def test_its_pictures_are_the_golfer_s_own_frames(desk: Desk, phone: TestClient) -> None:
    root, *_ = a_link(desk)
    drawn(phone, root)
    sources = re.findall(r'<img src="([^"]+)"', phone.get(root).text)
    assert len(sources) >= 3
    assert all(source.startswith(f"{root}picture/") for source in sources)
    assert phone.get(sources[0]).content[:3] == b"\xff\xd8\xff"
    kept = phone.get(f"{root}kept").json()["addresses"]
    assert set(sources) <= set(kept)
    assert {phone.get(one).status_code for one in kept} == {200}
    whole = phone.get(f"{root}lesson.html").text
    assert whole.count("data:image/jpeg") >= 3


def test_withdrawn_it_is_gone_at_once_and_as_if_it_never_was(desk: Desk, phone: TestClient) -> None:
    root, link, _ = a_link(desk)
    assert phone.get(f"{root}state").status_code == 200
    save_link_withdrawn(desk.library, link.id)
    never = f"/g/{'x' * 32}/"
    for path in ("", "state", "kept", "worker.js", "picture/cause.evidence.0", "practice.ics"):
        told, unknown = phone.get(root + path), phone.get(never + path)
        assert (told.status_code, unknown.status_code) == (410, 410), path
        assert told.text == unknown.text
    assert phone.post(f"{root}words", json=_words("too late")).status_code == 410
    assert load_check_ins(desk.library, link.golfer) == ()


def test_saying_no_to_sharing_closes_every_link(desk: Desk, phone: TestClient) -> None:
    root, link, _ = a_link(desk)
    save_consent_withdrawn(desk.library, link.golfer, Purpose.SHARING)
    assert phone.get(root).status_code == 410


def _words(felt: str, name: str | None = None) -> dict[str, str]:
    return {"id": name or new_id(), "at": NOW.isoformat(), "felt": felt}


def test_ticks_and_words_come_twice_and_are_kept_once(desk: Desk, phone: TestClient) -> None:
    root, link, entry = a_link(desk)
    session = phone.get(f"{root}state").json()["sessions"][1]["uid"]
    tick = {"id": new_id(), "session": session, "at": (NOW - timedelta(hours=2)).isoformat()}
    words = _words("lighter, and <b>straight</b>")
    for _ in range(2):
        assert phone.post(f"{root}ticks", json=tick).status_code == 204
        assert phone.post(f"{root}words", json=words).status_code == 204
    (kept,) = load_ticks(desk.library, link.golfer, entry.id)
    assert (kept.session, kept.ticked_at) == (session, NOW - timedelta(hours=2))
    (said,) = load_check_ins(desk.library, link.golfer)
    assert said.felt == "lighter, and <b>straight</b>"
    state = phone.get(f"{root}state").json()
    assert [one["session"] for one in state["ticks"]] == [session]
    assert "<b>straight" not in phone.get(root).text


@pytest.mark.parametrize("hours", [-24 * 365, 5])
def test_a_phone_whose_clock_is_wrong_is_not_believed(
    desk: Desk, phone: TestClient, hours: int
) -> None:
    root, link, _ = a_link(desk)
    told = {**_words("x"), "at": (NOW + timedelta(hours=hours)).isoformat()}
    phone.post(f"{root}words", json=told)
    assert load_check_ins(desk.library, link.golfer)[0].sent_at == NOW


@pytest.mark.parametrize(
    ("path", "told", "status"),
    [
        ("words", {"felt": ""}, 422),
        ("words", {"felt": "x" * 2001}, 422),
        ("words", {"id": "../../etc"}, 422),
        ("ticks", {"session": "another lesson's"}, 404),
        ("ticks", {"at": "yesterday"}, 422),
    ],
)
def test_what_does_not_belong_is_refused(
    desk: Desk, phone: TestClient, path: str, told: dict[str, str], status: int
) -> None:
    root, link, _ = a_link(desk)
    sound = {**_words("x"), "session": "s"}
    assert phone.post(root + path, json={**sound, **told}).status_code == status
    assert load_check_ins(desk.library, link.golfer) == ()


def test_another_site_s_page_cannot_send_anything(desk: Desk, phone: TestClient) -> None:
    root, *_ = a_link(desk)
    headers = {"origin": "https://elsewhere.example"}
    assert phone.post(f"{root}words", json=_words("x"), headers=headers).status_code == 403


def test_a_clip_becomes_a_check_in_that_is_read(desk: Desk, phone: TestClient) -> None:
    root, link, entry = a_link(desk)
    name = new_id()
    asked = {"at": NOW.isoformat(), "felt": "good", "filmed": "2026-04-09", "file": "../a.mp4"}
    for _ in range(2):
        answer = phone.put(f"{root}clips/{name}", params=asked, content=CLIP.read_bytes())
        assert answer.status_code == 204
    (kept,) = load_check_ins(desk.library, link.golfer)
    assert (kept.felt, kept.lesson) == ("good", entry.id)
    (told,) = phone.get(f"{root}state").json()["check_ins"]
    assert told["clip"]
    assert told["reading"]
    assert told["word"] == ""


@pytest.mark.parametrize(("said", "day"), [(False, date(2026, 4, 7)), (True, date(2026, 4, 8))])
def test_the_film_s_own_day_goes_before_its_file_s_and_the_golfer_s_word_before_both(
    desk: Desk, phone: TestClient, tmp_path: Path, said: bool, day: date
) -> None:
    root, link, _ = a_link(desk)
    recipe = Recipe(tags={"creation_time": "2026-04-07T10:00:00Z"})
    film = write_clip(tmp_path / "a.mp4", numbered_pictures(4), recipe)
    asked = {"at": NOW.isoformat(), "filmed": "2026-04-08", "said": str(said).lower()}
    answer = phone.put(f"{root}clips/{new_id()}", params=asked, content=film.read_bytes())
    assert answer.status_code == 204
    (kept,) = load_check_ins(desk.library, link.golfer)
    assert load_clip(desk.library, str(kept.clip)).filmed_on == day


def test_what_is_no_film_is_refused_and_nothing_is_kept(desk: Desk, phone: TestClient) -> None:
    root, link, _ = a_link(desk)
    asked = {"at": NOW.isoformat()}
    answer = phone.put(f"{root}clips/{new_id()}", params=asked, content=b"GIF89a no film")
    assert answer.status_code == 415
    assert load_check_ins(desk.library, link.golfer) == ()


def test_a_read_clip_answers_the_checkpoint_alone(desk: Desk, phone: TestClient) -> None:
    """A clip that the library has read already, so that nothing is to be awaited."""
    root, link, entry = a_link(desk)
    _check_in_of(desk, "ivo_2026-05-04_down_the_line", link.golfer, entry.id)
    (told,) = phone.get(f"{root}state").json()["check_ins"]
    assert told["word"] == "could not be seen"
    assert "from behind your hands" in told["lines"][1]
    assert told["lines"][-1] == "Your clip is kept, and your coach can look at it."


def _check_in_of(desk: Desk, clip: str, golfer: str, lesson: str) -> CheckIn:
    one = CheckIn(new_id(), golfer, NOW, lesson, clip_of(desk, clip).id, "easier")
    return save_check_in(desk.library, one)


def test_that_is_not_me_is_kept_and_told(desk: Desk, phone: TestClient) -> None:
    root, link, entry = a_link(desk)
    one = _check_in_of(desk, "ivo_2026-04-06_face_on", link.golfer, entry.id)
    assert phone.post(f"{root}check-in/{one.id}/not-me").status_code == 204
    (told,) = phone.get(f"{root}state").json()["check_ins"]
    assert told["not_me"]


def test_nothing_of_one_golfer_is_reached_from_another_s_link(
    desk: Desk, phone: TestClient
) -> None:
    mine, _, my_lesson = a_link(desk)
    theirs, their_link, their_lesson = a_link(desk, "Nell Tarrow", day=date(2026, 4, 8))
    drawn(phone, theirs)
    one = _check_in_of(desk, "nell_2026-04-08_face_on", their_link.golfer, their_lesson.id)
    film = Attachment(
        new_id(), their_link.golfer, Kind.TALK_THROUGH, {"type": "video/mp4"}, NOW, their_lesson.id
    )
    save_attachment(desk.library, film, b"a film")
    session = phone.get(f"{theirs}state").json()["sessions"][0]["uid"]
    assert phone.get(f"{theirs}talk/{film.id}").content == b"a film"
    attempts = [
        phone.get(f"{mine}talk/{film.id}"),
        phone.get(f"{mine}check-in/{one.id}/picture"),
        phone.post(f"{mine}check-in/{one.id}/not-me"),
        phone.post(f"{mine}words", json=_words("overwritten", one.id)),
        phone.post(f"{mine}ticks", json={"id": new_id(), "session": session, "at": "2026-04-09"}),
    ]
    assert {answer.status_code for answer in attempts} <= {404, 422}
    assert load_check_ins(desk.library, their_link.golfer)[0].felt == "easier"
    own = phone.get(mine).text + phone.get(f"{mine}state").text + phone.get(f"{mine}kept").text
    for secret in ("Nell", their_lesson.id, their_link.golfer, one.id, film.id, session):
        assert secret not in own
    workbench = ["/golfers", f"/golfers/{their_link.golfer}", f"/lessons/{their_lesson.id}"]
    assert my_lesson.id not in "".join(phone.get(f"{mine}..{path}").text for path in workbench)


def test_a_junior_has_no_name_and_no_face_until_the_guardian_agrees(
    desk: Desk, phone: TestClient
) -> None:
    ivo = golfer_of(desk)
    child = replace(ivo, golfer=replace(ivo.golfer, junior=True), guardian="Ada Lindgard")
    child = save_golfer(desk.library, child)
    for purpose in (Purpose.ANALYSIS, Purpose.SHARING):
        save_consent(desk.library, child.id, purpose, "Ada Lindgard")
    root, _, entry = a_link(desk)
    film = Attachment(new_id(), child.id, Kind.TALK_THROUGH, {"type": "video/mp4"}, NOW, entry.id)
    save_attachment(desk.library, film, b"a film with a face")
    drawn(phone, root)
    veiled = phone.get(root).text
    calendar = phone.get(f"{root}practice.ics").text
    whole = re.sub(r"base64,[^\"')]+", "", phone.get(f"{root}lesson.html").text)
    assert re.findall(r".{20}\bIvo\b.{20}", veiled + calendar + whole) == []
    assert film.id not in veiled
    assert phone.get(f"{root}talk/{film.id}").status_code == 404
    hidden = phone.get(re.findall(r'<img src="([^"]+)"', veiled)[0]).content
    save_consent(desk.library, child.id, Purpose.FACE, "Ada Lindgard")
    drawn(phone, root)
    shown = phone.get(root).text
    assert "Ivo, thank you" in shown
    assert phone.get(re.findall(r'<img src="([^"]+)"', shown)[0]).content != hidden


def test_a_name_is_taken_out_wherever_it_stands(desk: Desk) -> None:
    _, link, entry = a_link(desk)
    lesson = load_lesson_dict(entry.content)
    named = replace(
        lesson,
        lines=tuple(replace(one, text=f"{one.text} Well done, Ivo!") for one in lesson.lines),
    )
    left = nameless(named)
    assert "Ivo" not in repr(replace(left, golfer=replace(left.golfer, said="")))
    assert left.lines[0].text.startswith("Thank you for your swing.")
    assert load_golfer(desk.library, link.golfer).golfer.name == "Ivo Lindgard"


def test_a_link_is_not_asked_without_end(desk: Desk) -> None:
    root, *_ = a_link(desk)
    app = serve_app(desk)
    app.state.practice_limits = PracticeLimits(Rate(5, 60), Rate(1, 60), Rate(3, 60))
    with TestClient(app, base_url="http://127.0.0.1") as phone:
        assert [phone.get(f"{root}state").status_code for _ in range(7)] == [200] * 5 + [429] * 2
        guesses = [phone.get(f"/g/{number:032d}/state").status_code for number in range(5)]
        assert guesses == [410] * 3 + [429] * 2


def test_the_workbench_s_cookie_opens_nothing_more(desk: Desk) -> None:
    """Who is signed in to the workbench sees through a link what a stranger sees."""
    root, *_ = a_link(desk)
    with asking(serve_app(desk)) as coach:
        assert coach.get(f"{root}state").json()["check_ins"] == []
        assert coach.get(f"/g/{'y' * 32}/state").status_code == 410


def test_days_and_states_are_the_lesson_s_own(desk: Desk, phone: TestClient) -> None:
    root, _, entry = a_link(desk)
    state = phone.get(f"{root}state").json()
    assert state["sessions"][0]["day"] == (LESSON_DAY + timedelta(days=1)).isoformat()
    assert state["version"] == entry.version
    calendar = phone.get(f"{root}practice.ics").text
    assert calendar.count("BEGIN:VEVENT") == len(state["sessions"]) + 1
