"""A coach's morning: who asks for what today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.model.course import Course, Item, Matter
from causeline.model.progress import Stage, Standing, Verdict
from causeline.reading.standing import run_stopped

SOON = 3
"""Days ahead that a coach hears of a day to film."""


def run_morning(courses: Sequence[Course]) -> tuple[Item, ...]:
    """Everything that a coach should hear of today, in order of matters, the longest first."""
    items = [item for course in courses for item in _items(course)]
    order = list(Matter)
    return tuple(sorted(items, key=lambda one: (order.index(one.matter), -one.days)))


def run_titles() -> Mapping[str, str]:
    """Each measure's title, by its name; a share of stature has that of its length."""
    return {spec.name: spec.title for spec in FULL_CATALOGUE}


def _items(course: Course) -> list[Item]:
    items = [
        Item(Matter.ANSWER, course, _since(course, one.sent_at), one)
        for one in course.check_ins
        if one.answered_at is None
    ]
    standing = course.standing
    if standing is None:
        return items + _without_lesson(course)
    waits = bool(items)
    items += _progress(course, standing)
    quiet = run_stopped(standing, course.last_sign, course.today)
    if quiet is not None and not waits and standing.stage in _THEIR_TURN:
        items.append(Item(Matter.QUIET, course, quiet))
    else:
        items += _due(course, standing)
    return items or [Item(Matter.GOING, course)]


_THEIR_TURN = (Stage.PRACTISE, Stage.FILM)
"""The golfer's turn; at every other stage it is the coach who has the word."""


def _due(course: Course, standing: Standing) -> list[Item]:
    """A day to film that is near or past; a plan that is over where no number speaks of it."""
    ahead = (course.cases[0].lesson.film_again - course.today) // timedelta(days=1)
    soon = standing.stage is Stage.PRACTISE and ahead <= SOON
    over = standing.stage is Stage.OVER and standing.change is None
    if soon or over or standing.stage is Stage.FILM:
        return [Item(Matter.DUE, course, -ahead)]
    return []


def _progress(course: Course, standing: Standing) -> list[Item]:
    """What the numbers say, once: a target that was met twice is part of a real change."""
    last = max((each.day for each in standing.after), default=standing.made)
    days = (course.today - last) // timedelta(days=1)
    matters = [_MATTERS[standing.change.verdict]] if standing.change else []
    if standing.stage in (Stage.FURTHER, Stage.NEXT) and Matter.REAL not in matters:
        matters = [Matter.MOVE_ON]
    return [Item(matter, course, days, next_cause=course.next_cause) for matter in matters]


_MATTERS = {
    Verdict.CHANGED: Matter.REAL,
    Verdict.OTHER_WAY: Matter.OTHERWISE,
    Verdict.SOMETHING_ELSE: Matter.OTHERWISE,
    Verdict.NOT_TOLD_APART: Matter.UNSURE,
}


def _without_lesson(course: Course) -> list[Item]:
    """Clips that came, and no lesson was sent for them yet."""
    if not course.clips:
        return []
    oldest = min(clip.added_at for clip in course.clips)
    return [Item(Matter.DUE, course, _since(course, oldest))]


def _since(course: Course, at: datetime) -> int:
    return (course.today - at.astimezone(course.zone).date()) // timedelta(days=1)
