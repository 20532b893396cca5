"""Letters to golfers who agreed to mail: which are due, and their way to the coach's server."""

from __future__ import annotations

import ssl
from collections.abc import Iterator, Sequence
from datetime import datetime

from causeline.model.library import Coach
from causeline.model.reminders import Letter
from causeline.reading.letters import Addressed, run_letters
from causeline.sources.mail import MailServer, Sender, encode_mail, send_mail
from causeline.store.languages import load_words
from causeline.store.library import Library
from causeline.store.library_reminders import (
    load_mailing,
    load_mailings,
    load_posted,
    load_reminders,
    save_posted,
)
from causeline.wiring_progress import course_of

STOP = "/g/stop/"
"""Where the page that stops the mail is, under the coach's own address."""


def due_letters(
    library: Library, coach: Coach, base: str = "", now: datetime | None = None
) -> tuple[Letter, ...]:
    """Every letter that is due now to the golfers of a coach who agreed to mail.

    `base` is where golfers reach this workbench, such as https://golf.example; empty for nowhere.
    """
    return tuple(
        letter
        for mailing in load_mailings(library, coach.id)
        for letter in _letters(library, mailing.golfer, base.rstrip("/"), now or library.now())
    )


def post_letters(
    library: Library,
    letters: Sequence[Letter],
    server: MailServer,
    sender: Sender,
    tls: ssl.SSLContext | None = None,
) -> Iterator[tuple[Letter, str]]:
    """Send letters; gives each with why it was not taken, empty where it was.

    What was sent is noted at once, so that none is sent twice, and nothing is sent to who has said
    stop meanwhile. Raises OutputError where the server cannot be reached.
    """
    known = {letter.key: letter for letter in letters}
    wanted = (
        (letter.key, encode_mail(letter, sender, library.now()))
        for letter in letters
        if _may_still(library, letter)
    )
    for key, why in send_mail(server, wanted, tls):
        if not why:
            save_posted(library, key, known[key].golfer)
        yield known[key], why


def _letters(library: Library, golfer: str, base: str, now: datetime) -> tuple[Letter, ...]:
    mailing, course = load_mailing(library, golfer), course_of(library, golfer, now)
    if mailing is None or not course.cases:
        return ()
    case = course.cases[0]
    to = Addressed(
        mailing=mailing,
        posted=load_posted(library, golfer),
        reminders=load_reminders(library, golfer, case.lesson_id),
        stop_at=f"{base}{STOP}{mailing.token}" if base else "",
    )
    return run_letters(course, to, load_words(case.lesson.golfer.language))


def _may_still(library: Library, letter: Letter) -> bool:
    mailing = load_mailing(library, letter.golfer)
    return mailing is not None and mailing.address == letter.to
