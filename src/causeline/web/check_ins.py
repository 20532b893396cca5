"""The coach's queue: what golfers sent, what their clips said, and one line back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from causeline.errors import CauselineError, Outdated
from causeline.model.library import CheckIn, LessonEntry, Link, State, new_id
from causeline.model.practice import Why
from causeline.store.library_clips import load_clip
from causeline.store.library_lessons import load_lesson
from causeline.store.library_people import load_golfer, load_golfers
from causeline.store.library_practice import (
    load_check_in,
    load_check_ins,
    load_unanswered,
    save_check_in,
)
from causeline.store.library_readings import load_reading_of
from causeline.web.contract.check_ins import CheckInCard, CheckInPage
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.practice_guest import Guest, guest_of
from causeline.web.practice_pictures import check_in_picture, read_picture
from causeline.web.settling import settled
from causeline.web.shelf import golfer_seen, swing_name
from causeline.web.show import show
from causeline.web.words import STATE_WORDS, count_of, short_day

router = APIRouter(include_in_schema=False)
MOST_ANSWERED = 12
LONGEST_ANSWER = 2000
WHYS: dict[str, str] = {
    Why.SAME_CLIP: "the very file that was sent before",
    Why.OLD: "filmed before the lesson",
    Why.UNREADABLE: "no swing could be read from it",
    Why.FAILED: "reading it failed here: ask for it again on the golfer's page",
    Why.NO_CHECKPOINT: "the lesson has no checkpoint that a film shows",
    Why.WRONG_VIEW: "filmed from the other place",
    Why.OTHER_HAND: "plays with the other hand: somebody else, or a mirrored film",
    Why.NO_BALL: "practice swings only",
    Why.NOT_MEASURED: "the measure was refused",
    Why.UNSURE: "its ± is larger than the step",
}


@router.get("/check-ins")
def queue(request: Request, desk: OfDesk, coach: Who) -> Response:
    """Those that wait, the longest waiting first."""
    return _page(request, desk, coach.id, {})


@router.post("/check-ins/{name}/answer")
def answer(
    request: Request,
    name: str,
    desk: OfDesk,
    coach: Who,
    answer: Annotated[str, Form(max_length=LONGEST_ANSWER)] = "",
    version: Annotated[int, Form()] = 0,
) -> Response:
    """One line back. An empty one says that it was seen and needs no word."""
    check_in = load_check_in(desk.library, name)
    golfer_seen(desk, coach, check_in.golfer)
    said = answer.strip()
    told = replace(check_in, answer=said, answered_at=desk.library.now(), version=version)
    try:
        save_check_in(desk.library, told)
    except Outdated:
        now = load_check_in(desk.library, name)
        if now.answered_at is None:  # its clip was told meanwhile: nobody else answered
            save_check_in(desk.library, replace(now, answer=said, answered_at=told.answered_at))
        else:
            return _page(request, desk, coach.id, {name: said}, 409)
    return RedirectResponse("/check-ins", 303)


@router.get("/check-ins/{name}/picture")
def picture(name: str, desk: OfDesk, coach: Who) -> Response:
    """The frame that shows it, as soon as it is drawn."""
    check_in = load_check_in(desk.library, name)
    golfer_seen(desk, coach, check_in.golfer)
    made = check_in_picture(desk, _guest(desk, check_in), check_in)
    content = read_picture(desk, made, "check-in") if made else None
    if content is None:
        raise HTTPException(404)
    return Response(content, media_type="image/jpeg")


def _guest(desk: Desk, check_in: CheckIn) -> Guest:
    """As the golfer's own link would let in."""
    now = desk.library.now()
    return guest_of(desk, Link(new_id(), check_in.golfer, now, check_in.lesson), "")


def _page(
    request: Request, desk: Desk, coach: str, drafts: dict[str, str], status: int = 200
) -> Response:
    waiting = settled(desk.library, load_unanswered(desk.library, coach))
    own = [one.id for one in load_golfers(desk.library, coach)]
    lately = [one for name in own for one in load_check_ins(desk.library, name, MOST_ANSWERED)]
    answered = [one for one in lately if one.answered_at is not None]
    answered.sort(key=lambda one: str(one.answered_at), reverse=True)
    count = len(waiting)
    page = CheckInPage(
        title=f"{count_of(count, 'check-in')} to answer" if count else "No check-in waits",
        waiting=_cards(desk, waiting, drafts),
        answered=_cards(desk, answered[:MOST_ANSWERED], drafts),
    )
    return show(request, "check_ins.html.j2", page, status)


def _cards(
    desk: Desk, check_ins: Iterable[CheckIn], drafts: dict[str, str]
) -> tuple[CheckInCard, ...]:
    return tuple(_card(desk, one, drafts.get(one.id)) for one in check_ins)


def _card(desk: Desk, one: CheckIn, draft: str | None) -> CheckInCard:
    golfer = load_golfer(desk.library, one.golfer)
    told = one.outcome or {}
    state = _state(desk, one)
    has_picture = bool(told.get("still")) and _drawn(desk, one)
    return CheckInCard(
        id=one.id,
        name=golfer.golfer.name,
        golfer_at=f"/golfers/{golfer.id}",
        when=short_day(one.sent_at.date()),
        waited=_waited(one.sent_at, desk.library.now()) if one.answered_at is None else "",
        lesson=_title(desk, one),
        felt=one.felt,
        word=told.get("word", ""),
        why=WHYS.get(told.get("why") or "", ""),
        lines=tuple(told.get("lines", ()))[1:],
        state=state.value if state else "",
        state_words=STATE_WORDS[state] if state else "",
        picture=f"/check-ins/{one.id}/picture" if has_picture else "",
        swing_at=_swing_at(one),
        talk_at=_talk_at(one),
        not_me=bool(told.get("not_me")),
        answer=one.answer,
        version=one.version,
        mistake=one.answer if draft is not None else "",
        draft=draft or "",
    )


def _drawn(desk: Desk, one: CheckIn) -> bool:
    try:
        return check_in_picture(desk, _guest(desk, one), one) is not None
    except CauselineError:
        return False


def _state(desk: Desk, one: CheckIn) -> State | None:
    if one.clip is None:
        return None
    entry = load_reading_of(desk.library, load_clip(desk.library, one.clip).sha256)
    return entry.state if entry else None


def _swing_at(one: CheckIn) -> str:
    """The swing that answers on the bench; the first where none does."""
    if one.clip is None:
        return ""
    number = int((one.outcome or {}).get("swing") or 1)
    return f"/bench/{swing_name(one.clip, number)}"


def _talk_at(one: CheckIn) -> str:
    at = _swing_at(one)
    return f"{at}?lesson={one.lesson}&check_in={one.id}" if at and one.lesson else ""


def _title(desk: Desk, one: CheckIn) -> str:
    lesson: LessonEntry | None = load_lesson(desk.library, one.lesson) if one.lesson else None
    return lesson.title if lesson else ""


def _waited(since: datetime, now: datetime) -> str:
    hours = max(0, round((now - since).total_seconds() / 3600))
    if hours < 1:
        return "just now"
    return f"waits {count_of(hours, 'hour') if hours < 48 else count_of(hours // 24, 'day')}"
