"""From a swing's findings to its lesson: strengths, one cause, an answer, practice, care."""

from __future__ import annotations

import hashlib
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import replace

from causeline.lesson.answers import Swing, compose_answers, compose_spared
from causeline.lesson.care import compose_care
from causeline.lesson.cause import compose_cause, compose_chain, compose_no_cause
from causeline.lesson.checkpoint import compose_checkpoint_lines, compose_titled
from causeline.lesson.choose import AGAIN, Choice, compose_choice, compose_resolved
from causeline.lesson.faults import FAULTS, FLIGHT
from causeline.lesson.labels import compose_labels
from causeline.lesson.plan import compose_film_again, compose_plan, compose_sessions
from causeline.lesson.strengths import compose_strengths
from causeline.lesson.voice import Voice
from causeline.model.clip import View
from causeline.model.drill import Drill
from causeline.model.filming import Severity
from causeline.model.findings import Finding, Findings
from causeline.model.lesson import Brief, Golfer, Lesson, Line, Part
from causeline.model.measures import Measure, Refusal
from causeline.model.words import Words, msg

SURE = 0.6
"""Least probability at which a cause is named and practised (a judgement of ours)."""
MOST_ADVICE = 2
LEAST_PERCENT = 2.0
"""Per cent of stature below which a length does not tell how tall the golfer is."""


def compose_lesson(brief: Brief, words: Words) -> Lesson:
    """The whole lesson. Where no cause is sure enough it says so and gives nothing to practise."""
    brief = replace(brief, golfer=compose_spared(brief.golfer))
    stature = brief.golfer.stature_cm or compose_stature(brief.measures)
    voice = Voice(words, brief.golfer, stature)
    name = compose_id(brief)
    cause = compose_sure(brief.findings)
    choice = _choice(voice, brief, cause)
    drills = [compose_resolved(voice, drill) for drill in choice.drills]
    sessions = compose_sessions(voice, name, brief.starts, drills)
    film_again = compose_film_again(brief.starts, drills)
    answers, ask = compose_answers(voice, Swing(brief.measures, brief.findings, cause))
    lines = [
        *_opening(voice, brief),
        *compose_strengths(voice, brief.measures, brief.findings, brief.club),
        *(compose_cause(voice, cause, brief) if cause else compose_no_cause(voice, brief)),
        *answers,
        *_drill_lines(voice, drills, choice.later),
        *compose_checkpoint_lines(voice, choice.checkpoint, practised=bool(drills)),
        *compose_plan(voice, sessions, film_again),
        *(_expect(voice) if drills else ()),
        *_film(voice, brief, choice),
        *compose_care(voice, choice.drills, choice.left_out),
        *_closing(voice, brief),
    ]
    return Lesson(
        id=name,
        made=brief.made,
        coach=brief.coach,
        golfer=brief.golfer,
        club=brief.club,
        swings=brief.swings,
        cause=cause.name if cause else None,
        chain=compose_chain(voice, cause, brief.findings),
        lines=tuple(lines),
        drills=tuple(drills),
        later=compose_resolved(voice, choice.later) if choice.later else None,
        checkpoint=compose_titled(voice, choice.checkpoint),
        sessions=sessions,
        film_again=film_again,
        references=brief.references,
        for_coach=(*_unanswerable(brief, cause, choice), *ask),
        labels=compose_labels(voice, brief.coach),
    )


def compose_edited(lesson: Lesson, line_id: str, text: str, by: str) -> Lesson:
    """The lesson with one line rewritten; what the template wrote is kept beside it.

    Raises KeyError for a line that the lesson does not have.
    """
    if lesson.line(line_id) is None:
        raise KeyError(f"the lesson has no line {line_id!r}: {[one.id for one in lesson.lines]}")
    lines = tuple(
        replace(one, text=text, written=one.written or one.text, edited_by=by)
        if one.id == line_id
        else one
        for one in lesson.lines
    )
    return replace(lesson, lines=lines)


def compose_sure(findings: Findings) -> Finding | None:
    """The cause, if it is sure enough to practise; what the ball does is never the cause."""
    cause = findings.cause
    if cause is None or cause.name in FLIGHT or cause.name not in FAULTS:
        return None
    return cause if cause.probability >= SURE else None


def compose_stature(measures: Mapping[View, Sequence[Measure | Refusal]]) -> float | None:
    """Centimetres that the reading counted with, from lengths that it gives in both units."""
    ratios: list[float] = []
    for seen in measures.values():
        found = {(one.name, one.moment): one for one in seen if isinstance(one, Measure)}
        for (name, moment), share in found.items():
            whole = found.get((name.removesuffix("_percent"), moment))
            if share.unit != "% of stature" or whole is None or whole.unit != "cm":
                continue
            if abs(share.value) > LEAST_PERCENT:
                ratios.append(100 * whole.value / share.value)
    return statistics.median(ratios) if ratios else None


def compose_id(brief: Brief) -> str:
    """The same for the same golfer, swing and day, so that a plan sent again is an update."""
    named = [brief.golfer.name, brief.made.isoformat()]
    named += [f"{swing.sha256}/{swing.number}" for swing in brief.swings]
    return hashlib.sha256("\n".join(named).encode()).hexdigest()[:16]


