"""Golfers: found, added, corrected by two at once, and their days in order."""

from __future__ import annotations

from fastapi.testclient import TestClient

from causeline.store.library_people import load_golfer, load_golfers
from causeline.web.desk import Desk
from tests.workbench import coach_of, golfer_of

FORM = {"name": "Wren Abbot", "hand": "left", "stature_cm": "171,5", "language": "de"}


def test_a_golfer_is_added_found_and_archived(web: TestClient, scenario_desk: Desk) -> None:
    at = web.post("/golfers/new", data=FORM).headers["location"]
    golfer = load_golfer(scenario_desk.library, at.rsplit("/", 1)[-1])
    assert golfer.golfer.stature_cm == 171.5
    assert "Wren Abbot" in web.get("/golfers", params={"named": "wren"}).text
    assert "Ivo" not in web.get("/golfers", params={"named": "wren"}).text
    saved = web.post(f"{at}/edit", data=FORM | {"version": "1", "archived": "true"})
    assert saved.status_code == 303
    assert "Archived (1)" in web.get("/golfers").text


def test_what_is_amiss_is_told_and_what_was_written_stays(web: TestClient) -> None:
    for change, told in (
        ({"name": " "}, "A name is missing"),
        ({"stature_cm": "tall"}, "is no height"),
        ({"junior": "true"}, "needs a guardian"),
        ({"time_zone": "Europe/Nowhere"}, "is no time zone"),
    ):
        answer = web.post("/golfers/new", data=FORM | {"note": "plays on Tuesdays"} | change)
        assert told in answer.text
        assert "plays on Tuesdays" in answer.text


def test_the_second_tab_loses_nothing(web: TestClient, scenario_desk: Desk) -> None:
    ivo = golfer_of(scenario_desk)
    at = f"/golfers/{ivo.id}/edit"
    first = FORM | {"name": "Ivo Lindgard", "note": "first", "version": "1"}
    assert web.post(at, data=first).status_code == 303
    answer = web.post(at, data=first | {"note": "second"})
    assert answer.status_code == 409
    assert "Somebody saved another version" in answer.text
    assert "second" in answer.text
    assert load_golfer(scenario_desk.library, ivo.id).note == "first"
    assert 'name="version" value="2"' in answer.text


def test_days_come_newest_first(web: TestClient, scenario_desk: Desk) -> None:
    text = web.get(f"/golfers/{golfer_of(scenario_desk).id}").text
    assert text.index("Monday 4 May 2026") < text.index("Monday 6 April 2026")
    assert "I have been trying to turn more" in text


def test_another_coachs_golfer_is_not_there(web: TestClient, scenario_desk: Desk) -> None:
    assert web.get(f"/golfers/{'f' * 32}").status_code == 404
    assert len(load_golfers(scenario_desk.library, coach_of(scenario_desk).id)) == 4
