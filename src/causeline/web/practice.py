"""The golfer's page behind its secret link: the page, what it keeps on the phone, what it shows.

No account, no cookie that matters: the link alone lets in, to one golfer's one lesson. What the
phone sends back is in `practice_sent`.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
from contextlib import suppress
from datetime import datetime

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response

from causeline.errors import Outdated
from causeline.reading.check_in import run_change_told
from causeline.reading.letters import run_told
from causeline.render.calendar import render_calendar
from causeline.render.lesson_figures import Figure
from causeline.render.lesson_page import render_date, render_lesson_page, render_sheet
from causeline.store.languages import load_words
from causeline.store.library_lessons import load_attachments
from causeline.store.library_practice import load_check_in, load_check_ins, load_ticks
from causeline.store.library_reminders import load_reminders
from causeline.web.contract.practice import (
    CheckInOut,
    KeptOut,
    SessionOut,
    StateOut,
    TickOut,
    Withdrawn,
)
from causeline.web.desk import Desk, OfDesk
from causeline.web.guard import POLICY
from causeline.web.mistakes import Refusal
from causeline.web.practice_guest import Guest, OfGuest, guest_of, the_guest
from causeline.web.practice_page import is_talk, practice_labels, practice_page, talks_of
from causeline.web.practice_pictures import check_in_picture, page_pictures, read_picture
from causeline.web.settling import is_being_read, settled
from causeline.web.show import ASSETS, BUILT, asset, built_file, show
from causeline.web.talk_film import with_talks

router = APIRouter(prefix="/g/{secret}", include_in_schema=False)
MAY = {"permissions-policy": "camera=(self), microphone=(self), geolocation=()"}
FONTS = ("/fonts/source-serif-4.woff2", "/fonts/encode-sans.woff2")
MOST_CHECK_INS = 20
GZIP = 6


@router.get("")
def without_slash(secret: str) -> Response:
    """The page's address ends with a slash, so that its worker's reach ends there too."""
    return RedirectResponse(f"/g/{secret}/", 308)


@router.get("/")
def page(request: Request, secret: str, desk: OfDesk) -> Response:
    """The golfer's page; where the link leads nowhere, a page that says so."""
    try:
        guest = the_guest(request, secret, desk)
    except Refusal as refusal:
        if refusal.status_code != 410:
            raise
        return show(request, "withdrawn.html.j2", Withdrawn(asset("practice.css")), 410)
    return golfer_page(request, desk, lighter(desk, guest))


def golfer_page(request: Request, desk: Desk, guest: Guest) -> Response:
    """The page as the golfer sees it; the workbench shows it too, before it is sent."""
    made = page_pictures(desk, guest)
    style = _style()
    assets = {"script": f"/built/{built_file('practice')}", "style": style}
    record = practice_page(desk, guest, made, state_of(desk, guest), assets)
    answer = show(request, "practice.html.j2", record)
    answer.headers.update({**MAY, "content-security-policy": _policy(style)})
    return _packed(request, answer)


def _style() -> str:
    """The page's rules, which stand in the page: on a slow network a second fetch is felt."""
    return (ASSETS / "practice.css").read_text(encoding="utf-8")


def _policy(style: str) -> str:
    """The guard's policy, and these very rules by their hash."""
    mark = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return POLICY.replace("style-src 'self'", f"style-src 'self' 'sha256-{mark}'")


def _packed(request: Request, answer: Response) -> Response:
    """Compressed, where the browser takes that: slow networks are where golfers practise.

    Only who knows the page's secret address can ask for it, so that its length betrays nothing.
    """
    answer.headers["vary"] = "accept-encoding"
    if "gzip" not in request.headers.get("accept-encoding", ""):
        return answer
    answer.body = gzip.compress(bytes(answer.body), GZIP, mtime=0)
    answer.headers["content-encoding"] = "gzip"
    answer.headers["content-length"] = str(len(answer.body))
    return answer


