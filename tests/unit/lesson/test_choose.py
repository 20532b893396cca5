from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest

from causeline.findings.catalogue import FAULTS as CATALOGUE
from causeline.lesson.choose import compose_choice
from causeline.lesson.compose import compose_lesson
from causeline.lesson.faults import FLIGHT
from causeline.lesson.voice import Voice
from causeline.model.clip import View
from causeline.model.drill import Aim, Drill
from causeline.model.findings import Findings, Role
from causeline.model.lesson import Back, Golfer
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName as M
from causeline.model.words import Words
from causeline.store.drill_files import load_drills
from tests.unit.lesson.drills import a_drill
from tests.unit.lesson.swings import BEHIND, FACE_ON, KNEE, brief, finding, over_turned

VOICE = Voice(Words(), Golfer(), stature_cm=180.0)
SHIPPED = load_drills()
Seen = Mapping[View, Sequence[Measure | Refusal]]
CAUSE = over_turned().findings[0]


def _seen(*values: Measure) -> Seen:
    return {FACE_ON: values, BEHIND: ()}


def _knee(value: float, sd: float = 0.5) -> Measure:
    return Measure("lead_knee_toward_target_percent", M.TOP, value, sd, "% of stature", "")


def _with_aim(name: str, aim: Aim | None, *treats: str) -> Drill:
    return replace(a_drill(name), aim=aim, treats=treats or ("over_turn",))


ARM = Aim("lead_arm_angle", M.TOP, FACE_ON, "°", None, 139.0)


def test_the_drill_whose_aim_is_furthest_out_comes_first() -> None:
    arm, knee = _with_aim("arm", ARM), replace(a_drill("knee"), treats=("over_turn",))
    seen = _seen(_knee(-9.0), Measure("lead_arm_angle", M.TOP, 141.0, 4.0, "°", ""))
    choice = compose_choice(VOICE, CAUSE, over_turned(), [arm, knee], seen)
    assert [drill.name for drill in choice.drills] == ["knee", "arm"]
    assert choice.checkpoint is not None
    assert choice.checkpoint.measure == "lead_knee_toward_target_percent"


def test_where_nothing_was_measured_the_one_made_for_it_comes_first() -> None:
    drills = [_with_aim("aside", ARM, "sway", "over_turn"), _with_aim("made_for_it", ARM)]
    choice = compose_choice(VOICE, CAUSE, over_turned(), drills, _seen())
    assert choice.drills[0].name == "made_for_it"
    assert choice.checkpoint is None


def test_later_comes_a_drill_for_the_first_effect() -> None:
    drills = [_with_aim("now", ARM), _with_aim("next", ARM, "lead_knee_running_in")]
    choice = compose_choice(VOICE, CAUSE, over_turned(), drills, _seen())
    assert choice.later is not None
    assert choice.later.name == "next"


def test_the_ends_of_a_band_are_those_that_the_evidence_names() -> None:
    """A drill's own ends are for every club; the findings know which one was swung."""
    shown = replace(KNEE, low=-7.0)
    knee = finding("over_turn", Role.CAUSE, (shown,))
    drill = replace(a_drill(), treats=("over_turn",))
    choice = compose_choice(VOICE, knee, Findings((knee,), (), ()), [drill], _seen(_knee(-9.0)))
    assert choice.checkpoint is not None
    assert (choice.checkpoint.low, choice.checkpoint.high) == (-7.0, None)


def test_a_checkpoint_inside_its_band_is_no_checkpoint() -> None:
    choice = compose_choice(VOICE, CAUSE, over_turned(), [a_drill()], _seen(_knee(-3.0)))
    assert choice.drills
    assert choice.checkpoint is None


def test_a_direction_is_counted_in_the_turn_of_its_band() -> None:
    """The shaft at the top: -60° is 300°, 24° beyond the band's 276°."""
    aim = Aim("shaft_angle", M.TOP, FACE_ON, "°", None, 276.0)
    shaft = Measure("shaft_angle", M.TOP, -60.0, 3.0, "°", "")
    choice = compose_choice(VOICE, CAUSE, over_turned(), [_with_aim("x", aim)], _seen(shaft))
    assert choice.checkpoint is not None
    assert choice.checkpoint.now.value == pytest.approx(300.0)
    assert 276.0 <= choice.checkpoint.target < 300.0


@pytest.mark.parametrize("back", list(Back))
@pytest.mark.parametrize("cause", [fault.name for fault in CATALOGUE if fault.name not in FLIGHT])
def test_every_cause_makes_a_whole_lesson(cause: str, back: Back) -> None:
    """Nothing measured of it: the drills are there all the same, and the golfer counts."""
    findings = Findings((finding(cause, Role.CAUSE),), (), ())
    lesson = compose_lesson(brief(Golfer("Ivo", back=back), findings, SHIPPED), Words())
    assert lesson.cause == cause
    assert lesson.drills or back is Back.TROUBLED
    assert all(cause in drill.treats for drill in lesson.drills)
    assert not (back is Back.TROUBLED and any(drill.rotation for drill in lesson.drills))
    headline = lesson.line("cause.headline")
    assert headline is not None
    assert len(headline.text) <= 70
    if lesson.drills:
        assert lesson.sessions
        assert lesson.film_again > lesson.sessions[-1].starts.date()


def test_a_troubled_back_finds_a_drill_for_every_cause() -> None:
    bare = [
        fault.name
        for fault in CATALOGUE
        if not any(fault.name in drill.treats and not drill.rotation for drill in SHIPPED)
    ]
    assert bare == []
