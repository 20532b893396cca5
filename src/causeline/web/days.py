"""One golfer's days: clips, readings, lessons and check-ins, in the order in which they came."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from fastapi import APIRouter, Request, Response
from starlette.responses import RedirectResponse

from causeline.model.clip import View
from causeline.model.library import (
    CheckIn,
    ClipCard,
    GolferEntry,
    LessonEntry,
    State,
    SwingEntry,
    Tick,
)
from causeline.render.chain import render_fault_title
from causeline.render.words import VIEW_WORDS
from causeline.store.library_clips import load_clip_cards, load_judgements
from causeline.store.library_lessons import load_lessons
from causeline.store.library_practice import load_check_ins, load_ticks
from causeline.web.asking import clip_settings
from causeline.web.contract.golfers import (
    Day,
    DayCheckIn,
    DayClip,
    DayLesson,
    GolferPage,
    SwingLink,
)
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.shelf import clip_seen, golfer_seen, swing_name
from causeline.web.show import show
from causeline.web.words import (
    STATE_WORDS,
    clip_day,
    count_of,
    day_words,
    local_day,
    short_day,
    state_of,
)

router = APIRouter(include_in_schema=False)
MOST = 400
"""Clips, and lessons, of one golfer on the page."""
TRY_AGAIN = (None, State.FAILED)


@dataclass(slots=True)
class _Gathered:
    """What belongs to one day, while it is gathered."""

    clips: list[ClipCard] = field(default_factory=list)
    lessons: list[LessonEntry] = field(default_factory=list)
    check_ins: list[CheckIn] = field(default_factory=list)
    ticks: list[Tick] = field(default_factory=list)


@router.get("/golfers/{name}")
def golfer_page(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """One golfer with their days, the newest first."""
    golfer = golfer_seen(desk, coach, name)
    page = GolferPage(
        id=golfer.id,
        name=golfer.golfer.name,
        facts=_facts(golfer),
        note=golfer.note,
        archived=golfer.archived,
        edit_at=f"/golfers/{golfer.id}/edit",
        add_at=f"/in?golfer={golfer.id}",
        days=_days(desk, golfer),
    )
    return show(request, "golfer.html.j2", page)


@router.post("/clips/{name}/read")
def read_again(desk: OfDesk, coach: Who, name: str) -> Response:
    """Ask for a clip's reading again."""
    clip, golfer = clip_seen(desk, coach, name)
    judgements = load_judgements(desk.library, clip.id)
    desk.readings.ask(clip.sha256, clip_settings(golfer.golfer, clip, judgements))
    return RedirectResponse(f"/golfers/{golfer.id}", 303)


def _facts(golfer: GolferEntry) -> str:
    known = golfer.golfer
    parts = [f"{known.hand.value}-handed"]
    if known.stature_cm:
        parts.append(f"{known.stature_cm:g} cm")
    if known.junior:
        parts.append(f"junior, guardian {golfer.guardian or 'not named'}")
    if golfer.since:
        parts.append(f"since {short_day(golfer.since)}")
    return " · ".join(parts)


def _days(desk: Desk, golfer: GolferEntry) -> tuple[Day, ...]:
    zone = golfer.golfer.time_zone
    days: defaultdict[date, _Gathered] = defaultdict(_Gathered)
    for card in load_clip_cards(desk.library, golfer.id, limit=MOST):
        days[clip_day(card.entry, zone)].clips.append(card)
    for lesson in load_lessons(desk.library, golfer.id, limit=MOST):
        days[local_day(lesson.made_at, zone)].lessons.append(lesson)
    for check_in in load_check_ins(desk.library, golfer.id, limit=MOST):
        days[local_day(check_in.sent_at, zone)].check_ins.append(check_in)
    for tick in load_ticks(desk.library, golfer.id):
        days[local_day(tick.ticked_at, zone)].ticks.append(tick)
    return tuple(_day(day, days[day]) for day in sorted(days, reverse=True))


def _day(day: date, what: _Gathered) -> Day:
    return Day(
        words=day_words(day),
        clips=tuple(map(_clip, sorted(what.clips, key=lambda one: one.entry.name))),
        lessons=tuple(map(_lesson, what.lessons)),
        check_ins=tuple(map(_check_in, what.check_ins)),
        ticks=count_of(len(what.ticks), "practice") + " ticked" if what.ticks else "",
    )


def _clip(card: ClipCard) -> DayClip:
    state, entry = state_of(card), card.entry
    view = entry.view or next((one.view for one in card.swings), None)
    return DayClip(
        name=entry.name,
        picture=f"/clips/{entry.id}/first.jpg",
        facts=" · ".join(_clip_facts(view, entry.club, card.swings)),
        said=entry.said,
        state=(state or State.WAITING).value,
        state_words=STATE_WORDS[state],
        why=card.reading.error if card.reading else "",
        swings=tuple(swing_link(entry.id, one, len(card.swings)) for one in card.swings),
        again=f"/clips/{entry.id}/read" if state in TRY_AGAIN else "",
    )


def _clip_facts(view: View | None, club: str | None, swings: Iterable[SwingEntry]) -> list[str]:
    count = len(list(swings))
    facts = [VIEW_WORDS[view] if view else "view not known yet"]
    if club:
        facts.append(club)
    if count > 1:
        facts.append(count_of(count, "swing"))
    return facts


def swing_link(clip: str, swing: SwingEntry, count: int) -> SwingLink:
    """The way to a swing's sheet."""
    kind = "rehearsal" if swing.rehearsal else "swing"
    words = f"{kind.capitalize()} {swing.number}" if count > 1 else "Open the sheet"
    cause = render_fault_title(swing.cause) if swing.cause else ""
    return SwingLink(f"/sheet/{swing_name(clip, swing.number)}", words, cause)


def _lesson(entry: LessonEntry) -> DayLesson:
    sent = f"sent {short_day(entry.sent_at.date())}" if entry.sent_at else "not sent yet"
    facts = f"{sent} · version {entry.version}"
    return DayLesson(f"/lessons/{entry.id}", entry.title, facts)


def _check_in(check_in: CheckIn) -> DayCheckIn:
    words = "A check-in with a clip" if check_in.clip else "A check-in"
    return DayCheckIn(words, check_in.felt, check_in.answer)
