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
    items += _progress(course, standing)
    quiet = run_stopped(standing, course.last_sign, course.today)
    if quiet is not None:
        items.append(Item(Matter.QUIET, course, quiet))
    film_again = course.cases[0].lesson.film_again
    ahead = (film_again - course.today) // timedelta(days=1)
    soon = standing.stage is Stage.PRACTISE and ahead <= SOON
    if soon or standing.stage in (Stage.FILM, Stage.OVER):
        items.append(Item(Matter.DUE, course, -ahead))
    return items or [Item(Matter.GOING, course)]


def _progress(course: Course, standing: Standing) -> list[Item]:
    last = max((each.day for each in standing.after), default=standing.made)
    days = (course.today - last) // timedelta(days=1)
    items = []
    if standing.stage in (Stage.FURTHER, Stage.NEXT):
        items.append(Item(Matter.MOVE_ON, course, days, next_cause=course.next_cause))
    if standing.change is not None:
        items.append(Item(_MATTERS[standing.change.verdict], course, days))
    return items


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
