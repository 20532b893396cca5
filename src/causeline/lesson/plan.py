"""Short practices, spaced over three weeks, and the day to film again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from causeline.lesson.voice import Voice
from causeline.model.drill import Drill
from causeline.model.lesson import Line, Part, PracticeSession
from causeline.model.words import msg

DAYS = (0, 2, 5, 7, 10, 12, 15, 18)
"""After the first: two or three days apart, never two on one day."""
DAYS_JUNIOR = (0, 3, 7, 10, 14, 17)
FILM_AFTER = 21
FILM_AFTER_NOTHING = 14
"""Days until the next film where there is nothing to practise."""
LONGEST, LONGEST_JUNIOR = 20, 12
"""Minutes of one practice, warming up not counted (our judgement; short on purpose)."""
WEEK = 7


def compose_sessions(
    voice: Voice, lesson_id: str, starts: datetime, drills: Sequence[Drill], first: int = 1
) -> tuple[PracticeSession, ...]:
    """One for each day of practice, at the same hour of the wall clock through the whole plan.

    `first` is the number of the first one, where others came before.
    """
    if not drills:
        return ()
    junior = voice.golfer.junior
    longest = LONGEST_JUNIOR if junior else LONGEST
    minutes = min(sum(drill.dose.minutes for drill in drills), longest)
    days = DAYS_JUNIOR if junior else DAYS
    return tuple(
        PracticeSession(
            uid=f"{lesson_id}-practice-{place}",
            starts=starts + timedelta(days=day),
            minutes=minutes,
            drills=tuple(drill.name for drill in drills),
            title=voice.say(
                msg("Practice {number}: {drill}"), number=str(place), drill=drills[0].title
            ),
            note=_note(voice, place, day, days, drills),
        )
        for place, day in enumerate(days, start=first)
    )


def compose_film_again(starts: datetime, drills: Sequence[Drill]) -> date:
    """A day on which nothing was practised before: what shows then is kept."""
    days = FILM_AFTER if drills else FILM_AFTER_NOTHING
    return (starts + timedelta(days=days)).date()


def compose_plan(voice: Voice, sessions: Sequence[PracticeSession], film_again: date) -> list[Line]:
    """The plan in sentences."""
    if not sessions:
        return []
    first, last = sessions[0], sessions[-1]
    weeks = (last.starts.date() - first.starts.date()).days // WEEK + 1
    often = voice.count(
        msg("{number} short practice"), msg("{number} short practices"), len(sessions)
    )
    span = voice.count(msg("over {number} week"), msg("over {number} weeks"), weeks)
    minutes = voice.count(
        msg("about {number} minute"), msg("about {number} minutes"), first.minutes
    )
    says = {
        "spaced": voice.say(
            msg("{often} {span}, {minutes} each, starting on {day}. Two or three days lie between "
                "them on purpose: what is practised on several days usually stays longer than what "
                "is practised all at once."),
            often=often, span=span, minutes=minutes, day=voice.day(first.starts.date())),
        "stages": voice.say(
            msg("Go to the next stage of a drill only when you have done what it takes. If a stage "
                "will not come, go back one; there is no hurry.")),
        "if_then": voice.say(
            msg("Tie each practice to something that you do anyway, in your own words: “When I "
                "have put my bag down on {weekday}, then I practise.” Plans that are said like "
                "that are kept more often."), weekday=voice.weekday(first.starts.date())),
        "missed": voice.say(
            msg("If you miss one, go on with the next. Do not make up for it with a long one.")),
        "count": voice.say(
            msg("Count after each set, not after each swing. Looking at a number every time helps "
                "on the day and less afterwards.")),
        "film": voice.say(msg("Film again on {day}."), day=voice.day(film_again)),
    }  # fmt: skip
    return [Line(f"plan.{key}", Part.PLAN, text) for key, text in says.items()]


def _note(voice: Voice, place: int, day: int, days: Sequence[int], drills: Sequence[Drill]) -> str:
    """What this practice is for: the stage of its week, and on another day what has stayed."""
    parts = [voice.say(msg("Warm up first."))]
    for drill in drills:
        stage = drill.stages[min(len(drill.stages) - 1, day // WEEK)]
        parts.append(
            voice.say(
                msg("{drill}, stage “{stage}”: {how}"),
                drill=drill.title,
                stage=stage.name,
                how=stage.how,
            )
        )
    if place > 1:
        parts.append(
            voice.say(
                msg(
                    "Begin with three swings without the drill, and notice what has stayed since "
                    "last time."
                )
            )
        )
    if day == days[-1]:
        parts.append(
            voice.say(
                msg("End with five full swings, as on the course, a different target each time.")
            )
        )
    return " ".join(parts)
