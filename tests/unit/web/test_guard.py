"""What stands before every route, checked against the OWASP cheat sheets on CSRF and on headers."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from causeline.web.guard import COOKIE, HEADER
from tests.workbench import TOKEN

FORM = {"theme": "dark", "back": "/golfers"}


@pytest.fixture
def bare(empty_web: TestClient) -> TestClient:
    """A browser that has no token in its header."""
    del empty_web.headers[HEADER]
    return empty_web


def test_every_answer_says_what_a_browser_may_do(empty_web: TestClient) -> None:
    for address in ("/golfers", "/nothing-here", "/assets/style.css", "/fonts/encode-sans.woff2"):
        headers = empty_web.get(address).headers
        assert "script-src 'self'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


def test_another_name_of_this_machine_is_refused(empty_web: TestClient) -> None:
    """A foreign page whose name was pointed at this machine (DNS rebinding) learns nothing."""
    answer = empty_web.get("/golfers", headers={"host": "swings.example:8017"})
    assert answer.status_code == 421
    assert "swings.example" in answer.text


@pytest.mark.parametrize("host", ["localhost:8017", "127.0.0.1", "[::1]:8017", "LOCALHOST"])
def test_names_of_the_loopback_are_answered(empty_web: TestClient, host: str) -> None:
    assert empty_web.get("/golfers", headers={"host": host}).status_code == 200


def test_a_change_needs_the_token(bare: TestClient) -> None:
    assert bare.post("/theme", data=FORM).status_code == 403
    assert bare.post("/theme", data={"token": "x" * 43, **FORM}).status_code == 403
    assert bare.post("/theme", data={**FORM, "token": TOKEN}).status_code == 403  # not first
    assert bare.post("/theme", data={"token": TOKEN, **FORM}).status_code == 303


def test_a_form_with_files_shows_its_token_first(bare: TestClient) -> None:
    files = {"token": (None, TOKEN), "theme": (None, "dark"), "back": (None, "/golfers")}
    assert bare.post("/theme", files=files).status_code == 303
    assert bare.post("/theme", files={**files, "token": (None, "y" * 43)}).status_code == 403


def test_a_new_browser_gets_a_token_and_cannot_choose_it(bare: TestClient) -> None:
    bare.cookies.clear()
    assert bare.post("/theme", data={"token": "", **FORM}).status_code == 403
    bare.cookies.set(COOKIE, "short")
    assert bare.post("/theme", data={"token": "short", **FORM}).status_code == 403
    bare.cookies.clear()
    given = bare.get("/golfers").headers["set-cookie"]
    assert "HttpOnly" in given
    assert "SameSite=Strict" in given


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://swings.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_another_sites_page_changes_nothing(empty_web: TestClient, headers: dict[str, str]) -> None:
    answer = empty_web.post("/theme", data=FORM, headers=headers)
    assert answer.status_code == 403
    assert "another site" in answer.text.lower()


def test_a_large_body_is_refused_by_its_length_and_by_what_comes(empty_web: TestClient) -> None:
    big = b"theme=" + b"x" * (3 * 2**20)
    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert empty_web.post("/theme", content=big, headers=kind).status_code == 413
    parts = iter([big[: 2**20], big[2**20 : 2 * 2**20], big[2 * 2**20 :]])
    answer = empty_web.post("/theme", content=parts, headers=kind)
    assert answer.status_code == 413
    assert "2 megabytes" in answer.text


def test_a_mistake_is_told_in_words_and_as_data(empty_web: TestClient) -> None:
    assert "nothing at this address" in empty_web.get("/no").text
    told = empty_web.get("/no", headers={"accept": "application/json"}).json()
    assert told["came"] == "there is nothing at this address"


def test_going_back_leads_nowhere_else(empty_web: TestClient) -> None:
    for back in ("//swings.example", "https://swings.example", "/\\swings.example"):
        answer = empty_web.post("/theme", data={"theme": "dark", "back": back})
        assert answer.headers["location"] == "/"


def test_only_the_faces_are_served_of_the_fonts_folder(empty_web: TestClient) -> None:
    assert empty_web.get("/fonts/encode-sans.woff2").status_code == 200
    assert empty_web.get("/fonts/print-text.ttf").status_code == 404
    assert empty_web.get("/fonts/../page.py").status_code == 404
