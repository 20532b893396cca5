"""Health for who watches over a server: in known forms, and without a word about anybody."""

from __future__ import annotations

import io
import json
import logging
from collections.abc import Callable, Iterable, Iterator

import pytest
from prometheus_client import Metric
from prometheus_client.openmetrics.parser import text_string_to_metric_families
from starlette.testclient import TestClient

from causeline.errors import ClipError
from causeline.store.library_access import save_password
from causeline.store.library_lessons import save_lesson, save_link
from causeline.web.app import serve_app
from causeline.web.desk import Desk
from causeline.web.gate import Policy
from causeline.web.health import Lines
from tests.shelf import a_clip, a_coach, a_golfer, a_lesson
from tests.workbench import asking

KEY = "s" * 43
WORDS = "slow water over old stones"


@pytest.fixture
def lines() -> Iterator[io.StringIO]:
    """What is logged, in lines of JSON."""
    told, handler = io.StringIO(), logging.StreamHandler()
    handler.setStream(told)
    handler.setFormatter(Lines())
    root = logging.getLogger()
    level, before = root.level, root.handlers[:]
    root.handlers[:] = [handler]
    root.setLevel(logging.INFO)
    yield told
    root.handlers[:] = before
    root.setLevel(level)


def test_it_is_well_or_says_what_is_not(empty_web: TestClient, empty_desk: Desk) -> None:
    assert empty_web.get("/healthz").json() == {"state": "well", "wrong": []}
    empty_desk.library.vault.fs.rm(empty_desk.library.vault.root, recursive=True)
    answer = empty_web.get("/healthz")
    assert (answer.status_code, answer.json()["wrong"]) == (503, ["files"])


def test_metrics_are_in_the_form_that_its_own_parser_reads(empty_web: TestClient) -> None:
    """OpenMetrics 1.0, by the reference parser of prometheus-client."""
    empty_web.get("/golfers")
    empty_web.get("/golfers/" + "0" * 32)
    empty_web.get("/nowhere/at/all")
    answer = empty_web.get("/metrics")
    assert answer.headers["content-type"].startswith("application/openmetrics-text; version=1.0")
    parse: Callable[[str], Iterable[Metric]] = text_string_to_metric_families
    families = {each.name: each for each in parse(answer.text)}
    counted = {
        (each.labels["route"], each.labels["status"]): each.value
        for each in families["causeline_requests"].samples
        if each.name.endswith("_total")
    }
    assert counted["/golfers", "200"] == 1
    assert counted["nowhere", "404"] >= 1
    assert not any("0" * 32 in route for route, _ in counted)
    assert families["causeline_readings"].samples
    assert families["causeline_free_bytes"].samples[0].value > 0
    assert answer.text.endswith("# EOF\n")


def test_metrics_are_for_the_collector_and_for_administration(empty_desk: Desk) -> None:
    save_password(empty_desk.library, a_coach(empty_desk.library).id, WORDS)
    app = serve_app(empty_desk, policy=Policy(always=True, metrics_key="k" * 20))
    with asking(app) as browser:
        assert browser.get("/metrics").status_code == 401
        wrong = browser.get("/metrics", headers={"authorization": "Bearer " + "x" * 20})
        assert wrong.status_code == 401
        right = browser.get("/metrics", headers={"authorization": "Bearer " + "k" * 20})
        assert right.status_code == 200
        assert browser.get("/healthz").status_code == 200


def test_no_name_no_clip_no_secret_is_in_a_log(
    empty_desk: Desk, empty_web: TestClient, lines: io.StringIO
) -> None:
    library = empty_desk.library
    golfer = a_golfer(library, name="Ivo Lindgard")
    clip = a_clip(library, golfer)
    lesson = save_lesson(library, a_lesson(golfer), "coach")
    _, secret = save_link(library, golfer.id, lesson.id)
    asked = (
        "/golfers/" + golfer.id,
        f"/sheet/{clip}.1",
        "/lessons/" + lesson.id,
        "/Ivo%20Lindgard",
    )
    for at in (*asked, "/golfers?named=Ivo", f"/g/{secret}", f"/g/{secret}/x", "/welcome/" + KEY):
        empty_web.get(at)
    empty_web.post("/sign-in", data={"name": "Ivo Lindgard", "password": WORDS})
    try:
        raise ClipError("Ivo Lindgard's swing.mov cannot be read")
    except ClipError as error:
        logging.getLogger("causeline.x").warning("readings stand still: %s", error, exc_info=True)
    text = lines.getvalue()
    told = [json.loads(line) for line in text.splitlines()]
    requests = [each for each in told if each["event"] == "request"]
    assert len(requests) == 9
    assert {"at", "level", "event", "route", "method", "status", "ms"} <= set(requests[0])
    last = told[-1]
    assert (last["event"], last["error"]) == ("readings stand still: %s", "ClipError")
    assert last["where"][0].startswith("test_health.py:")
    for private in ("Ivo", "Lindgard", "swing.mov", secret, WORDS, golfer.id, clip, lesson.id, KEY):
        assert private not in text
