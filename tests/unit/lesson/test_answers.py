from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.findings.bands import BANDS
from causeline.findings.catalogue import FAULTS as CATALOGUE
from causeline.lesson.answers import compose_understood
from causeline.lesson.compose import compose_lesson
from causeline.lesson.faults import COMING_DOWN, FAULTS, FLIGHT
from causeline.lesson.intents import INTENTS, NOT
from causeline.lesson.strengths import STRENGTHS, Strength
from causeline.lesson.telling import CLAUSES, compose_base
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.model.clip import Hand
from causeline.model.findings import ClubSort, Findings, Role
from causeline.model.lesson import Back, Golfer, Lesson
from causeline.model.moments import MomentName
from causeline.model.words import Words
from tests.unit.lesson.drills import a_drill
from tests.unit.lesson.swings import KNEE, brief, finding, over_turned

_TURNED = list(MomentName).index(MomentName.ARM_LEVEL_DOWN)


def _intents(said: str, hand: Hand = Hand.RIGHT, language: str = "en") -> set[str]:
    return {one.name for one in compose_understood(said, hand, language).intents}


def _lesson(said: str, findings: Findings | None = None) -> Lesson:
    return compose_lesson(brief(Golfer("Ivo", said=said), findings), Words())


def _answer(lesson: Lesson, name: str) -> str:
    line = lesson.line(f"answer.{name}")
    assert line is not None, [one.id for one in lesson.lines]
    return line.text


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("I have been trying to turn more, and I hit it left and fat.",
         {"turn_more", "starts_lead", "fat"}),
        ("I feel I sway back. I was asked to keep my hips where they are.", {"sway"}),
        ("I lose my posture coming down.", {"posture"}),
        ("Working on a bigger shoulder turn", {"turn_more"}),
        ("I slice everything and top it", {"slice", "thin"}),
        ("My ball starts right, then hooks", {"starts_trail", "hook"}),
        ("I come over the top and take deep divots", {"over_the_top", "steep"}),
        ("I want more distance", {"distance"}),
        ("I want to hit it further", {"distance"}),
        ("My tempo is too quick", {"tempo"}),
        ("I cannot get my weight to the lead foot", {"weight"}),
        ("I keep casting the club", {"release"}),
        ("I take the club too far inside", {"inside"}),
        ("keeping my left arm straight", {"lead_arm"}),
        ("I hit it left with a bent arm", {"starts_lead", "lead_arm"}),
        ("I overswing", {"turn_less"}),
        ("My coach told me to coil more", {"turn_more"}),
        ("I can't stop swaying off the ball", {"sway"}),
        ("I'm losing my spine angle", {"posture"}),
        ("I hit behind it a lot", {"fat"}),
        ("I fall back through impact", {"weight"}),
        ("I want to shorten my swing", {"turn_less"}),
    ],
)  # fmt: skip
def test_what_golfers_say_is_understood(said: str, wanted: set[str]) -> None:
    assert _intents(said) >= wanted


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("Ich versuche mehr aufzudrehen, und der Ball geht nach links.",
         {"turn_more", "starts_lead"}),
        ("Ich treffe fett und toppe den Ball.", {"fat", "thin"}),
        ("Ich slice und komme von außen.", {"slice", "over_the_top"}),
        ("Mein Gewicht bleibt hinten.", {"weight"}),
        ("Ich verliere im Abschwung die Haltung.", {"posture"}),
    ],
)  # fmt: skip
def test_and_in_german(said: str, wanted: set[str]) -> None:
    assert _intents(said, language="de") >= wanted


def test_left_means_another_side_for_a_left_hander() -> None:
    assert "starts_lead" in _intents("I hit it left", Hand.RIGHT)
    assert "starts_trail" in _intents("I hit it left", Hand.LEFT)


def test_the_left_arm_is_no_ball_to_the_left() -> None:
    assert "starts_lead" not in _intents("Is it my left arm?")


@pytest.mark.parametrize(
    "said", ["I do not slice", "I no longer sway", "I never hit it fat", "I stopped swaying"]
)
def test_what_is_said_with_not_goes_to_the_coach(said: str) -> None:
    understood = compose_understood(said, Hand.RIGHT, "en")
    assert understood.intents == ()
    assert understood.not_understood == (said,)


@pytest.mark.parametrize(
    "said",
    ["My dog ate my tee.", "Nothing in particular", "I play on Sundays with my wife", "???", "42"],
)
def test_unknown_words_go_to_the_coach_and_nothing_is_invented(said: str) -> None:
    lesson = _lesson(said)
    answers = [line for line in lesson.lines if line.id.startswith("answer.")]
    assert {line.id for line in answers} <= {"answer.said", "answer.coach"}
    if re.search(r"[^\W]", said):
        assert any("Please answer yourself" in note for note in lesson.for_coach)


def test_nothing_said_needs_no_answer() -> None:
    assert not [line for line in _lesson("").lines if line.id.startswith("answer")]


def test_what_the_golfer_felt_as_the_cause_is_said_so() -> None:
    findings = Findings((finding("sway", Role.CAUSE),), (), ())
    assert "You felt the right thing" in _answer(_lesson("I sway", findings), "sway")


def test_an_effect_is_true_and_left_alone() -> None:
    text = _answer(_lesson("Coming over the top"), "over_the_top")
    assert "You are right that your shoulders start down first" in text
    assert "leave this alone for now" in text
    assert "you turn further than your left side can hold" in text


