"""The sheet: rows, columns, what differs, the chain, and what a coach says of it."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest
from fastapi.testclient import TestClient
from PIL import Image

from causeline.model.clip import View
from causeline.model.library import Reference, State, Touch, new_id
from causeline.store.library_clips import load_judgements, save_reference
from causeline.store.library_readings import load_reading_of
from causeline.web.cells import CLEAR, row_of
from causeline.web.desk import Desk
from causeline.web.shelf import ShelfSwing, swing_seen
from tests.workbench import clip_of, coach_of

IVO, IVO_DTL, LATER = "ivo_2026-04-06_face_on", "ivo_2026-04-06_down", "ivo_2026-05-04_down"
SOUND = "reference_mid_iron_down"


def _swing(desk: Desk, name: str) -> ShelfSwing:
    return swing_seen(desk, coach_of(desk), f"{clip_of(desk, name).id}.1")


@pytest.fixture
def sound(scenario_desk: Desk) -> ShelfSwing:
    """The coach's sound swing, kept as a reference."""
    swing = _swing(scenario_desk, SOUND)
    coach = coach_of(scenario_desk)
    now = scenario_desk.library.now()
    save_reference(
        scenario_desk.library,
        Reference(
            new_id(), coach.id, swing.clip.id, 1, "Sound", now, view=View.DOWN_THE_LINE,
            club=swing.clip.club,
        ),
    )  # fmt: skip
    return swing


def test_this_swing_an_earlier_one_and_a_reference_stand_on_it(
    web: TestClient, scenario_desk: Desk, sound: ShelfSwing
) -> None:
    text = web.get(f"/sheet/{_swing(scenario_desk, LATER).name}").text
    titles = re.findall(r'class="row-title">(?:<a[^>]*>)?([^<]*)', text)
    assert titles == ["This swing", "Earlier", "Reference"]
    assert text.count('class="cell"') == 30
    assert sound.name in text


def test_rows_are_chosen_and_a_swing_from_elsewhere_is_left_out(
    web: TestClient, scenario_desk: Desk
) -> None:
    face, later = _swing(scenario_desk, IVO), _swing(scenario_desk, LATER)
    at = f"/sheet/{_swing(scenario_desk, IVO_DTL).name}"
    text = web.get(at, params={"rows": ["", face.name, later.name, "f" * 32 + ".1"]}).text
    assert re.findall(r'class="row-title">(?:<a[^>]*>)?([^<]*)', text) == ["This swing", "Later"]
    assert re.findall(r"class=\"row-title\">(?:<a[^>]*>)?([^<]*)", web.get(f"{at}?rows=").text) == [
        "This swing"
    ]


def test_only_what_is_clear_of_its_own_spread_is_marked(scenario_desk: Desk) -> None:
    first, later = _swing(scenario_desk, IVO_DTL), _swing(scenario_desk, LATER)
    row = row_of(later, "Later", "", first)
    one = next(each for each in row.differences.values() if each.ratio >= CLEAR)
    # Difference of two independent values: JCGM 100:2008 (GUM), 5.1.2.
    assert one.difference.sd == pytest.approx(np.hypot(one.a.sd, one.b.sd))
    assert abs(one.b.value - one.a.value) >= 2 * one.difference.sd


def test_each_still_is_the_frame_of_its_moment(web: TestClient, scenario_desk: Desk) -> None:
    swing = _swing(scenario_desk, IVO)
    top = web.get(f"/stills/{swing.name}/top.jpg")
    picture = Image.open(io.BytesIO(top.content))
    assert top.headers["content-type"] == "image/jpeg"
    assert picture.size[0] <= 520
    assert web.get(f"/stills/{swing.name}/impact.jpg").content != top.content
    assert web.get(f"/stills/{swing.name}/nonsense.jpg").status_code == 404


def test_a_fault_is_struck_with_a_reason_and_taken_back(
    web: TestClient, scenario_desk: Desk
) -> None:
    swing = _swing(scenario_desk, IVO)
    at = f"/sheet/{swing.name}"
    assert 'id="chain-over_turn"' in web.get(at).text
    form = {"fault": "over_turn", "say": "absent", "reason": "it suits him"}
    assert web.post(f"{at}/rule", data=form | {"reason": " "}).status_code == 422
    assert web.post(f"{at}/rule", data=form | {"fault": "vanity"}).status_code == 422
    assert web.post(f"{at}/rule", data=form).status_code == 303
    struck = web.get(at).text
    assert 'id="chain-over_turn"' not in struck
    assert "Over-turn is struck: it suits him" in struck
    (kept,) = load_judgements(scenario_desk.library, swing.clip.id)
    assert (kept.touch, kept.content["reason"]) == (Touch.RULING, "it suits him")
    assert web.post(f"{at}/unrule", data={"judgement": kept.id}).status_code == 303
    assert 'id="chain-over_turn"' in web.get(at).text


def test_the_coach_begins_elsewhere(web: TestClient, scenario_desk: Desk) -> None:
    at = f"/sheet/{_swing(scenario_desk, IVO).name}"
    form = {"fault": "over_the_top", "say": "first", "reason": "first things first"}
    web.post(f"{at}/rule", data=form)
    text = web.get(at).text
    begins = re.search(r'<article class="card \w+ begin" id="chain-(\w+)"', text)
    assert begins is not None
    assert begins[1] == "over_the_top"


def test_a_clip_that_is_not_read_yet_is_told(web: TestClient, scenario_desk: Desk) -> None:
    clip = clip_of(scenario_desk, IVO)
    entry = load_reading_of(scenario_desk.library, clip.sha256)
    assert entry is not None
    assert entry.state is State.READY
    for name in ("f" * 32 + ".1", f"{clip.id}.9", f"{clip.id}.x", clip.id):
        assert web.get(f"/sheet/{name}").status_code == 404
