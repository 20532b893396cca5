"""A phone in the room: one page behind one secret, on a port of its own, while it is open."""

from __future__ import annotations

import re
import time
from typing import Any
from urllib.parse import urlsplit

import httpx2
import pytest
from fastapi.testclient import TestClient

from causeline.errors import SettingError
from causeline.store.library_clips import load_clips
from causeline.web.desk import Desk
from causeline.wiring_phone import NetworkPhone, own_host
from tests.workbench import ROOT, golfer_of

CLIP = (ROOT / "demo" / "clips" / "dara_2026-04-13_down_the_line.mp4").read_bytes()


@pytest.fixture
def address(web: TestClient, scenario_desk: Desk) -> str:
    """Where a phone can send Dara's clips now."""
    try:
        own_host()
    except SettingError:
        pytest.skip("this machine is on no network")
    answer = web.post("/in/phone", data={"golfer": golfer_of(scenario_desk, "Dara Quill").id})
    assert answer.status_code == 303
    opened = scenario_desk.phone.opened()
    assert opened is not None
    return opened.address


def test_nothing_listens_before_the_coach_says_so(scenario_desk: Desk, web: TestClient) -> None:
    assert scenario_desk.phone.opened() is None
    assert web.get("/in/phone.svg").status_code == 404


def test_a_phone_sends_a_clip_and_sees_nothing_else(
    web: TestClient, scenario_desk: Desk, address: str
) -> None:
    assert web.get("/in/phone.svg").headers["content-type"].startswith("image/svg+xml")
    with httpx2.Client(timeout=120) as phone:
        page = phone.get(address)
        token = re.search(r'name="token" value="([^"]+)"', page.text)
        assert page.status_code == 200
        assert token is not None
        assert "Quill" not in page.text
        files: list[tuple[str, Any]] = [
            ("token", (None, token[1])),
            ("files", ("mine.mp4", CLIP, "video/mp4")),
        ]
        assert "mine.mp4</b> has arrived" in phone.post(address, files=files).text
        at = urlsplit(address)
        for path in ("/golfers", "/in", "/in/arrivals", "/in/" + "x" * 22, "/assets/style.css"):
            assert phone.get(f"http://{at.netloc}{path}").status_code == 404
        without = {"files": ("mine.mp4", CLIP, "video/mp4")}
        assert phone.post(address, files=without).status_code == 403
    (clip,) = load_clips(scenario_desk.library, golfer_of(scenario_desk, "Dara Quill").id)
    assert clip.name == "mine.mp4"


def test_it_is_closed_and_a_new_one_has_a_new_secret(
    web: TestClient, scenario_desk: Desk, address: str
) -> None:
    web.post("/in/phone", data={"golfer": golfer_of(scenario_desk, "Dara Quill").id})
    opened = scenario_desk.phone.opened()
    assert opened is not None
    assert opened.address != address
    web.post("/in/phone/close")
    assert scenario_desk.phone.opened() is None
    for _ in range(600):
        try:
            httpx2.get(opened.address, timeout=1)
        except httpx2.TransportError:
            return
        time.sleep(0.05)
    pytest.fail("it still answers")


def test_it_closes_by_itself(web: TestClient, scenario_desk: Desk, address: str) -> None:
    phone = NetworkPhone(open_s=0.05)
    opened = scenario_desk.phone.opened()
    assert opened is not None
    phone.open(opened.golfer, lambda *_: web.app)  # type: ignore[arg-type]
    for _ in range(3000):
        if phone.opened() is None:
            return
        time.sleep(0.02)
    pytest.fail("it stays open")
