"""Which letters are due to a golfer today: a practice, the day to film, a coach's answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from causeline.lesson.adapt import compose_voice
from causeline.lesson.letters import (
    compose_answer_letter,
    compose_film_letter,
    compose_if_then,
    compose_practice_letter,
    compose_stop,
)
from causeline.model.course import Course
from causeline.model.lesson import Lesson, Part
from causeline.model.reminders import Letter, Mailing, Reminder
from causeline.model.words import Words


@dataclass(frozen=True, slots=True)
class Addressed:
    """Whom to write to, and what they may be pointed to."""

    mailing: Mailing
    posted: frozenset[str]
    """Keys of what was sent before."""
    reminders: tuple[Reminder, ...] = ()
    page: str = ""
    """Address of the golfer's page; empty where it is not known."""
    stop_at: str = ""


def run_letters(course: Course, to: Addressed, words: Words) -> tuple[Letter, ...]:
    """Letters that are due today and were not sent yet; none without a lesson that was sent."""
    if not course.cases:
        return ()
    lesson = course.cases[0].lesson
    voice = compose_voice(lesson, words)
    close = compose_stop(voice, to.mailing, to.stop_at)
    return tuple(
        Letter(
            key=key,
            golfer=course.entry.id,
            to=to.mailing.address,
            subject=subject,
            lines=(*(line for line in lines if line), close),
            language=lesson.golfer.language,
            stop_at=to.stop_at,
        )
        for key, (subject, lines) in _due(course, lesson, to, words)
        if key not in to.posted
    )


def run_told(
    lesson: Lesson, reminders: Sequence[Reminder], words: Words
) -> tuple[tuple[Reminder, str], ...]:
    """Each reminder with its sentence in the golfer's language."""
    voice = compose_voice(lesson, words)
    return tuple((one, compose_if_then(voice, one)) for one in reminders)


def _due(
    course: Course, lesson: Lesson, to: Addressed, words: Words
) -> Iterator[tuple[str, tuple[str, tuple[str, ...]]]]:
    """Key, and subject with lines, of everything that is due."""
    voice, case = compose_voice(lesson, words), course.cases[0]
    done = {tick.session for tick in case.ticks}
    for session in lesson.sessions:
        if session.starts.date() == course.today and session.uid not in done:
            said = [compose_if_then(voice, one) for one in to.reminders if _today(one, course)]
            letter = compose_practice_letter(voice, lesson, session, said, to.page)
            yield f"practice:{case.lesson_id}:{session.uid}:{course.today}", letter
    filmed = any(each.day == course.today for each in course.standings[0].checked)
    if lesson.film_again == course.today and not filmed:
        how = [line.text for line in lesson.part(Part.FILM)]
        yield (
            f"film:{case.lesson_id}:{course.today}",
            compose_film_letter(voice, lesson, how, to.page),
        )
    for one in course.check_ins:
        if one.answered_at and one.answer and one.answered_at >= to.mailing.agreed_at:
            yield f"answer:{one.id}", compose_answer_letter(voice, lesson, one.answer, to.page)


def _today(reminder: Reminder, course: Course) -> bool:
    return reminder.weekday is None or reminder.weekday == course.today.weekday()
