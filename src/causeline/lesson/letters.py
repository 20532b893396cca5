"""If-then reminders as sentences, and the letters that go with a plan: short, never scolding."""

from __future__ import annotations

from collections.abc import Sequence

from causeline.lesson.voice import Voice
from causeline.model.lesson import Lesson, PracticeSession
from causeline.model.reminders import Mailing, Reminder
from causeline.model.words import msg

BEGINNINGS = ("when ", "if ", "wenn ", "sobald ", "then ", "dann ")
"""With which a golfer may have begun a cue or an act themselves."""


def compose_if_then(voice: Voice, reminder: Reminder) -> str:
    """`When I get home on Tuesday, then I do ten swings.`, in the golfer's own words."""
    cue, act = (_bare(text) for text in (reminder.cue, reminder.act))
    return voice.say(msg("When {cue}, then {act}."), cue=cue, act=act)


def compose_practice_letter(
    voice: Voice, lesson: Lesson, session: PracticeSession, sentences: Sequence[str], page: str
) -> tuple[str, tuple[str, ...]]:
    """Subject and lines on a day of practice. `page` is the golfer's address; may be empty."""
    minutes = voice.count(
        msg("about {number} minute"), msg("about {number} minutes"), session.minutes
    )
    today = voice.say(msg("Today is a short practice: {minutes}."), minutes=minutes)
    lines = [_hello(voice, lesson), today, *sentences, session.note, *_page(voice, page)]
    return session.title, (*lines, *_signed(lesson))


def compose_film_letter(
    voice: Voice, lesson: Lesson, film: Sequence[str], page: str
) -> tuple[str, tuple[str, ...]]:
    """Subject and lines on the day to film again; `film` is how, from the lesson."""
    subject = voice.say(msg("Film again today"))
    today = voice.say(
        msg("Today is for filming, before you practise. What shows today is what has stayed.")
    )
    return subject, (_hello(voice, lesson), today, *film, *_page(voice, page), *_signed(lesson))


def compose_answer_letter(
    voice: Voice, lesson: Lesson, answer: str, page: str
) -> tuple[str, tuple[str, ...]]:
    """Subject and lines when the coach has answered a check-in."""
    subject = voice.say(msg("An answer to your check-in"))
    return subject, (_hello(voice, lesson), answer, *_page(voice, page), *_signed(lesson))


def compose_stop(voice: Voice, mailing: Mailing, stop_at: str) -> str:
    """Why this mail came, and how it ends."""
    by = voice.say(msg("You get this because {who} agreed to it."), who=mailing.agreed_by)
    if stop_at:
        return f"{by} {voice.say(msg('To stop it at once: {address}'), address=stop_at)}"
    return f"{by} {voice.say(msg('To stop it, answer with the word “stop”.'))}"


def _hello(voice: Voice, lesson: Lesson) -> str:
    """A junior is not named in mail."""
    golfer = lesson.golfer
    if golfer.name and not golfer.junior:
        return voice.say(msg("Hello {name},"), name=golfer.name)
    return voice.say(msg("Hello,"))


def _page(voice: Voice, page: str) -> tuple[str, ...]:
    return (
        (voice.say(msg("Everything else is on your page: {address}"), address=page),)
        if page
        else ()
    )


def _signed(lesson: Lesson) -> tuple[str, ...]:
    return (lesson.coach,) if lesson.coach else ()


def _bare(text: str) -> str:
    """Without a beginning that the sentence has itself, nor the stop at its end."""
    bare = " ".join(text.split()).rstrip(".,;")
    begun = next((one for one in BEGINNINGS if bare.lower().startswith(one)), "")
    return bare[len(begun) :]