@router.get("/state")
def state(desk: OfDesk, guest: OfGuest) -> StateOut:
    """Everything on the page that changes."""
    return state_of(desk, guest)


def state_of(desk: Desk, guest: Guest) -> StateOut:
    """The plan, what was ticked, what was sent and what came back."""
    lesson = guest.lesson
    ticks = load_ticks(desk.library, guest.golfer.id, guest.entry.id)
    return StateOut(
        lesson=guest.entry.id,
        version=guest.entry.version,
        drawn=page_pictures(desk, guest) is not None,
        film_again=lesson.film_again.isoformat(),
        sessions=tuple(
            SessionOut(
                uid=one.uid,
                day=one.starts.date().isoformat(),
                told=render_date(lesson, one.starts.date()),
                minutes=one.minutes,
                drills=one.drills,
                note=one.note,
            )
            for one in lesson.sessions
        ),
        ticks=tuple(TickOut(id=one.id, session=one.session, at=one.ticked_at) for one in ticks),
        check_ins=(check_ins := _check_ins(desk, guest)),
        change=_changed(desk, guest) if any(one.clip for one in check_ins) else (),
    )


def _changed(desk: Desk, guest: Guest) -> tuple[str, ...]:
    """Whether it has changed for good since this lesson, as far as the numbers hold."""
    course = desk.progress.standings.course(guest.golfer.id)
    standing = next((one for one in course.standings if one.lesson == guest.entry.id), None)
    if standing is None or standing.change is None:
        return ()
    newest = course.standing is standing
    words = load_words(guest.lesson.golfer.language)
    following = course.next_cause if newest else None
    return run_change_told(guest.lesson, standing.change, following, words)


def lighter(desk: Desk, guest: Guest) -> Guest:
    """As the plan stands once missed practice has made it lighter."""
    with suppress(Outdated):  # the coach is changing it: the next look takes their version
        desk.progress.plans.shortened(guest.golfer.id, guest.entry.id)
    return guest_of(desk, guest.link, guest.root)


def _check_ins(desk: Desk, guest: Guest) -> tuple[CheckInOut, ...]:
    library = desk.library
    mine = [
        one
        for one in load_check_ins(library, guest.golfer.id, MOST_CHECK_INS)
        if one.lesson == guest.entry.id
    ]
    talks = {
        str(one.content.get("check_in")): one.id
        for one in load_attachments(library, guest.golfer.id, guest.entry.id)
        if is_talk(one) and guest.face
    }
    shown = []
    for one in settled(library, mine):
        told = one.outcome or {}
        picture = check_in_picture(desk, guest, one)
        root = guest.root
        shown.append(
            CheckInOut(
                id=one.id,
                at=one.sent_at,
                felt=one.felt,
                clip=one.clip is not None,
                reading=is_being_read(library, one),
                word=told.get("word", ""),
                lines=tuple(told.get("lines", ())),
                picture=f"{root}check-in/{one.id}/picture" if picture is not None else "",
                not_me=bool(told.get("not_me")),
                answer=one.answer,
                answered=one.answered_at,
                talk=f"{root}talk/{talks[one.id]}" if one.id in talks else "",
            )
        )
    return tuple(shown)


@router.get("/kept")
def kept(desk: OfDesk, guest: OfGuest) -> KeptOut:
    """What the worker keeps, so that the page opens without a network."""
    made = page_pictures(desk, guest)
    pictures = made.content["pictures"] if made else {}
    mark = made.key[:12] if made else ""
    root = guest.root
    addresses = (
        root,
        f"{root}state",
        f"{root}app.webmanifest",
        asset("icon.svg"),
        f"/built/{built_file('practice')}",
        *FONTS,
        *(f"{root}picture/{name}?v={mark}" for name in pictures),
        *(talk.src for talk in talks_of(desk, guest)),
    )
    told = json.dumps([guest.entry.id, guest.entry.version, addresses])
    return KeptOut(mark=hashlib.sha256(told.encode()).hexdigest()[:16], addresses=addresses)


