"""Clips in: dropped, chosen, or sent by a phone; each named, kept once, read in its turn."""

from __future__ import annotations

import asyncio
import io
import shutil
from collections.abc import AsyncIterator, Iterable, Sequence
from datetime import date
from functools import partial
from typing import Annotated, Literal

import segno
from fastapi import APIRouter, Form, Query, Request, Response, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.sse import EventSourceResponse
from PIL import Image
from pydantic import BaseModel
from starlette.responses import RedirectResponse

from causeline.errors import CauselineError, SettingError
from causeline.model.access import Make
from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.library import ClipEntry, Coach, GolferEntry
from causeline.render.stills import render_jpeg
from causeline.store.library_clips import ClipNotes, load_clip_cards
from causeline.store.library_people import load_golfers, save_audit
from causeline.web.arrivals import Came, arrivals, clip_told, fill, room_for_file, take_in
from causeline.web.contract.golfers import Choice
from causeline.web.contract.intake import (
    ArrivalsTold,
    Arrived,
    CameTold,
    IntakePage,
    Lost,
)
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.golfers import golfer_named
from causeline.web.made import Recipe
from causeline.web.phone import serve_phone_app
from causeline.web.shelf import clip_seen, golfer_seen
from causeline.web.show import show
from causeline.web.words import CLUB_CHOICES, VIEW_CHOICES

router = APIRouter()
LOOK_S = 0.5
PICTURE_PX = 320
FIRST_VERSION = 1


class Notes(BaseModel):
    """What is said of the clips that come."""

    golfer: str = ""
    """Id of a golfer who is here."""
    new_golfer: str = ""
    """Name of one who is not; it goes before the id."""
    said: str = ""
    view: View | Literal[""] = ""
    club: ClubSort | Literal[""] = ""
    filmed_on: date | Literal[""] = ""
    capture_hz: float | Literal[""] = ""

    def whose(self, desk: Desk, coach: Coach) -> GolferEntry:
        """The golfer. Raises SettingError where none is named."""
        if self.new_golfer.strip():
            return golfer_named(desk, coach, self.new_golfer)
        if not self.golfer:
            raise SettingError(
                "clips came without a golfer",
                "a golfer of the list, or a new one's name, was expected",
                "say whose clips they are, and send them again",
            )
        return golfer_seen(desk, coach, self.golfer)

    def of(self, name: str) -> ClipNotes:
        """For one file."""
        return ClipNotes(
            name=name,
            view=self.view or None,
            club=self.club or None,
            capture_hz=self.capture_hz or None,
            filmed_on=self.filmed_on or None,
            said=self.said.strip(),
        )


class NotesWithFiles(Notes):
    """The form without a script: all files at once."""

    files: list[UploadFile]


class NotesOfOne(Notes):
    """With one file, whose content is the body."""

    name: str


@router.get("/in", include_in_schema=False)
def intake_page(request: Request, desk: OfDesk, coach: Who, golfer: str = "") -> Response:
    """Where clips come in."""
    return show(request, "in.html.j2", _page(desk, coach, golfer))


@router.post("/in", include_in_schema=False)
def take_files(
    request: Request, desk: OfDesk, coach: Who, notes: Annotated[NotesWithFiles, Form()]
) -> Response:
    """Many files of a form, without a script: each is taken or told why not."""
    golfer = notes.whose(desk, coach)
    lost: list[Lost] = []
    came: list[Arrived] = []
    for each in notes.files:
        name = each.filename or "a file without a name"
        try:
            with room_for_file() as (file, path):
                shutil.copyfileobj(each.file, file)
                file.flush()
                taken = take_in(desk, golfer, path, notes.of(name))
        except CauselineError as error:
            lost.append(Lost(name, str(error)))
        else:
            came.append(Arrived(name, _note(taken)))
    return show(request, "in.html.j2", _page(desk, coach, golfer.id, lost, came))


@router.post("/in/clips")
async def take_clip(
    request: Request, desk: OfDesk, coach: Who, notes: Annotated[NotesOfOne, Query()]
) -> CameTold:
    """One file as the body, streamed to the disk."""
    with room_for_file() as (file, path):
        await fill(file, request.stream())

        def take() -> CameTold:
            golfer = notes.whose(desk, coach)
            return _came(desk, golfer, take_in(desk, golfer, path, notes.of(notes.name)))

        return await run_in_threadpool(take)


@router.get("/in/arrivals")
def arrivals_now(desk: OfDesk, coach: Who) -> ArrivalsTold:
    """The clips that came last, as they stand."""
    return ArrivalsTold(clips=arrivals(desk, coach))


