"""From swings of the library to a lesson in it: composed, and again as the coach chooses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from causeline.errors import StoreError
from causeline.model.lesson import Golfer, Lesson
from causeline.model.library import Coach, GolferEntry, LessonEntry, Purpose, new_id
from causeline.reading.pairing import run_fitting
from causeline.reading.revising import run_revised, run_shelf
from causeline.reading.teaching import Order, run_lesson
from causeline.store.drill_files import load_drills
from causeline.store.languages import load_words
from causeline.store.lesson_file import load_lesson_dict, save_lesson_dict
from causeline.store.library_clips import load_same_clip
from causeline.store.library_consent import load_allowed
from causeline.store.library_lessons import save_lesson
from causeline.web.both import joined, together
from causeline.web.cards import first_ruled, rulings_kept
from causeline.web.desk import Desk
from causeline.web.rows import offers_for, open_row
from causeline.web.shelf import ShelfSwing, rulings_of, swing_name

FIRST_AT = time(18, 0)
"""When the first practice is, the day after the lesson, where the golfer lives."""


@dataclass(frozen=True, slots=True, eq=False)
class Taught:
    """What a lesson is composed from: the swing in each view, and those set beside it."""

    views: tuple[ShelfSwing, ...]
    references: tuple[ShelfSwing, ...]


def taught_of(desk: Desk, coach: Coach, swing: ShelfSwing, beside: Sequence[str] = ()) -> Taught:
    """The swing with the same one from the other place, and references for both.

    Of the rows named by `beside` those of other golfers who agreed to be shown are references; each
    view that lacks one takes the nearest of the coach's own.
    """
    views = together(desk, coach, swing).views
    named = [one for one in (open_row(desk, coach, name) for name in beside) if one is not None]
    others = [one for one in named if one.golfer.id != swing.golfer.id]
    references = [one for one in others if may_be_shown(desk, one, Purpose.REFERENCE)]
    for view in views:
        if any(one.view is view.view for one in references):
            continue
        nearest = (o.name for o in offers_for(desk, coach, view) if o.kind == "reference")
        found = next((one for name in nearest if (one := open_row(desk, coach, name))), None)
        references += [found] if found is not None else []
    return Taught(views, tuple(references))


def may_be_shown(desk: Desk, swing: ShelfSwing, purpose: Purpose) -> bool:
    """Whether the golfer of a swing agrees to that, now."""
    return purpose in load_allowed(desk.library, swing.golfer.id)


def taught_again(desk: Desk, coach: Coach, golfer: GolferEntry, lesson: Lesson) -> Taught:
    """What a kept lesson was composed from. Raises StoreError where its clips are gone."""
    views = []
    for ref in lesson.swings:
        clip = load_same_clip(desk.library, golfer.id, ref.sha256)
        swing = open_row(desk, coach, swing_name(clip.id, ref.number)) if clip else None
        if swing is not None:
            views.append(swing)
    if not views:
        raise StoreError(
            "the clips of this lesson are not there any more",
            "at least one was expected",
            "its words can still be edited and sent",
        )
    if len(views) == 2:
        views = list(joined(desk, *views).views)
    references = taught_of(desk, coach, views[0]).references
    known = {ref.sha256 for ref in lesson.references}
    return Taught(tuple(views), tuple(one for one in references if one.clip.sha256 in known))


def composed(desk: Desk, coach: Coach, taught: Taught) -> Lesson:
    """The lesson as the tool would write it today."""
    return _lesson(desk, coach, taught, None)


def composed_again(
    desk: Desk, coach: Coach, taught: Taught, before: Lesson, chosen: tuple[Sequence[str], str]
) -> Lesson:
    """The same lesson with other drills, keeping the coach's own words.

    `chosen` holds the drills' names and the one whose aim is the checkpoint.
    """
    fresh = _lesson(desk, coach, taught, (before, *chosen))
    fresh = replace(fresh, id=before.id, made=before.made, sequence=before.sequence)
    return run_revised(fresh, before, coach.name)


def kept_lesson(desk: Desk, coach: Coach, golfer: GolferEntry, lesson: Lesson) -> LessonEntry:
    """The lesson saved for the first time."""
    now = desk.library.now()
    entry = LessonEntry(
        id=new_id(),
        golfer=golfer.id,
        coach=golfer.coach,
        title=title_of(lesson),
        content=save_lesson_dict(lesson),
        made_at=now,
        changed_at=now,
    )
    return save_lesson(desk.library, entry, coach.name)


def lesson_of(entry: LessonEntry) -> Lesson:
    """The lesson of an entry."""
    return load_lesson_dict(entry.content, "the lesson")


def title_of(lesson: Lesson) -> str:
    """What a list calls it: its one thing."""
    headline = lesson.line("cause.headline")
    return (headline.text if headline else "What holds up well")[:200]


def _lesson(
    desk: Desk,
    coach: Coach,
    taught: Taught,
    again: tuple[Lesson, Sequence[str], str] | None,
) -> Lesson:
    golfer = _addressed(taught)
    shown = [view.shown for view in taught.views]
    beside, left_out = run_fitting(shown, [one.shown for one in taught.references])
    order = _order(desk, coach, taught, golfer)
    drills = load_drills()
    if again is not None:
        before, chosen, check = again
        order = replace(order, made=before.made)
        if before.sessions:
            order = replace(order, starts=before.sessions[0].starts)
        drills = tuple(run_shelf(drills, before.cause or "", chosen, check))
    words = load_words(golfer.language)
    lesson = run_lesson(shown, order, drills, words, tuple(beside.values()))
    return replace(lesson, for_coach=(*lesson.for_coach, *left_out))


def _order(desk: Desk, coach: Coach, taught: Taught, golfer: Golfer) -> Order:
    zone = _zone(golfer.time_zone)
    today = desk.library.now().astimezone(zone).date()
    return Order(
        golfer=golfer,
        made=today,
        starts=datetime.combine(today + timedelta(days=1), FIRST_AT, zone),
        coach=coach.name,
        club=taught.views[0].clip.club,
        rulings=rulings_of(desk, *taught.views),
        first=first_ruled(rulings_kept(desk, taught.views)),
    )


def _addressed(taught: Taught) -> Golfer:
    """The golfer as the lesson speaks to them, with what they wrote with the clips."""
    golfer = taught.views[0].golfer.golfer
    said = next((view.clip.said for view in taught.views if view.clip.said), "")
    return replace(golfer, name=golfer.name.split()[0] if golfer.name else "", said=said)


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return ZoneInfo("UTC")
