"""Which swing from the other side goes with a swing: told, said, taken back; both solved as one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from fastapi.testclient import TestClient

from causeline.errors import SettingError
from causeline.model.access import Make
from causeline.model.measures import Measure
from causeline.store.library_clips import load_pairings, save_clip_notes
from causeline.store.library_made import load_made_for
from causeline.store.library_removal import save_clip_removed
from causeline.web.both import best_of, together
from causeline.web.desk import Desk
from causeline.web.pairs import pair, pairing_of, unpair
from causeline.web.shelf import ShelfSwing, swing_seen
from tests.workbench import clip_of, coach_of

IVO, IVO_DTL, LATER = "ivo_2026-04-06_face_on", "ivo_2026-04-06_down", "ivo_2026-05-04_down"
NELL = "nell_2026-04-08_face_on"


def _swing(desk: Desk, name: str) -> ShelfSwing:
    return swing_seen(desk, coach_of(desk), f"{clip_of(desk, name).id}.1")


def _partner(desk: Desk, swing: ShelfSwing) -> str:
    return pairing_of(desk, coach_of(desk), swing).name


def _spreads(swing: ShelfSwing) -> dict[tuple[str, object], float]:
    known = swing.shown.swing.measures
    return {(one.name, one.moment): one.sd for one in known if isinstance(one, Measure)}


def test_one_clip_from_each_side_of_a_day_goes_together_and_is_solved_as_one(
    scenario_desk: Desk,
) -> None:
    face, behind = _swing(scenario_desk, IVO), _swing(scenario_desk, IVO_DTL)
    assert _partner(scenario_desk, face) == behind.name
    assert _partner(scenario_desk, behind) == face.name
    assert _partner(scenario_desk, _swing(scenario_desk, LATER)) == ""
    found = together(scenario_desk, coach_of(scenario_desk), face)
    assert [one.name for one in found.views] == [face.name, behind.name]
    assert found.second is not None
    assert found.second.sha256 == behind.clip.sha256
    # A second look narrows what one camera hardly sees: depth, and so the turns.
    alone, both = _spreads(face), _spreads(found.views[0])
    turns = [key for key in alone if key in both and "turn" in key[0]]
    assert turns
    assert sum(both[key] for key in turns) < sum(alone[key] for key in turns)


def test_the_coach_says_that_none_is_the_same_and_takes_it_back(
    web: TestClient, scenario_desk: Desk
) -> None:
    face, behind = _swing(scenario_desk, IVO), _swing(scenario_desk, IVO_DTL)
    at = f"/sheet/{face.name}"
    assert "One body from both sides" in web.get(at).text
    assert web.post(f"{at}/pair", data={"other": ""}).status_code == 303
    text = web.get(at).text
    assert "Judged by itself." in text
    assert "Judged face-on." in text
    assert _partner(scenario_desk, behind) == ""
    assert best_of(scenario_desk, coach_of(scenario_desk), face) is face
    assert web.post(f"{at}/unpair").status_code == 303
    assert "One body from both sides" in web.get(at).text
    assert load_pairings(scenario_desk.library, face.golfer.id) == ()


def test_a_swing_goes_with_one_other_at_most(scenario_desk: Desk) -> None:
    coach = coach_of(scenario_desk)
    face, behind = _swing(scenario_desk, IVO), _swing(scenario_desk, IVO_DTL)
    later = _swing(scenario_desk, LATER)
    pair(scenario_desk, coach, face, later.name)
    partners = [_partner(scenario_desk, one) for one in (face, later, behind)]
    assert partners == [later.name, face.name, ""]
    pair(scenario_desk, coach, behind, face.name)
    partners = [_partner(scenario_desk, one) for one in (face, behind, later)]
    assert partners == [behind.name, face.name, ""]
    unpair(scenario_desk, face)
    assert _partner(scenario_desk, face) == behind.name  # as the clips tell


@pytest.mark.parametrize("other", [NELL, IVO])
def test_a_swing_that_cannot_be_the_same_is_refused(scenario_desk: Desk, other: str) -> None:
    face, wrong = _swing(scenario_desk, IVO), _swing(scenario_desk, other)
    with pytest.raises(SettingError, match="other side"):
        pair(scenario_desk, coach_of(scenario_desk), face, wrong.name)
    assert load_pairings(scenario_desk.library, face.golfer.id) == ()


def test_of_two_that_could_be_it_none_is_taken_that_lasts_otherwise(
    web: TestClient, scenario_desk: Desk
) -> None:
    face, behind = _swing(scenario_desk, IVO), _swing(scenario_desk, IVO_DTL)
    later = _swing(scenario_desk, LATER)
    save_clip_notes(scenario_desk.library, replace(later.clip, filmed_on=date(2026, 4, 6)))
    found = pairing_of(scenario_desk, coach_of(scenario_desk), face)
    assert {one.name for one in found.choices} == {behind.name, later.name}
    assert found.name in ("", behind.name)
    if found.unsure:
        assert "Which swing from the other side" in web.get(f"/sheet/{face.name}").text


def test_what_was_solved_from_two_clips_goes_with_either(scenario_desk: Desk) -> None:
    library = scenario_desk.library
    face, behind = _swing(scenario_desk, IVO), _swing(scenario_desk, IVO_DTL)

    def solved() -> list[str]:
        made = load_made_for(library, golfer=face.golfer.id)
        return [one.key for one in made if one.kind is Make.READING]

    assert len(solved()) == 2
    save_clip_removed(library, behind.clip.id, "Maren Oakes")
    assert solved() == []
