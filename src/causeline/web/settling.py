"""What a check-in's clip says of the checkpoint, told as soon as the clip is read, and kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, replace
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from causeline.errors import CauselineError, Outdated
from causeline.model.lesson import Lesson
from causeline.model.library import CheckIn, ClipEntry, ReadingEntry, State
from causeline.model.practice import Outcome, Word
from causeline.reading.check_in import CheckInClip, run_check_in
from causeline.store.languages import load_words
from causeline.store.lesson_file import load_lesson_dict
from causeline.store.library import Library
from causeline.store.library_clips import load_clip
from causeline.store.library_lessons import load_lesson
from causeline.store.library_practice import load_check_in, load_check_ins, save_check_in
from causeline.store.library_readings import load_reading_of
from causeline.store.library_whole import load_whole

GOES_ON = (State.WAITING, State.WORKING)


def settled(library: Library, check_ins: Iterable[CheckIn]) -> tuple[CheckIn, ...]:
    """The same check-ins, those told whose clips have been read since."""
    return tuple(_settled(library, one) for one in check_ins)


def is_being_read(library: Library, check_in: CheckIn) -> bool:
    """Whether its clip's answer is still to come."""
    if check_in.outcome is not None or check_in.clip is None or check_in.lesson is None:
        return False
    entry = load_reading_of(library, load_clip(library, check_in.clip).sha256)
    return entry is not None and entry.state in GOES_ON


def not_me(library: Library, check_in: CheckIn) -> CheckIn:
    """The golfer says that somebody else swings in that clip: its answer does not count."""
    told = {**(check_in.outcome or {}), "not_me": True}
    return save_check_in(library, replace(check_in, outcome=told))


def _settled(library: Library, check_in: CheckIn) -> CheckIn:
    if check_in.outcome is not None or check_in.clip is None or check_in.lesson is None:
        return check_in
    clip = load_clip(library, check_in.clip)
    entry = load_reading_of(library, clip.sha256)
    if entry is None or entry.state in GOES_ON:
        return check_in
    lesson = load_lesson_dict(load_lesson(library, check_in.lesson).content, "the lesson")
    outcome = _outcome(library, check_in, clip, entry, lesson)
    check = lesson.checkpoint
    told = replace(check_in, outcome=_plain(outcome) | {"target": check.target if check else None})
    if entry.state is State.FAILED:
        return told  # it may be read again, and then say more
    try:
        return save_check_in(library, told)
    except Outdated:
        return load_check_in(library, check_in.id)


def _outcome(
    library: Library, check_in: CheckIn, clip: ClipEntry, entry: ReadingEntry, lesson: Lesson
) -> Outcome:
    zone = ZoneInfo(lesson.golfer.time_zone)
    before = [one for one in load_check_ins(library, check_in.golfer) if _is_before(one, check_in)]
    same = [one for one in before if one.clip == check_in.clip]
    reading = None
    if entry.state is State.READY:
        try:
            reading = load_whole(library, entry)
        except CauselineError:
            entry = replace(entry, state=State.FAILED)
    asked = CheckInClip(
        sha256=clip.sha256,
        state=entry.state,
        reading=reading,
        filmed_on=clip.filmed_on,
        sent_before=same[0].sent_at.astimezone(zone).date() if same else None,
    )
    words = load_words(lesson.golfer.language)
    return run_check_in(lesson, asked, words, _there_before(before, check_in, lesson, zone))


def _is_before(one: CheckIn, other: CheckIn) -> bool:
    return (one.sent_at, one.id) < (other.sent_at, other.id) and one.clip is not None


def _there_before(
    before: Sequence[CheckIn], check_in: CheckIn, lesson: Lesson, zone: ZoneInfo
) -> bool:
    """Whether it was there on another day, for the same lesson and the same target."""
    today = _day(check_in, zone)
    target = lesson.checkpoint.target if lesson.checkpoint else None
    return any(
        one.lesson == check_in.lesson
        and is_there(one)
        and (one.outcome or {}).get("target") == target
        and _day(one, zone) != today
        for one in before
    )


def is_there(check_in: CheckIn) -> bool:
    """Whether the checkpoint was there, by the golfer's own swing."""
    told = check_in.outcome or {}
    return told.get("word") == Word.THERE and not told.get("not_me")


def _day(check_in: CheckIn, zone: ZoneInfo) -> date:
    return check_in.sent_at.astimezone(zone).date()


def _plain(outcome: Outcome) -> dict[str, Any]:
    told = asdict(outcome)
    value = told.pop("value")
    still = told.pop("still")
    return {
        **told,
        "lines": list(outcome.lines),
        "value": [value["value"], value["sd"]] if value else None,
        "still": {**still, "measures": list(still["measures"])} if still else None,
    }