def _choice(voice: Voice, brief: Brief, cause: Finding | None) -> Choice:
    if cause is None:
        return Choice()
    return compose_choice(voice, cause, brief.findings, brief.drills, brief.measures)


def _opening(voice: Voice, brief: Brief) -> list[Line]:
    golfer: Golfer = brief.golfer
    hello = (
        voice.say(msg("{name}, thank you for your swing."), name=golfer.name)
        if golfer.name
        else voice.say(msg("Thank you for your swing."))
    )
    one = voice.say(
        msg("Here is what holds up well in it, one thing to change, and how to go about it.")
    )
    nothing = voice.say(
        msg("Here is what holds up well in it, and what I should like to see next.")
    )
    text = f"{hello} {one if compose_sure(brief.findings) else nothing}"
    return [Line("opening.hello", Part.OPENING, text)]


def _drill_lines(voice: Voice, drills: Sequence[Drill], later: Drill | None) -> list[Line]:
    lines = [
        Line(
            f"drills.{place}",
            Part.DRILLS,
            voice.say(msg("{title}: {purpose}"), title=drill.title, purpose=drill.purpose),
            (drill.name,),
        )
        for place, drill in enumerate(drills, start=1)
    ]
    if later is not None:
        resolved = compose_resolved(voice, later)
        text = voice.say(
            msg("When this has held on two different days there is more: “{title}”. Not before."),
            title=resolved.title,
        )
        lines.append(Line("drills.later", Part.DRILLS, text, (later.name,)))
    return lines


def _expect(voice: Voice) -> list[Line]:
    says = {
        "worse": msg(
            "Your strikes may get worse before they get better. In one study, golfers who had been "
            "taught, with video or without, did worse than others straight after their lessons and "
            "better two weeks later."
        ),
        "odd": msg("The new movement will feel too much. What feels right is what you did before."),
        "kept": msg(
            "What counts is what is still there on another day, at the start, without the drill."
        ),
    }
    return [Line(f"expect.{key}", Part.EXPECT, voice.say(text)) for key, text in says.items()]


def _film(voice: Voice, brief: Brief, choice: Choice) -> list[Line]:
    views = {choice.checkpoint.view} if choice.checkpoint else set(View)
    if choice.drills and not choice.checkpoint:
        views = {swing.view for swing in brief.swings} or views
    lines: list[Line] = []
    far = voice.distance(4)
    if View.FACE_ON in views:
        text = voice.say(
            msg("Face-on: the phone upright, square to your chest, {far} away, at the height of "
                "your hands, on something that does not move. All of you and the club in the "
                "picture, to the finish."), far=far,
        )  # fmt: skip
        lines.append(Line("film.face_on", Part.FILM, text))
    if View.DOWN_THE_LINE in views:
        text = voice.say(
            msg("Down the line: the phone upright behind your hands, looking along your feet at "
                "the target, {far} away, at the height of your hands, on something that does not "
                "move."),
            far=far,
        )  # fmt: skip
        lines.append(Line("film.down_the_line", Part.FILM, text))
    swings = voice.count(
        msg("Film {number} swing, at full speed, before you practise, from the same spot and with "
            "the same club, to show how much your swing varies by itself."),
        msg("Film {number} swings, at full speed, before you practise, from the same spot and with "
            "the same club, to show how much your swing varies by itself."), AGAIN,
    )  # fmt: skip
    lines.append(Line("film.swings", Part.FILM, swings))
    lines += _better(voice, brief)
    light = msg("Slow motion (120 pictures a second or more) and good light make the club sharper.")
    lines.append(Line("film.light", Part.FILM, voice.say(light)))
    return lines


def _better(voice: Voice, brief: Brief) -> list[Line]:
    """What to do better than last time, the costliest first, in a language that has the words."""
    order = [Severity.SPOILS, Severity.COSTS]
    told = {one.name: one for one in brief.filming if one.severity in order}
    worst = sorted(told.values(), key=lambda one: order.index(one.severity))[:MOST_ADVICE]
    return [
        Line(f"film.better.{one.name}", Part.FILM, voice.say(one.advice), (one.name,))
        for one in worst
        if voice.words.knows(one.advice)
    ]


def _closing(voice: Voice, brief: Brief) -> list[Line]:
    text = voice.say(msg("Send me the new clips, and write how it felt. Both help."))
    lines = [Line("closing.send", Part.CLOSING, text)]
    return [*lines, *([Line("closing.coach", Part.CLOSING, brief.coach)] if brief.coach else [])]


def _unanswerable(brief: Brief, cause: Finding | None, choice: Choice) -> list[str]:
    """What the coach should know before sending the lesson."""
    notes: list[str] = []
    first = brief.findings.cause
    if cause is None and first is not None:
        notes.append(
            f"{first.title} comes first with {first.probability:.2f}, which is not sure enough to "
            "practise (or is only what the ball does). Pin it, if you see it."
        )
    if cause is not None and not choice.drills:
        notes.append(f"No drill for {cause.title} suits this golfer: choose one.")
    if choice.drills and choice.checkpoint is None:
        notes.append(
            "No drill's checkpoint was measured outside its band: say how the golfer will know."
        )
    if choice.left_out:
        notes.append("Drills that turn the back were left out because of the golfer's back.")
    return notes
