"""Clips in: one wrong file among many, the same one twice, nothing said of whose they are."""

from __future__ import annotations

import errno
import tempfile
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from causeline.store.library_clips import load_clips
from causeline.store.library_readings import ReadingBook
from causeline.web.desk import Desk
from tests.workbench import ROOT, coach_of, golfer_of

CLIP = (ROOT / "demo" / "clips" / "dara_2026-04-13_down_the_line.mp4").read_bytes()
JSON = {"accept": "application/json"}


def test_one_wrong_file_among_many_is_named_and_the_others_go_on(
    web: TestClient, scenario_desk: Desk
) -> None:
    dara = golfer_of(scenario_desk, "Dara Quill")
    files = [
        ("files", ("swing.mp4", CLIP, "video/mp4")),
        ("files", ("shopping list.mp4", b"milk, eggs", "video/mp4")),
        ("files", ("again.mp4", CLIP, "video/mp4")),
    ]
    answer = web.post("/in", data={"golfer": dara.id, "said": "I lose it"}, files=files)
    assert answer.status_code == 200
    assert "<b>shopping list.mp4</b> was not taken:" in answer.text
    assert "/tmp" not in answer.text
    assert "again.mp4 was here before" in answer.text
    (clip,) = load_clips(scenario_desk.library, dara.id)
    assert (clip.name, clip.said) == ("swing.mp4", "I lose it")


def test_a_file_sent_by_itself_is_told_with_how_far_it_is(
    web: TestClient, scenario_desk: Desk
) -> None:
    asked = {"name": "d.mp4", "new_golfer": "Wren Abbot", "view": "down-the-line", "club": "iron"}
    answer = web.post("/in/clips", params=asked, content=CLIP, headers=JSON)
    told = answer.json()
    assert told["clip"]["golfer"] == "Wren Abbot"
    assert told["clip"]["state"] == "waiting"
    assert any("frames a second" in advice for advice in told["clip"]["advice"])
    assert not told["same"]
    assert web.post("/in/clips", params=asked, content=CLIP, headers=JSON).json()["same"]
    assert web.get("/in/arrivals", headers=JSON).json()["clips"][0]["name"] == "d.mp4"
    assert web.get(told["clip"]["picture"]).headers["content-type"] == "image/jpeg"


def test_how_it_is_filmed_is_told_while_it_is_read(web: TestClient, scenario_desk: Desk) -> None:
    asked = {"name": "d.mp4", "new_golfer": "Wren Abbot"}
    web.post("/in/clips", params=asked, content=CLIP, headers=JSON)
    book = ReadingBook(scenario_desk.library)
    (waiting,) = book.waiting(9)
    entry = book.claim(waiting)
    assert entry is not None
    book.tell(entry, {"view": "down-the-line", "advice": ["The picture is too dark."]})
    (clip,) = web.get("/in/arrivals", headers=JSON).json()["clips"][:1]
    assert clip["advice"] == ["Seen down the line.", "The picture is too dark."]


def test_a_wrong_file_is_told_under_its_own_name(web: TestClient, scenario_desk: Desk) -> None:
    asked = {"name": "list.mp4", "golfer": golfer_of(scenario_desk).id}
    answer = web.post("/in/clips", params=asked, content=b"milk", headers=JSON)
    assert answer.status_code == 422
    assert "list.mp4" in answer.json()["came"]
    assert "causeline-in" not in answer.text


def test_whose_clips_they_are_has_to_be_said(web: TestClient) -> None:
    answer = web.post("/in/clips", params={"name": "d.mp4"}, content=CLIP, headers=JSON)
    assert answer.status_code == 422
    assert "without a golfer" in answer.json()["came"]


def test_another_coachs_golfer_is_nobodys(web: TestClient) -> None:
    asked = {"name": "d.mp4", "golfer": "f" * 32}
    assert web.post("/in/clips", params=asked, content=CLIP, headers=JSON).status_code == 404


def test_a_full_disk_is_told_and_nothing_is_lost(
    web: TestClient, scenario_desk: Desk, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    async def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("causeline.web.intake.fill", full)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    asked = {"name": "d.mp4", "golfer": golfer_of(scenario_desk).id}
    answer = web.post("/in/clips", params=asked, content=CLIP, headers=JSON)
    assert answer.status_code == 507
    assert "no room on the disk" in answer.json()["came"]
    assert list(tmp_path.glob("causeline-in-*")) == []


def test_the_page_shows_what_came_last(web: TestClient, scenario_desk: Desk) -> None:
    text = web.get("/in").text
    assert coach_of(scenario_desk).name in text  # her own swings
    assert "nell_2026-04-08_face_on.mp4" in text
    assert "/sheet/" in text
