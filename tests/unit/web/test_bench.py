"""The bench's routes: what is told, kept, refused, set right and taken back."""

from __future__ import annotations

import time
from typing import Any

import pytest
from fastapi.testclient import TestClient

from causeline.store.library_clips import load_judgements
from causeline.web.desk import Desk
from tests.workbench import clip_of

JSON = {"accept": "application/json"}
IVO = "ivo_2026-04-06_face_on"
LINE = {
    "id": "m1",
    "kind": "line",
    "spots": [[10.5, 20], [0, 0, "lead_wrist"]],
    "text": "",
    "follow": None,
    "outline": [],
    "ink": 1,
    "from": "top",
    "to": None,
}


@pytest.fixture
def swing(scenario_desk: Desk) -> str:
    return f"{clip_of(scenario_desk, IVO).id}.1"


def _facts(web: TestClient, swing: str) -> dict[str, Any]:
    answer = web.get(f"/bench/{swing}/facts", headers=JSON)
    assert answer.status_code == 200
    told: dict[str, Any] = answer.json()
    return told


def test_what_is_told_of_a_swing(web: TestClient, swing: str) -> None:
    told = _facts(web, swing)
    reading = told["reading"]
    assert [moment["name"] for moment in reading["moments"]][:2] == ["address", "start"]
    assert len(reading["points"]["lead_wrist"]["x"]) == len(reading["numbers"])
    assert {"grip", "hosel", "head"} < set(reading["points"])
    assert reading["stature"]["cm"] == pytest.approx(181)  # demo/scenario.json
    assert told["marks"] == {"version": 0, "document": {"format": "causeline.marks/1", "marks": []}}


def test_the_frames_are_made_ready_and_come_in_parts(web: TestClient, swing: str) -> None:
    ends = time.monotonic() + 120
    film = _facts(web, swing)["film"]
    while film["address"] is None and time.monotonic() < ends:
        assert film["job"]["state"] in ("waiting", "working")
        time.sleep(0.2)
        film = web.get(f"/bench/{swing}/film", headers=JSON).json()
    numbers = film["numbers"]
    assert numbers == list(range(numbers[0], numbers[-1] + 1))
    assert film["seconds"] == pytest.approx([number / 60 for number in numbers], abs=1e-3)
    part = web.get(film["address"], headers={"range": "bytes=0-99"})
    assert (part.status_code, len(part.content)) == (206, 100)  # RFC 9110, 15.3.7
    assert part.headers["content-range"].startswith("bytes 0-99/")
    picture = web.get(f"/bench/{swing}/frames/3.jpg")
    assert picture.headers["content-type"] == "image/jpeg"
    assert web.get(f"/bench/{swing}/frames/99999.jpg", headers=JSON).status_code == 404


def test_marks_are_kept_and_an_older_page_overwrites_nothing(web: TestClient, swing: str) -> None:
    document = {"format": "causeline.marks/1", "marks": [LINE]}
    put = {"version": 0, "document": document}
    first = web.put(f"/bench/{swing}/marks", json=put, headers=JSON)
    assert first.json() == {"version": 1, "document": document}
    assert web.get(f"/bench/{swing}/marks", headers=JSON).json() == first.json()
    again = web.put(f"/bench/{swing}/marks", json=put, headers=JSON)
    assert again.status_code == 409
    assert "nothing was overwritten" in again.json()["expected"]
    assert _facts(web, swing)["marks"]["version"] == 1


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "drone"},
        {"spots": [[1]]},
        {"spots": [["a", 1]]},
        {"ink": -1},
        {"from": "lunch"},
        {"text": "x" * 500},
    ],
)
def test_what_is_no_mark_is_refused(web: TestClient, swing: str, wrong: dict[str, Any]) -> None:
    document = {"format": "causeline.marks/1", "marks": [{**LINE, **wrong}]}
    answer = web.put(
        f"/bench/{swing}/marks", json={"version": 0, "document": document}, headers=JSON
    )
    assert answer.status_code == 422
    assert _facts(web, swing)["marks"]["version"] == 0


def _point(told: dict[str, Any], name: str, frame: int) -> tuple[float, float]:
    reading = told["reading"]
    row = reading["numbers"].index(frame)
    point = reading["points"][name]
    return point["x"][row], point["y"][row]


