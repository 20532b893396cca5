"""A plan that follows what came of it: shorter after missed practice, further after a target."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date, datetime

from causeline.lesson.checkpoint import compose_checkpoint_lines, compose_titled
from causeline.lesson.plan import compose_film_again, compose_plan, compose_sessions
from causeline.lesson.voice import CM_PER_INCH, Voice
from causeline.model.drill import Drill
from causeline.model.lesson import Checkpoint, Lesson, Line, Part, PracticeSession, Units
from causeline.model.words import Words, msg

SHORTER_FROM, FEWER_FROM = 2, 4
"""Missed practices from which the rest are short, and from which every second one is left out."""
SHORT_MINUTES = 8
EVERY_SECOND = 2


def compose_voice(lesson: Lesson, words: Words) -> Voice:
    """The voice in which a lesson was written, from what the lesson keeps."""
    return Voice(words, lesson.golfer, lesson.golfer.stature_cm or _stature_cm(lesson))


def compose_shortened(voice: Voice, lesson: Lesson, done: Collection[str], now: datetime) -> Lesson:
    """The plan after missed practice: one drill, a few minutes, and after more of it fewer days.

    What was missed is not made up for. The same lesson comes back where nothing is to change; a
    plan never grows again. `done` are the uids of practices that were ticked.
    """
    past = [one for one in lesson.sessions if _over(one, now)]
    ahead = [one for one in lesson.sessions if not _over(one, now)]
    missed = sum(one.uid not in done for one in past)
    if missed < SHORTER_FROM or not ahead:
        return lesson
    keep = ahead if missed < FEWER_FROM or _thinned(lesson) else ahead[::EVERY_SECOND]
    short = [_short(voice, lesson, one) for one in keep]
    if short == ahead:
        return lesson
    gone = tuple(one for one in ahead if one not in keep)
    return replace(
        lesson,
        sessions=(*past, *short),
        dropped=(*lesson.dropped, *gone),
        lines=_with_line(lesson.lines, _shorter_line(voice, short)),
        sequence=lesson.sequence + 1,
    )


def compose_further(
    voice: Voice, lesson: Lesson, checkpoint: Checkpoint, met: Sequence[date], starts: datetime
) -> Lesson:
    """The next stretch after a target was met: its new step, two drills at most, new practices.

    `starts` is the first practice; numbers and uids of practices go on where they were.
    """
    drills = _drills(lesson)
    count = len(lesson.sessions) + len(lesson.dropped)
    sessions = compose_sessions(voice, lesson.id, starts, drills, count + 1)
    film_again = compose_film_again(starts, drills)
    checkpoint = compose_titled(voice, checkpoint) or checkpoint
    fresh = {
        Part.CHECKPOINT: _still_free(compose_checkpoint_lines(voice, checkpoint, practised=True)),
        Part.PLAN: compose_plan(voice, sessions, film_again),
    }
    lines = [line for line in lesson.lines if line.part not in fresh]
    lines += [line for part in fresh.values() for line in part]
    return replace(
        lesson,
        drills=drills,
        later=None if lesson.later in drills else lesson.later,
        checkpoint=checkpoint,
        sessions=sessions,
        dropped=(*lesson.dropped, *(one for one in lesson.sessions if not _over(one, starts))),
        film_again=film_again,
        lines=_with_line(tuple(lines), _further_line(voice, met)),
        sequence=lesson.sequence + 1,
    )


def _drills(lesson: Lesson) -> tuple[Drill, ...]:
    """The first drill goes on, and the one that was kept for later takes the second place."""
    if lesson.later is None or not lesson.drills:
        return lesson.drills
    return (lesson.drills[0], lesson.later)


def _over(session: PracticeSession, now: datetime) -> bool:
    """Whether its day is over, as the golfer's clock has it."""
    return session.starts.date() < now.astimezone(session.starts.tzinfo).date()


def _thinned(lesson: Lesson) -> bool:
    """Whether practices were left out before: a plan is not halved twice."""
    return bool(lesson.dropped)


def _short(voice: Voice, lesson: Lesson, session: PracticeSession) -> PracticeSession:
    drill = lesson.drills[0]
    minutes = min(session.minutes, SHORT_MINUTES)
    if session.drills == (drill.name,) and session.minutes == minutes:
        return session
    note = voice.say(
        msg("A short one today: warm up, then only “{drill}”, one set. That is enough."),
        drill=drill.title,
    )
    return replace(session, minutes=minutes, drills=(drill.name,), note=note)


def _shorter_line(voice: Voice, ahead: Sequence[PracticeSession]) -> Line:
    often = voice.count(
        msg("{number} short practice is left"), msg("{number} short practices are left"), len(ahead)
    )
    minutes = voice.count(
        msg("about {number} minute"), msg("about {number} minutes"), ahead[0].minutes
    )
    text = voice.say(
        msg("Weeks get full. The plan is lighter from here: {often}, {minutes} each, with one "
            "drill. Nothing is to be made up for."),
        often=often,
        minutes=minutes,
    )  # fmt: skip
    return Line("plan.shorter", Part.PLAN, text)


def _further_line(voice: Voice, met: Sequence[date]) -> Line:
    first, second = (voice.day(day) for day in (met[-2], met[-1]))
    text = voice.say(
        msg("You were there on two separate days, {first} and {second}. So the target moves on by "
            "one more step."),
        first=first,
        second=second,
    )  # fmt: skip
    return Line("plan.further", Part.PLAN, text)


def _with_line(lines: Sequence[Line], line: Line) -> tuple[Line, ...]:
    """The lines with that one first of its part, in place of the one of its id."""
    rest = [one for one in lines if one.id != line.id]
    place = next((i for i, one in enumerate(rest) if one.part is line.part), len(rest))
    return (*rest[:place], line, *rest[place:])


def _still_free(lines: Sequence[Line]) -> list[Line]:
    """Without frames: those of the first swing no longer show where the golfer is."""
    return [replace(line, stills=()) for line in lines]


def _stature_cm(lesson: Lesson) -> float | None:
    """As the checkpoint counts it, where it is a share of the stature."""
    check = lesson.checkpoint
    if check is None or check.unit != "% of stature" or check.shown_unit not in ("cm", "in"):
        return None
    metric = lesson.golfer.units is Units.METRIC
    return 100 * check.shown_factor * (1.0 if metric else CM_PER_INCH)
