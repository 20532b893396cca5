from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from causeline.lesson.compose import compose_edited, compose_lesson, compose_stature
from causeline.model.clip import Hand
from causeline.model.drill import Aim
from causeline.model.filming import Advice, Severity
from causeline.model.findings import Findings
from causeline.model.lesson import MOST_DRILLS, Back, Golfer, Lesson, Part, Units
from causeline.model.moments import MomentName as M
from causeline.model.words import Words
from tests.unit.lesson.drills import a_drill
from tests.unit.lesson.swings import BEHIND, NOTHING, brief, measures, over_turned, pinned

ENGLISH = Words()
TURNER = Golfer(
    "Ivo",
    time_zone="Europe/Berlin",
    said="I have been trying to turn more, and I hit it left and fat.",
)


def _text(lesson: Lesson, line_id: str) -> str:
    line = lesson.line(line_id)
    assert line is not None, [one.id for one in lesson.lines]
    return line.text


def test_the_parts_come_in_their_order_and_strengths_before_the_cause() -> None:
    lesson = compose_lesson(brief(TURNER), ENGLISH)
    order = list(Part)
    places = [order.index(line.part) for line in lesson.lines]
    assert places == sorted(places)
    assert {line.part for line in lesson.lines} == set(Part)


def test_one_cause_and_its_effects_in_order_of_the_swing() -> None:
    lesson = compose_lesson(brief(), ENGLISH)
    assert lesson.cause == "over_turn"
    assert [(link.name, link.because) for link in lesson.chain] == [
        ("over_turn", None),
        ("lead_knee_running_in", "over_turn"),
        ("over_the_top", "over_turn"),
        ("steep", "over_the_top"),
    ]
    assert _text(lesson, "cause.headline") == "Turn only as far as your left leg stays quiet."
    assert _text(lesson, "cause.effect.steep") == (
        "The club comes down steeper than it went up: thrown outward the shaft stands up."
    )


def test_evidence_says_value_spread_and_what_is_usual_and_names_its_frame() -> None:
    line = compose_lesson(brief(), ENGLISH).line("cause.evidence.1")
    assert line is not None
    assert line.text == (
        "At the top, your left arm has swung up 152° from hanging down (± 4). Up to 139° is usual."
    )
    assert line.stills[0].moment == "top"
    assert line.source == ("lead_arm_angle",)


def test_lengths_come_in_centimetres_of_the_golfers_own_height() -> None:
    golfer = replace(TURNER, stature_cm=200.0)
    lesson = compose_lesson(brief(golfer), ENGLISH)
    assert "moved 18\N{NO-BREAK SPACE}cm away from the target (± 2)" in _text(
        lesson, "checkpoint.now"
    )


def test_and_in_inches_for_who_thinks_in_inches() -> None:
    golfer = replace(TURNER, stature_cm=200.0, units=Units.IMPERIAL)
    lesson = compose_lesson(brief(golfer), ENGLISH)
    # 9 % of 200 cm are 18 cm, 7.09 inches; the ± is 0.79.
    assert "moved 7 inches away from the target (± 1)" in _text(lesson, "checkpoint.now")
    assert "13 feet away" in _text(lesson, "film.face_on")


def test_a_left_handers_lead_side_is_the_right() -> None:
    lesson = compose_lesson(brief(replace(TURNER, hand=Hand.LEFT)), ENGLISH)
    assert _text(lesson, "cause.headline") == "Turn only as far as your right leg stays quiet."
    assert lesson.drills[0].purpose == "Keeps your right leg where it is."


def test_the_checkpoint_is_a_step_that_a_new_film_could_show() -> None:
    checkpoint = compose_lesson(brief(), ENGLISH).checkpoint
    assert checkpoint is not None
    # Half way to the band is 1.6; five swings against one, ± 1.0, show 1.96 × √(1 + 1/5) = 2.147,
    # which is still short of the band's end, 3.2 away.
    assert checkpoint.detectable == pytest.approx(2.147, abs=0.001)
    assert checkpoint.target == pytest.approx(-9.0 + 2.147, abs=0.001)
    assert checkpoint.upward
    assert "12\N{NO-BREAK SPACE}cm away from the target, or less" in _text(
        compose_lesson(brief(), ENGLISH), "checkpoint.target"
    )


def test_a_step_too_small_for_one_film_is_said_to_be() -> None:
    drill = replace(a_drill(), aim=Aim("posture_change", M.IMPACT, BEHIND, "°", 0.0, None))
    lesson = compose_lesson(brief(drills=[drill]), ENGLISH)
    assert lesson.checkpoint is not None
    assert lesson.checkpoint.target == 0.0
    assert "small for one film" in _text(lesson, "checkpoint.step")
    assert _text(lesson, "checkpoint.target") == (
        "Next: at impact, your bend is the one you had at address."
    )


def test_a_golfer_who_chased_more_turn_learns_kindly_why_it_hurt() -> None:
    text = _text(compose_lesson(brief(TURNER), ENGLISH), "answer.turn_more")
    assert "you have done it" in text
    assert "152°" in text
    assert "so your shoulders start down first" in text
    assert "turn a little less on purpose" in text
    assert "better in itself" in text


def test_two_drills_at_most_and_one_for_later() -> None:
    many = [a_drill(f"drill_{number}") for number in range(5)]
    lesson = compose_lesson(brief(drills=many), ENGLISH)
    assert len(lesson.drills) == MOST_DRILLS
    assert lesson.later is not None
    assert lesson.later.name not in {drill.name for drill in lesson.drills}