@router.get("/worker.js")
def worker(_: OfGuest) -> Response:
    """The script that answers for the page where there is no network."""
    return FileResponse(BUILT / built_file("practice-worker"), media_type="text/javascript")


@router.get("/app.webmanifest")
def manifest(guest: OfGuest) -> Response:
    """What the home screen shows."""
    lesson = guest.lesson
    told = {
        "id": guest.root,
        "name": guest.lesson.label("lesson"),
        "short_name": guest.lesson.label("lesson"),
        "lang": lesson.golfer.language,
        "start_url": guest.root,
        "scope": guest.root,
        "display": "standalone",
        "background_color": "#f7f9f9",
        "theme_color": "#0d2335",
        "icons": [
            {"src": asset("icon.svg"), "sizes": "any", "type": "image/svg+xml"},
            {"src": asset("practice-icon.png"), "sizes": "512x512", "type": "image/png"},
        ],
    }
    return JSONResponse(told, media_type="application/manifest+json")


@router.get("/picture/{name}")
def picture(name: str, desk: OfDesk, guest: OfGuest) -> Response:
    """One frame of the lesson."""
    made = page_pictures(desk, guest)
    return _jpeg(read_picture(desk, made, name) if made else None)


@router.get("/check-in/{name}/picture")
def answered_picture(name: str, desk: OfDesk, guest: OfGuest) -> Response:
    """The frame that goes with a check-in's answer."""
    check_in = load_check_in(desk.library, name)
    if check_in.golfer != guest.golfer.id or check_in.lesson != guest.entry.id:
        raise HTTPException(404)
    made = check_in_picture(desk, guest, check_in)
    return _jpeg(read_picture(desk, made, "check-in") if made else None)


@router.get("/talk/{name}")
def talk(name: str, desk: OfDesk, guest: OfGuest) -> Response:
    """A talk-through of this lesson, as a film; parts of it where a player asks for parts."""
    found = load_attachments(desk.library, guest.golfer.id, guest.entry.id)
    one = next((each for each in found if each.id == name and is_talk(each)), None)
    if one is None or one.file_key is None or not guest.face:
        raise HTTPException(404)
    with desk.library.vault.on_disk(one.file_key) as path:
        return FileResponse(path, media_type=str(one.content.get("type", "video/mp4")))


@router.get("/lesson.html")
def whole_lesson(desk: OfDesk, guest: OfGuest) -> Response:
    """The same in one file, to keep."""
    made = page_pictures(desk, guest)
    figures = {}
    for name, told in (made.content["pictures"] if made else {}).items():
        jpeg = read_picture(desk, made, name) if made else None
        if jpeg is not None:
            figures[name] = Figure(jpeg, told["width"], told["height"], told["caption"])
    text = render_lesson_page(render_sheet(guest.lesson, figures))
    heading = practice_labels(guest.lesson)["talk"]
    whole = with_talks(desk, guest.golfer.id, guest.entry.id, heading, text.encode())
    return _saved_as(whole, "text/html; charset=utf-8", "lesson.html")


@router.get("/practice.ics")
def calendar(desk: OfDesk, guest: OfGuest) -> Response:
    """The plan for the phone's calendar, with what the golfer reminds themselves of."""
    lesson = lighter(desk, guest).lesson
    now: datetime = desk.library.now()
    known = load_reminders(desk.library, guest.golfer.id, guest.entry.id, withdrawn=True)
    told = run_told(lesson, known, load_words(lesson.golfer.language))
    content = render_calendar(lesson, now, reminders=told)
    return _saved_as(content, "text/calendar", "practice.ics")


def _saved_as(content: bytes, kind: str, name: str) -> Response:
    told = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=told)


def _jpeg(content: bytes | None) -> Response:
    if content is None:
        raise HTTPException(404)
    return Response(content, media_type="image/jpeg")
