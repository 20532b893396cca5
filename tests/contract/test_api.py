"""The JSON routes, asked whatever their own description allows (schemathesis, from OpenAPI).

No request may bring a page down, and what goes wrong is told in the app's words. Six sound
requests and six unsound ones to each route; `CAUSELINE_API_EXAMPLES` makes it more.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from typing import Any

import httpx2 as httpx
import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import response_schema_conformance

from causeline.store.library_people import load_coaches
from causeline.store.verify import load_findings
from causeline.web.app import serve_app
from causeline.web.desk import Desk
from causeline.web.guard import COOKIE, HEADER
from tests.workbench import TOKEN, clip_of, golfer_of, serving

EXAMPLES = int(os.environ.get("CAUSELINE_API_EXAMPLES", "6"))
ENDLESS = ("/events",)
"""Streams that go on for as long as somebody listens."""
ASKS = {HEADER: TOKEN, "accept": "application/json"}


@pytest.fixture
def served(scenario_desk: Desk) -> Iterator[tuple[str, Desk]]:
    """A real server on the scenario."""
    before = set(load_findings(scenario_desk.library).problems)  # of readings judged anew
    with serving(scenario_desk) as address:
        yield address, scenario_desk
    assert set(load_findings(scenario_desk.library).problems) <= before


def test_no_request_brings_a_route_down(served: tuple[str, Desk]) -> None:
    """Every JSON route, with ids that are there and with ids that are not."""
    address, desk = served
    told = serve_app(desk).openapi()
    schema = schemathesis.openapi.from_dict(told)
    clip, golfer = clip_of(desk, "ivo_2026-04-06_face_on"), golfer_of(desk)
    known = {"swing": f"{clip.id}.1", "clip": clip.id, "golfer": golfer.id}
    strange: list[str] = []
    asked = 0
    for result in schema.get_all_operations():
        operation = result.ok()  # type: ignore[union-attr]
        if operation.path.endswith(ENDLESS):
            continue
        asked += 1

        @settings(
            max_examples=EXAMPLES, deadline=None, database=None, phases=[Phase.generate],
            suppress_health_check=list(HealthCheck), derandomize=True,
        )  # fmt: skip
        def ask(case: Any) -> None:
            for name in case.path_parameters or {}:
                if name in known and len(str(case.path_parameters[name])) % 2 == 0:
                    case.path_parameters[name] = known[name]
            answer = case.call(base_url=address, headers=ASKS, cookies={COOKIE: TOKEN}, timeout=120)
            strange.extend(_strange(case, answer))

        _given(operation, ask)
    assert strange == []
    assert asked > 10


def _given(operation: Any, ask: Any) -> None:
    for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
        strategy = operation.as_strategy(generation_mode=mode)
        try:
            given(case=strategy)(ask)()
        except Exception as error:
            if (
                "impossible" not in str(error).lower()
                and "Unsatisfiable" not in type(error).__name__
            ):
                raise


def _strange(case: Any, answer: Any) -> Iterator[str]:
    """What is wrong with an answer; nothing for most."""
    where = f"{case.method} {case.formatted_path}: {answer.status_code}"
    if answer.status_code >= 500 and answer.status_code != 507:
        yield f"{where} {answer.text[:200]}"
    elif answer.status_code >= 400:
        if set(answer.json()) != {"came", "expected", "remedy"}:
            yield f"{where} {answer.text[:200]}"
    elif answer.status_code == 200 and "json" in answer.headers.get("content-type", [""])[0]:
        try:
            case.validate_response(answer, checks=(response_schema_conformance,))
        except Exception as error:  # noqa: BLE001 - whatever kind of failure it is
            yield f"{where} {str(error)[:300]}"


def test_of_eight_changes_at_once_one_is_saved_and_seven_are_told(
    served: tuple[str, Desk],
) -> None:
    """Two coaches, or two tabs, who change the same thing: nothing is overwritten unseen."""
    address, desk = served
    coach = load_coaches(desk.library)[0]
    start, told = threading.Barrier(8), []

    def change(number: int) -> None:
        data = {"name": f"Maren {number}", "version": str(coach.version)}
        with httpx.Client(
            base_url=address, headers=ASKS, cookies={COOKIE: TOKEN}, timeout=120
        ) as client:
            start.wait()
            told.append((client.post("/access/name", data=data).status_code, number))

    tabs = [threading.Thread(target=change, args=(number,)) for number in range(8)]
    for tab in tabs:
        tab.start()
    for tab in tabs:
        tab.join()
    assert sorted(status for status, _ in told) == [303] + [409] * 7
    (won,) = [number for status, number in told if status == 303]
    assert load_coaches(desk.library)[0].name == f"Maren {won}"