def test_nothing_sure_enough_means_no_drill_and_says_so() -> None:
    for findings in (NOTHING, over_turned(probability=0.55)):
        lesson = compose_lesson(brief(TURNER, findings), ENGLISH)
        assert lesson.cause is None
        assert lesson.drills == ()
        assert lesson.later is None
        assert lesson.checkpoint is None
        assert lesson.sessions == ()
        assert lesson.chain == ()
        assert lesson.part(Part.STRENGTHS)
        assert "no drill this time" in _text(lesson, "cause.what")
        assert lesson.film_again == date(2026, 4, 23)
        assert lesson.part(Part.FILM)


def test_an_unsure_cause_is_told_to_the_coach_only() -> None:
    lesson = compose_lesson(brief(findings=over_turned(probability=0.55)), ENGLISH)
    assert any("0.55" in note for note in lesson.for_coach)
    assert all("over_turn" not in line.source for line in lesson.lines)


def test_what_the_ball_does_is_never_the_thing_to_change() -> None:
    assert compose_lesson(brief(findings=pinned("slice")), ENGLISH).cause is None


def test_a_pinned_cause_without_numbers_is_said_as_the_coachs_own() -> None:
    grip = replace(a_drill("hold"), treats=("weak_grip",))
    lesson = compose_lesson(brief(findings=pinned("weak_grip"), drills=[grip]), ENGLISH)
    assert lesson.cause == "weak_grip"
    assert _text(lesson, "cause.sure") == "I have looked at it and see it so."
    assert lesson.line("cause.evidence.1") is None


@pytest.mark.parametrize("findings", [None, NOTHING])
def test_care_stands_in_every_lesson(findings: Findings | None) -> None:
    lesson = compose_lesson(brief(findings=findings), ENGLISH)
    care = " ".join(line.text for line in lesson.part(Part.CARE))
    for word in ("Warm up first, moving", "Stop when something hurts", "clinician", "two club"):
        assert word in care
    assert "teaching professional decides" in care


def test_the_back_is_asked_about_before_drills_that_turn_it() -> None:
    turning = [a_drill("turning", rotation=True)]
    asked = compose_lesson(brief(drills=turning), ENGLISH)
    assert "do you have trouble with your back" in _text(asked, "care.back")
    well = Golfer("Ivo", back=Back.WELL)
    assert compose_lesson(brief(well, drills=turning), ENGLISH).line("care.back") is None


def test_a_troubled_back_gets_no_turning_drill() -> None:
    drills = [a_drill("turning", rotation=True), a_drill("quiet")]
    lesson = compose_lesson(brief(Golfer("Ivo", back=Back.TROUBLED), drills=drills), ENGLISH)
    assert [drill.name for drill in lesson.drills] == ["quiet"]
    assert "left out" in _text(lesson, "care.back")
    assert any("left out" in note for note in lesson.for_coach)


def test_juniors_practise_less_and_twice_a_week() -> None:
    grown = compose_lesson(brief(), ENGLISH)
    junior = compose_lesson(brief(Golfer("Ivo", junior=True)), ENGLISH)
    assert len(junior.sessions) < len(grown.sessions)
    assert "still growing" in _text(junior, "care.junior")
    assert all(one.minutes <= 12 for one in junior.sessions)


def test_no_text_praises_turn_or_separation_or_speaks_of_injury_risk() -> None:
    lesson = compose_lesson(brief(TURNER), ENGLISH)
    text = " ".join(line.text.lower() for line in lesson.lines)
    for word in (
        "separation",
        "x-factor",
        "risk of injury",
        "prevents injur",
        "more turn is better",
    ):
        assert word not in text


def test_every_placeholder_is_filled() -> None:
    lesson = compose_lesson(brief(TURNER), ENGLISH)
    drill = lesson.drills[0]
    texts = [line.text for line in lesson.lines]
    texts += [drill.purpose, *drill.steps, *(one.note for one in lesson.sessions)]
    assert [text for text in texts if "{" in text] == []


def test_what_cost_the_reading_most_is_asked_for_next_time() -> None:
    advice = (
        Advice("tilt", Severity.NOTE, "Hold it level."),
        Advice("light", Severity.COSTS, "Film in better light."),
        Advice("feet", Severity.SPOILS, "Show your feet."),
        Advice("light", Severity.COSTS, "Film in better light."),
    )
    lesson = compose_lesson(replace(brief(), filming=advice), ENGLISH)
    better = [line.text for line in lesson.lines if line.id.startswith("film.better")]
    assert better == ["Show your feet.", "Film in better light."]


def test_an_edited_line_keeps_what_the_template_wrote() -> None:
    lesson = compose_lesson(brief(), ENGLISH)
    written = _text(lesson, "cause.what")
    once = compose_edited(lesson, "cause.what", "You go too far.", "Maren Oakes")
    twice = compose_edited(once, "cause.what", "Too far, Ivo.", "Maren Oakes")
    line = twice.line("cause.what")
    assert line is not None
    assert (line.text, line.written, line.edited_by) == ("Too far, Ivo.", written, "Maren Oakes")
    assert line.source == ("over_turn",)


def test_a_line_that_is_not_there_cannot_be_edited() -> None:
    with pytest.raises(KeyError, match="no line"):
        compose_edited(compose_lesson(brief(), ENGLISH), "cause.nothing", "x", "y")


def test_stature_is_what_the_reading_counted_with() -> None:
    assert compose_stature(measures()) == pytest.approx(180.0)


def test_the_same_swing_and_day_give_the_same_lesson() -> None:
    assert compose_lesson(brief(), ENGLISH) == compose_lesson(brief(), ENGLISH)
