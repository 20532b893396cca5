from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from causeline.errors import LessonFileError
from causeline.findings.catalogue import FAULTS
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.model.drill import Drill
from causeline.store.drill_files import SHIPPED, load_drill, load_drills

DRILLS = load_drills()
SPECS = {spec.name: spec for spec in FULL_CATALOGUE}
NAMES = [drill.name for drill in DRILLS]
NAMED = {
    "feet_together": "swings with the feet together",
    "over_and_under": "a stick to swing over going back and under coming down",
    "ball_behind": "a second ball, knocked back at the start",
    "quiet_lead_knee": "the lead knee kept still",
    "hands_in_front": "half swings with the hands in front of the chest",
}


def test_there_are_at_least_thirty_and_the_five_that_were_named() -> None:
    assert len(DRILLS) >= 30
    assert set(NAMED) <= set(NAMES)


def test_every_fault_that_can_come_out_first_has_a_drill() -> None:
    treated = {fault for drill in DRILLS for fault in drill.treats}
    assert [fault.name for fault in FAULTS if fault.name not in treated] == []


@pytest.mark.parametrize("drill", DRILLS, ids=NAMES)
def test_a_drill_names_faults_and_measures_that_there_are(drill: Drill) -> None:
    assert set(drill.treats) <= {fault.name for fault in FAULTS}
    if drill.aim is None:
        return
    spec = SPECS[drill.aim.measure]
    assert drill.aim.unit == spec.unit
    assert drill.aim.view in spec.views
    assert (drill.aim.moment in spec.moments) if spec.moments else (drill.aim.moment is None)


@pytest.mark.parametrize("drill", DRILLS, ids=NAMES)
def test_only_what_video_does_not_show_goes_without_a_measure(drill: Drill) -> None:
    told = {fault.name for fault in FAULTS if not fault.signs}
    assert drill.aim is not None or drill.treats[0] in told | {"thin", "fat"}


@pytest.mark.parametrize("drill", DRILLS, ids=NAMES)
def test_a_drill_says_that_its_last_stage_holds_on_another_day(drill: Drill) -> None:
    assert "on two different days" in drill.stages[-1].move_on


@pytest.mark.parametrize("drill", [one for one in DRILLS if one.rotation], ids=lambda d: d.name)
def test_what_turns_the_back_has_a_caution(drill: Drill) -> None:
    assert drill.cautions


def test_sticks_that_stand_come_with_a_caution() -> None:
    standing = [
        drill for drill in DRILLS if any(mark.kind == "pole" for mark in drill.diagram.marks)
    ]
    assert standing
    assert [drill.name for drill in standing if not drill.cautions] == []


def test_sides_are_placeholders_never_left_and_right() -> None:
    body = r"\b(left|right) (foot|hand|arm|knee|hip|leg|shoulder|heel|elbow|side|ear|pocket)"
    for path in SHIPPED.glob("*.toml"):
        assert re.findall(body, path.read_text()) == [], path.name


def test_a_coach_adds_a_folder_and_may_stand_in_for_what_came(tmp_path: Path) -> None:
    own = (SHIPPED / "feet_together.toml").read_text()
    (tmp_path / "my_own.toml").write_text(own.replace("Feet together", "Mine") + "\n")
    (tmp_path / "feet_together.toml").write_text(own.replace("Feet together", "Ours"))
    found = {drill.name: drill.title for drill in load_drills(tmp_path)}
    assert found["my_own"] == "Mine"
    assert found["feet_together"] == "Ours"
    assert len(found) == len(DRILLS) + 1


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(LessonFileError, match="is not a folder"):
        load_drills(tmp_path / "none")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("title =", "titel ="), "titel"),
        (('place = "either"', 'place = "moon"'), "place"),
        (('moment = "top"', 'moment = "lunch"'), "moment"),
        (('cue = "', "cue = "), "TOML"),
    ],
)
def test_a_broken_drill_says_where(tmp_path: Path, change: tuple[str, str], told: str) -> None:
    path = tmp_path / "broken.toml"
    path.write_text((SHIPPED / "feet_together.toml").read_text().replace(*change, 1))
    with pytest.raises(LessonFileError, match=told):
        load_drill(path)


def test_a_huge_file_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    shutil.copy(SHIPPED / "feet_together.toml", path)
    with path.open("a") as file:
        file.write("#" * 200_000)
    with pytest.raises(LessonFileError, match="bytes"):
        load_drill(path)
