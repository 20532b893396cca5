"""The coach's queue: what waits, what clips said, one line back that the golfer sees."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from fastapi.testclient import TestClient

from causeline.model.library import CheckIn, Coach, new_id
from causeline.store.library_people import save_coach, save_golfer
from causeline.store.library_practice import load_check_in, save_check_in
from causeline.web.app import serve_app
from causeline.web.desk import Desk
from tests.practising import a_link
from tests.workbench import asking, clip_of, golfer_of

NOW = datetime(2026, 4, 12, 9, 0, tzinfo=UTC)


def check_in(desk: Desk, clip: str = "", felt: str = "lighter", hours: int = 3) -> CheckIn:
    """One of Ivo's, with a clip of the scenario that was read."""
    desk.library.now = lambda: NOW
    _, link, entry = a_link(desk)
    clip_id = clip_of(desk, clip).id if clip else None
    sent = NOW - timedelta(hours=hours)
    return save_check_in(
        desk.library, CheckIn(new_id(), link.golfer, sent, entry.id, clip_id, felt)
    )


def test_what_waits_is_shown_with_what_its_clip_said(web: TestClient, scenario_desk: Desk) -> None:
    check_in(scenario_desk, "ivo_2026-05-04_down_the_line", "more <i>quiet</i>")
    page = web.get("/check-ins").text
    assert "1 check-in to answer" in page
    assert "waits 3 hours" in page
    assert "Could not be seen: filmed from the other place" in page
    assert "more &lt;i&gt;quiet" in page


def test_one_line_back_reaches_the_golfer(web: TestClient, scenario_desk: Desk) -> None:
    desk = scenario_desk
    desk.library.now = lambda: NOW
    root, link, entry = a_link(desk)
    one = save_check_in(desk.library, CheckIn(new_id(), link.golfer, NOW, entry.id, None, "odd"))
    web.get("/check-ins")
    told = {"answer": "Odd is right. Go on. ", "version": one.version}
    assert web.post(f"/check-ins/{one.id}/answer", data=told).status_code == 303
    assert "No check-in waits" in web.get("/check-ins").text
    (seen,) = web.get(f"{root}state").json()["check_ins"]
    assert (seen["answer"], seen["felt"]) == ("Odd is right. Go on.", "odd")


def test_an_answer_in_a_second_tab_loses_neither(web: TestClient, scenario_desk: Desk) -> None:
    one = check_in(scenario_desk)
    first, second = ({"answer": text, "version": one.version} for text in ("Good.", "Not so good."))
    assert web.post(f"/check-ins/{one.id}/answer", data=first).status_code == 303
    late = web.post(f"/check-ins/{one.id}/answer", data=second)
    assert late.status_code == 409
    assert "Not so good." in late.text
    assert "“Good.”" in late.text
    assert load_check_in(scenario_desk.library, one.id).answer == "Good."


def test_an_answer_written_while_the_clip_was_being_read_is_kept(
    web: TestClient, scenario_desk: Desk
) -> None:
    one = check_in(scenario_desk, "ivo_2026-05-04_down_the_line")
    web.get("/check-ins")  # tells what the clip says, which is a newer version
    told = {"answer": "Once more from the front.", "version": one.version}
    assert web.post(f"/check-ins/{one.id}/answer", data=told).status_code == 303
    kept = load_check_in(scenario_desk.library, one.id)
    assert kept.answer == "Once more from the front."
    assert (kept.outcome or {})["why"] == "filmed from the other place"


def test_another_coach_sees_and_answers_none_of_it(scenario_desk: Desk) -> None:
    one = check_in(scenario_desk)
    ivo = golfer_of(scenario_desk)
    other = save_coach(scenario_desk.library, Coach(new_id(), "Runa Veld"))
    mine = replace(one, id=new_id(), version=0)
    save_check_in(scenario_desk.library, mine)
    save_golfer(scenario_desk.library, replace(ivo, coach=other.id))
    with asking(serve_app(scenario_desk)) as coach:
        assert "No check-in waits" in coach.get("/check-ins").text
        answer = coach.post(f"/check-ins/{one.id}/answer", data={"answer": "x", "version": 1})
        assert answer.status_code == 404
    assert load_check_in(scenario_desk.library, one.id).answer == ""
