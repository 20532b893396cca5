"""Reminders and addresses in the library: kept, taken back, stopped at once; nothing sent twice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from causeline.errors import Outdated, StoreError
from causeline.model.library import GolferEntry, new_id
from causeline.model.reminders import Reminder
from causeline.store.library import Library
from causeline.store.library_lessons import save_lesson
from causeline.store.library_people import save_golfer
from causeline.store.library_reminders import (
    MOST_REMINDERS,
    load_mailing,
    load_mailing_by,
    load_mailings,
    load_posted,
    load_reminders,
    save_mailing,
    save_mailing_stopped,
    save_posted,
    save_reminder,
    save_reminder_withdrawn,
)
from causeline.store.library_removal import save_golfer_removed
from tests.shelf import a_golfer, a_lesson


def _reminder(library: Library, golfer: GolferEntry) -> Reminder:
    lesson = save_lesson(library, a_lesson(golfer), "test")
    cue, act = "I get home on Tuesday", "I do ten swings with the towel"
    return Reminder(new_id(), golfer.id, lesson.id, cue, act, library.now(), 1, "18:30")


def test_a_reminder_is_kept_changed_and_taken_back(library: Library) -> None:
    golfer = a_golfer(library)
    first = save_reminder(library, _reminder(library, golfer))
    assert load_reminders(library, golfer.id, first.lesson) == (first,)
    later = save_reminder(library, replace(first, at="19:00"))
    assert later.version == 2
    with pytest.raises(Outdated):
        save_reminder(library, replace(first, at="20:00"))
    save_reminder_withdrawn(library, later)
    assert load_reminders(library, golfer.id, first.lesson) == ()
    (kept,) = load_reminders(library, golfer.id, first.lesson, withdrawn=True)
    assert kept.version == 3


def test_nobody_is_reminded_of_more_than_can_be_kept_in_mind(library: Library) -> None:
    golfer = a_golfer(library)
    one = _reminder(library, golfer)
    for _ in range(MOST_REMINDERS):
        save_reminder(library, replace(one, id=new_id()))
    with pytest.raises(StoreError, match="too many"):
        save_reminder(library, one)


@pytest.mark.parametrize("wrong", [{"cue": " "}, {"act": ""}, {"weekday": 7}, {"at": "25:00"}])
def test_a_reminder_without_words_or_of_no_hour_is_refused(
    library: Library, wrong: dict[str, object]
) -> None:
    one = _reminder(library, a_golfer(library))
    with pytest.raises(ValueError, match=r"expected|does not match|unconverted"):
        replace(one, **wrong)  # type: ignore[arg-type]


def test_mail_goes_to_one_address_until_somebody_says_stop(library: Library) -> None:
    golfer = a_golfer(library)
    assert load_mailing(library, golfer.id) is None
    first = save_mailing(library, golfer.id, "old@example.org", "Ivo")
    second = save_mailing(library, golfer.id, "ivo@example.org", "Ivo")
    assert load_mailing(library, golfer.id) == second
    assert load_mailings(library, golfer.coach) == (second,)
    assert save_mailing_stopped(library, second.token)
    assert save_mailing_stopped(library, second.token)
    assert load_mailing(library, golfer.id) is None
    stopped = load_mailing_by(library, first.token)
    assert stopped is not None
    assert stopped.stopped_at is not None
    assert not save_mailing_stopped(library, "no such token")


@pytest.mark.parametrize(
    "address", ["", "ivo", "ivo@", "a@b", "a b@c.org", "a@c.org\nBcc: b@c.org", "a@c.org,b@c.org"]
)
def test_what_is_no_address_is_refused(library: Library, address: str) -> None:
    with pytest.raises(ValueError, match="expected an address"):
        save_mailing(library, a_golfer(library).id, address, "Ivo")


def test_archived_golfers_are_not_written_to(library: Library) -> None:
    golfer = a_golfer(library)
    save_mailing(library, golfer.id, "ivo@example.org", "Ivo")
    save_golfer(library, replace(golfer, archived=True))
    assert load_mailings(library, golfer.coach) == ()


def test_all_of_it_goes_with_the_golfer(library: Library) -> None:
    golfer = a_golfer(library)
    one = save_reminder(library, _reminder(library, golfer))
    mailing = save_mailing(library, golfer.id, "ivo@example.org", "Ivo")
    save_posted(library, "a letter", golfer.id)
    save_posted(library, "a letter", golfer.id)
    assert load_posted(library, golfer.id) == {"a letter"}
    save_golfer_removed(library, golfer.id, "test")
    assert load_reminders(library, golfer.id, one.lesson, withdrawn=True) == ()
    assert load_mailing_by(library, mailing.token) is None
    assert load_posted(library, golfer.id) == frozenset()