def test_what_was_measured_and_is_sound_is_said_with_its_number() -> None:
    text = _answer(_lesson("My tempo is too fast"), "tempo")
    assert "3.0 times as long" in text
    assert "Nothing is wrong with that" in text


def test_what_the_ball_does_is_tied_to_what_was_found() -> None:
    text = _answer(_lesson("I hit it left"), "starts_lead")
    assert "your shoulders start down first" in text


def test_what_this_swing_does_not_tell_goes_to_the_coach() -> None:
    lesson = _lesson("I hook it")
    assert lesson.line("answer.hook") is None
    assert any("A ball that bends to the left" in note for note in lesson.for_coach)
    assert _answer(lesson, "coach") == "I shall answer that myself."


def test_three_answers_are_enough() -> None:
    said = "My tempo. I sway. I come over the top. I hit it left. I want to turn more."
    lesson = _lesson(said)
    answers = [line for line in lesson.lines if line.id.startswith("answer.")]
    assert len(answers) <= 4
    assert any("also speaks of" in note for note in lesson.for_coach)


def test_wanting_more_turn_without_too_much_of_it_is_not_called_chasing() -> None:
    findings = Findings((finding("steep", Role.CAUSE),), (), ())
    assert _lesson("I want to turn more", findings).line("answer.turn_more") is None


def test_a_golfer_who_chased_turn_hears_it_too_when_only_the_knee_was_found() -> None:
    findings = Findings((finding("lead_knee_running_in", Role.CAUSE, (KNEE,)),), (), ())
    assert "turn a little less" in _answer(_lesson("I turn more", findings), "turn_more")


@pytest.mark.parametrize(
    "said",
    [
        "My back hurts after playing.",
        "Mir tut der Rücken weh",
        "I sway, and my lower back is sore",
        "Sciatica",
    ],
)
def test_a_back_that_hurts_is_for_a_clinician_and_gets_no_turning_drill(said: str) -> None:
    turning, quiet = a_drill("turning", rotation=True), a_drill("quiet")
    lesson = compose_lesson(brief(Golfer("Ivo", said=said), drills=[turning, quiet]), Words())
    assert "have a clinician look at it" in _answer(lesson, "hurts")
    assert [drill.name for drill in lesson.drills] == ["quiet"]
    assert any("for a clinician" in note for note in lesson.for_coach)
    assert lesson.line("answer.sway") is None


def test_another_pain_is_for_a_clinician_too() -> None:
    lesson = _lesson("Mein Handgelenk. My wrist hurts.")
    assert "have a clinician look at it" in _answer(lesson, "hurts")
    assert lesson.line("answer.release") is None
    assert lesson.golfer.back is Back.NOT_ASKED


@given(st.text(max_size=200))
def test_any_words_at_all_compose(said: str) -> None:
    for language in ("en", "de"):
        understood = compose_understood(said, Hand.RIGHT, language)
        assert len(set(understood.intents)) == len(understood.intents)


@given(st.text(alphabet="{}lead trn.more%\\<>&\"'", max_size=60))
def test_a_golfers_own_words_come_back_as_they_are(said: str) -> None:
    lesson = _lesson(said)
    line = lesson.line("answer.said")
    assert (said.strip() in line.text) if line else (not said.strip())


def test_every_fault_can_be_said_and_none_besides() -> None:
    assert set(FAULTS) == {fault.name for fault in CATALOGUE}
    assert set(FLIGHT) == {"slice", "hook", "fat", "thin"}
    order = list(MomentName)
    late = {one.name for one in CATALOGUE if one.signs and order.index(one.first) >= _TURNED}
    assert late <= set(COMING_DOWN) <= late | {"quick_transition"}


def test_intents_name_faults_measures_and_languages_that_there_are() -> None:
    names = {spec.name: spec for spec in FULL_CATALOGUE}
    for one in INTENTS:
        assert set(one.faults) | set(one.chased) <= set(FAULTS), one.name
        assert set(one.patterns) == set(NOT), one.name
        if one.sound is not None:
            spec = names[one.sound.measure]
            assert one.sound.moment in spec.moments or not spec.moments


def test_every_measure_that_a_band_uses_can_be_told() -> None:
    silent = {band.measure for band in BANDS.values() if compose_base(band.measure) not in CLAUSES}
    assert silent == set()


@pytest.mark.parametrize("one", STRENGTHS, ids=lambda one: one.name)
def test_a_strength_lies_inside_the_band_of_the_faults(one: Strength) -> None:
    """Nobody is praised for what another page of theirs calls a fault."""
    clubs: tuple[ClubSort | None, ...] = one.club or (None, *ClubSort)
    for band in BANDS.values():
        if (band.measure, band.moment) != (one.measure, one.moment):
            continue
        for club in clubs:
            low, high = band.ends(club)
            assert low is None or one.low >= low, club
            assert high is None or one.high <= high, club


def test_a_measure_that_speaks_against_the_golfer_is_never_praised() -> None:
    findings = over_turned()
    knee = replace(KNEE, moment=None)
    against = Findings(
        (finding("sway", Role.CAUSE, (replace(knee, measure="tempo_ratio"),)),), (), ()
    )
    assert _lesson("", findings).line("strengths.tempo") is not None
    assert _lesson("", against).line("strengths.tempo") is None