def test_a_joint_an_end_of_the_club_and_a_moment_are_set_right_and_automatic_again(
    web: TestClient, swing: str, scenario_desk: Desk
) -> None:
    before = _facts(web, swing)
    top = next(each for each in before["reading"]["moments"] if each["name"] == "top")
    frame = top["frame"]
    at = f"/bench/{swing}/corrections"
    for touch, name in (("joint", "lead_knee"), ("club", "hosel")):
        x, y = _point(before, name, frame)
        asked = {"touch": touch, "name": name, "frame": frame, "x": x + 20, "y": y, "screen_px": 2}
        told = web.post(at, json=asked, headers=JSON).json()
        assert _point({"reading": told}, name, frame) == pytest.approx((x + 20, y), abs=0.02)
    asked = {"touch": "moment", "name": "top", "time_s": top["time_s"] - 0.05}
    told = web.post(at, json=asked, headers=JSON).json()
    moved = next(each for each in told["moments"] if each["name"] == "top")
    assert moved["by_hand"]
    assert moved["time_s"] == pytest.approx(top["time_s"] - 0.05)
    assert [(each["touch"], each["name"]) for each in told["touched"]] == [
        ("joint", "lead_knee"),
        ("club", "hosel"),
        ("moment", "top"),
    ]
    assert {each["by"] for each in told["touched"]} == {"Maren Oakes"}
    again = web.delete(f"{at}?name=lead_knee&frame={frame}", headers=JSON).json()
    assert [each["name"] for each in again["touched"]] == ["hosel", "top"]
    after = web.delete(at, headers=JSON).json()
    assert after == before["reading"]
    clip = clip_of(scenario_desk, IVO).id
    assert load_judgements(scenario_desk.library, clip) == ()


def test_a_left_handed_golfers_points_are_set_where_the_picture_shows_them(
    web: TestClient, scenario_desk: Desk
) -> None:
    """Their tracks are mirrored inside; what a hand sets is not."""
    swing = f"{clip_of(scenario_desk, 'nell_2026-04-08_face_on').id}.1"
    before = _facts(web, swing)
    assert before["left_handed"]
    frame = before["reading"]["moments"][4]["frame"]
    for touch, name in (("joint", "trail_elbow"), ("club", "grip")):
        x, y = _point(before, name, frame)
        asked = {"touch": touch, "name": name, "frame": frame, "x": x - 9, "y": y + 4}
        told = web.post(f"/bench/{swing}/corrections", json=asked, headers=JSON).json()
        assert _point({"reading": told}, name, frame) == pytest.approx((x - 9, y + 4), abs=0.02)


def test_the_same_point_set_twice_holds_once(web: TestClient, swing: str) -> None:
    frame = _facts(web, swing)["reading"]["numbers"][40]
    asked = {"touch": "joint", "name": "nose", "frame": frame, "x": 300.0, "y": 300.0}
    web.post(f"/bench/{swing}/corrections", json=asked, headers=JSON)
    told = web.post(f"/bench/{swing}/corrections", json={**asked, "x": 310.0}, headers=JSON).json()
    assert len(told["touched"]) == 1
    assert _point({"reading": told}, "nose", frame)[0] == pytest.approx(310.0)


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"touch": "joint", "name": "elbow", "frame": 40}, "a point"),
        ({"touch": "club", "name": "toe", "frame": 40}, "a point"),
        ({"touch": "joint", "name": "nose", "frame": 99999}, "a frame"),
        ({"touch": "moment", "name": "lunch", "time_s": 1.0}, "a moment"),
        ({"touch": "moment", "name": "top", "time_s": 99.0}, "an instant"),
    ],
)
def test_what_the_swing_does_not_have_cannot_be_set(
    web: TestClient, swing: str, asked: dict[str, Any], says: str
) -> None:
    answer = web.post(f"/bench/{swing}/corrections", json=asked, headers=JSON)
    assert answer.status_code == 422
    assert answer.json()["came"].startswith(says)


def test_moments_out_of_order_are_refused_and_nothing_is_kept(web: TestClient, swing: str) -> None:
    moments = {each["name"]: each for each in _facts(web, swing)["reading"]["moments"]}
    at, impact = f"/bench/{swing}/corrections", moments["impact"]["time_s"]
    first = {"touch": "moment", "name": "impact", "time_s": impact}
    assert web.post(at, json=first, headers=JSON).status_code == 200
    wrong = {"touch": "moment", "name": "top", "time_s": impact + 0.01}
    answer = web.post(at, json=wrong, headers=JSON)
    assert answer.status_code == 422
    assert "impact was set at" in answer.json()["came"]
    touched = _facts(web, swing)["reading"]["touched"]
    assert [each["name"] for each in touched] == ["impact"]


def test_others_to_set_beside_are_the_golfers_own_and_the_same_view_first(
    web: TestClient, swing: str
) -> None:
    others = web.get(f"/bench/{swing}/others", headers=JSON).json()
    assert swing not in [other["swing"] for other in others]
    views = [other["same_view"] for other in others]
    assert views == sorted(views, reverse=True)


def test_a_swing_that_is_not_there_is_told_so(web: TestClient, swing: str) -> None:
    for name in ("nobody.1", swing.replace(".1", ".9"), swing.replace(".1", ".x")):
        assert web.get(f"/bench/{name}/facts", headers=JSON).status_code == 404


def test_the_page_stands_without_a_script(web: TestClient, swing: str) -> None:
    page = web.get(f"/bench/{swing}?moment=top&beside={swing}").text
    assert f'data-swing="{swing}"' in page
    assert "needs JavaScript" in page
