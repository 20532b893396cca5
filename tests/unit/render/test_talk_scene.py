"""The server's shapes are the browser's: the fixture is written by the front end's own test."""

from __future__ import annotations

import json
from pathlib import Path as File
from typing import Any

import numpy as np
import pytest

from causeline.model.talk import Layers
from causeline.render.talk_facts import Stature, SwingFacts, Tracked
from causeline.render.talk_measured import render_mark_number
from causeline.render.talk_scene import Area, Path, Ring, Shape, Sign, Text, render_shapes

FIXTURE = File(__file__).parents[3] / "frontend" / "fixtures" / "talk_scene.json"
FOUND: dict[str, Any] = json.loads(FIXTURE.read_text(encoding="utf-8"))
CLOSE_PX = 1e-5
"""The fixture has six decimals."""


def _numbers(values: Any) -> Any:
    return np.array([np.nan if one is None else one for one in values], dtype=float)


def _facts(stature: bool) -> SwingFacts:
    told = FOUND["facts"]
    points = {
        name: Tracked(
            np.array([_numbers(at) for at in one["xy"]]),
            _numbers(one["sd_px"]),
            _numbers(one["sure"]),
        )
        for name, one in told["points"].items()
    }
    return SwingFacts(
        width=told["clip"]["width"],
        height=told["clip"]["height"],
        frames=np.array(told["frames"], dtype=np.int64),
        points=points,
        moments={one["name"]: one["frame"] for one in told["moments"]},
        stature=Stature(**told["stature"]) if stature else None,
        touched={name: frozenset(frames) for name, frames in told["touched"].items()},
    )


def _check(shape: Shape, told: dict[str, Any]) -> None:
    kinds = {"path": Path, "area": Area, "ring": Ring, "sign": Sign, "text": Text}
    assert isinstance(shape, kinds[told["kind"]])
    assert shape.ink == told["ink"]
    if isinstance(shape, Path | Area):
        wanted = np.array([_numbers(at) for at in told["points"]]).reshape(-1, 2)
        np.testing.assert_allclose(shape.points, wanted, atol=CLOSE_PX)
    else:
        np.testing.assert_allclose(shape.at, _numbers(told["at"]), atol=CLOSE_PX)
    for name in ("width", "radius", "size", "form", "text"):
        if name in told:
            wanted = told[name]
            near = pytest.approx(wanted, abs=CLOSE_PX) if isinstance(wanted, float) else wanted
            assert getattr(shape, name) == near
    if isinstance(shape, Path):
        assert list(shape.dash) == told["dash"]


@pytest.mark.parametrize("case", FOUND["cases"], ids=range(len(FOUND["cases"])))
def test_the_shapes_are_the_browser_s(case: dict[str, Any]) -> None:
    layers = Layers(**case["layers"])
    facts = _facts(case["stature"])
    shapes = render_shapes(facts, case["frame"], case["mirrored"], layers, FOUND["marks"])
    assert len(shapes) == len(case["shapes"])
    for shape, told in zip(shapes, case["shapes"], strict=True):
        _check(shape, told)


def test_the_fixture_draws_every_kind_of_shape_and_of_mark() -> None:
    kinds = {one["kind"] for case in FOUND["cases"] for one in case["shapes"]}
    assert kinds == {"path", "area", "ring", "sign", "text"}
    texts = {one["text"] for case in FOUND["cases"] for one in case["shapes"] if "text" in one}
    assert any("±" in text for text in texts)
    assert {mark["kind"] for mark in FOUND["marks"]} == {
        "line", "arrow", "angle", "circle", "freehand", "text", "follow"
    }  # fmt: skip


@pytest.mark.parametrize(
    "mark",
    [
        {"id": "a", "kind": "line"},
        {"id": "a", "kind": "line", "spots": 7},
        {"id": "a", "kind": "line", "spots": [["x", 1]]},
        {"id": "a", "kind": "follow", "spots": [], "follow": []},
        {"id": "a", "kind": "spiral", "spots": [], "from": {}},
        {"id": "a", "kind": "line", "spots": [[1, 2], [3, 4]], "ink": "red"},
    ],
)
def test_a_mark_that_makes_no_sense_is_left_out(mark: dict[str, Any]) -> None:
    layers = Layers(body=False, club=False)
    assert (
        render_shapes(_facts(True), 20, False, layers, [mark, FOUND["marks"][0]])[0].ink == "ink0"
    )


def test_halves_are_rounded_as_in_the_browser() -> None:
    """ECMA-262, Number.prototype.toFixed: of two that are equally near, the larger."""
    facts = _facts(True)
    mark = {"kind": "line", "spots": [[0.0, 0.0], [1000.0, 0.0]]}
    assert render_mark_number(mark, facts, 20, False) == "0.0° ± 0.1"