@router.get("/in/events", response_class=EventSourceResponse)
async def arrival_events(desk: OfDesk, coach: Who) -> AsyncIterator[ArrivalsTold]:
    """The clips that came last, whenever anything about them changes."""
    last = None
    while True:
        now = await run_in_threadpool(arrivals_now, desk, coach)
        if now != last:
            yield now
        last = now
        await asyncio.sleep(LOOK_S)


@router.post("/in/phone", include_in_schema=False)
def open_phone(desk: OfDesk, coach: Who, golfer: Annotated[str, Form()] = "") -> Response:
    """Let a phone on this network send one golfer's clips, for a while."""
    whose = Notes(golfer=golfer).whose(desk, coach)
    desk.phone.open(whose, partial(serve_phone_app, desk, whose))
    save_audit(desk.library, coach.id, "opened for a phone", whose.id)
    return RedirectResponse(f"/in?golfer={whose.id}#phone", 303)


@router.post("/in/phone/close", include_in_schema=False)
def close_phone(desk: OfDesk, _: Who) -> Response:
    """Listen no longer."""
    desk.phone.close()
    return RedirectResponse("/in", 303)


@router.get("/in/phone.svg", include_in_schema=False)
def phone_code(desk: OfDesk, coach: Who) -> Response:
    """The address as a code on screen (ISO/IEC 18004)."""
    opened = desk.phone.opened()
    if opened is None or opened.golfer.coach != coach.id:
        return Response(status_code=404)
    drawn = io.BytesIO()
    segno.make(opened.address, error="m").save(drawn, kind="svg", border=4, light="#fff")
    return Response(drawn.getvalue(), media_type="image/svg+xml")


@router.get("/clips/{name}/first.jpg", include_in_schema=False)
def first_picture(desk: OfDesk, coach: Who, name: str) -> Response:
    """A small picture from the middle of a clip."""
    clip, _ = clip_seen(desk, coach, name)
    recipe = Recipe(Make.STILL, ["first", FIRST_VERSION, clip.sha256], sha256=clip.sha256)
    made = desk.made.get(recipe, lambda: (_first_jpeg(desk, clip), {}))
    return jpeg(desk.library.vault.read(made.file_key))


def jpeg(content: bytes) -> Response:
    """A picture that the coach's own browser may keep."""
    headers = {"cache-control": "private, max-age=86400"}
    return Response(content, media_type="image/jpeg", headers=headers)


def _first_jpeg(desk: Desk, clip: ClipEntry) -> bytes:
    with desk.library.vault.on_disk(clip.sha256) as path:
        seen = desk.probe(path)
        middle = len(seen.clock) // 2
        frame = next(iter(desk.footage(path, seen, [middle], PICTURE_PX)), None)
    if frame is None:
        blank = io.BytesIO()
        Image.new("RGB", (9, 16), (128, 128, 128)).save(blank, "JPEG")
        return blank.getvalue()
    return render_jpeg(frame.picture)


def _came(desk: Desk, golfer: GolferEntry, came: Came) -> CameTold:
    cards = load_clip_cards(desk.library, golfer.id, limit=1_000)
    card = next(card for card in cards if card.entry.id == came.clip.id)
    return CameTold(clip=clip_told(desk, card, golfer), same=came.same)


def _note(came: Came) -> str:
    return "was here before, so nothing was added" if came.same else "came in"


def _page(
    desk: Desk,
    coach: Coach,
    golfer: str,
    lost: Sequence[Lost] = (),
    came: Sequence[Arrived] = (),
) -> IntakePage:
    golfers = [one for one in load_golfers(desk.library, coach.id) if not one.archived]
    opened = desk.phone.opened()
    if opened is not None and opened.golfer.coach != coach.id:
        opened = None
    return IntakePage(
        golfers=tuple(Choice(one.id, one.golfer.name, one.id == golfer) for one in golfers),
        views=_choices(VIEW_CHOICES),
        clubs=_choices(CLUB_CHOICES),
        today=desk.library.now().date().isoformat(),
        arrivals=arrivals(desk, coach),
        lost=tuple(lost),
        arrived=tuple(came),
        phone=opened.address if opened else "",
        phone_for=opened.golfer.golfer.name if opened else "",
    )


def _choices(pairs: Iterable[tuple[str, str]]) -> tuple[Choice, ...]:
    return tuple(Choice(value, words, not value) for value, words in pairs)
