"""What the golfer's phone sends: ticks, words and clips, each kept once however often it comes."""

from __future__ import annotations

import hashlib
import tempfile
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response

from causeline.errors import ClipError, ClipTooLarge, NotAgreed
from causeline.model.clip import Clip
from causeline.model.library import CheckIn, Purpose, Tick
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_consent import load_allowed
from causeline.store.library_practice import load_check_in, save_check_in_once, save_tick
from causeline.web.asking import clip_settings
from causeline.web.contract.practice import ClipIn, Name, TickIn, WordsIn
from causeline.web.desk import Desk, OfDesk
from causeline.web.mistakes import Mistake, Refusal
from causeline.web.practice_guest import Guest, OfGuest
from causeline.web.practice_limits import limits_of
from causeline.web.settling import not_me

router = APIRouter(prefix="/g/{secret}", include_in_schema=False)
KEPT = 204
EARLIEST = timedelta(days=60)
"""How long a phone may have been without a network."""


@router.post("/ticks")
def tick(told: TickIn, desk: OfDesk, guest: OfGuest) -> Response:
    """A practice that was done."""
    if told.session not in {one.uid for one in guest.lesson.sessions + guest.lesson.dropped}:
        raise HTTPException(404)
    save_tick(
        desk.library,
        Tick(
            id=told.id,
            golfer=guest.golfer.id,
            lesson=guest.entry.id,
            session=told.session,
            ticked_at=_when(desk, told.at),
            note=told.note,
        ),
    )
    return Response(status_code=KEPT)


@router.post("/words")
def words(told: WordsIn, desk: OfDesk, guest: OfGuest) -> Response:
    """How it felt."""
    _keep(desk, guest, _check_in(desk, guest, told.id, told.at, told.felt.strip()))
    return Response(status_code=KEPT)


@router.put("/clips/{name}")
async def clip(
    request: Request,
    name: Name,
    desk: OfDesk,
    guest: OfGuest,
    sent: Annotated[ClipIn, Query()],
) -> Response:
    """A new clip, as its bare content: kept, and read in the background."""
    limits_of(request).clips.take(hashlib.sha256(guest.root.encode()).hexdigest())
    with tempfile.TemporaryDirectory(prefix="causeline-") as folder:
        path = Path(folder) / "clip"
        with path.open("wb") as file:
            async for part in request.stream():
                await run_in_threadpool(file.write, part)
        await run_in_threadpool(_take_clip, desk, guest, name, path, sent)
    return Response(status_code=KEPT)


@router.post("/check-in/{name}/not-me")
def somebody_else(name: str, desk: OfDesk, guest: OfGuest) -> Response:
    """The golfer does not know the swing in that clip."""
    check_in = load_check_in(desk.library, name)
    if check_in.golfer != guest.golfer.id:
        raise HTTPException(404)
    not_me(desk.library, check_in)
    return Response(status_code=KEPT)


def _take_clip(desk: Desk, guest: Guest, name: str, path: Path, sent: ClipIn) -> None:
    """Keep a clip with its check-in, and ask for its reading."""
    library = desk.library
    if Purpose.ANALYSIS not in load_allowed(library, guest.golfer.id):
        raise NotAgreed("clips are not taken", "consent to analysis was expected", "ask the coach")
    notes = ClipNotes(
        sent.file,
        club=guest.lesson.club,
        filmed_on=_day(desk, guest, _look(desk, path), sent),
        said=sent.felt.strip(),
    )
    kept = save_clip(library, guest.golfer.id, path, notes)
    check_in = _check_in(desk, guest, name, sent.at, sent.felt.strip())
    _keep(desk, guest, replace(check_in, clip=kept.id))
    desk.readings.ask(kept.sha256, clip_settings(guest.golfer.golfer, kept))


def _day(desk: Desk, guest: Guest, film: Clip, sent: ClipIn) -> date | None:
    """When it was filmed: as the golfer says, else as the film says, else as its file does."""
    if sent.said and sent.filmed is not None:
        return sent.filmed
    own = film.recorded_on(guest.golfer.golfer.time_zone, desk.library.now())
    return own or sent.filmed


def _look(desk: Desk, path: Path) -> Clip:
    """What the film is. Raises Refusal (415) for what is no film."""
    try:
        return desk.probe(path)
    except ClipTooLarge:
        raise
    except ClipError as error:
        raise Refusal(Mistake(415, "that file is no film", "a film was expected", "")) from error


def _check_in(desk: Desk, guest: Guest, name: str, at: datetime, felt: str) -> CheckIn:
    return CheckIn(
        id=name,
        golfer=guest.golfer.id,
        sent_at=_when(desk, at),
        lesson=guest.entry.id,
        felt=felt,
    )


def _keep(desk: Desk, guest: Guest, check_in: CheckIn) -> None:
    """Keep it once. Raises 404 where another golfer's has that id, which nobody can want."""
    if save_check_in_once(desk.library, check_in).golfer != guest.golfer.id:
        raise HTTPException(404)


def _when(desk: Desk, at: datetime) -> datetime:
    """The phone's time, where it can be believed."""
    now = desk.library.now()
    return at if at.tzinfo is not None and now - EARLIEST <= at <= now else now
