"""If-then reminders that a golfer words, and the end of mail: both behind secret addresses."""

from __future__ import annotations

from typing import Annotated

from babel import Locale
from babel.dates import get_day_names
from fastapi import APIRouter, Form, Request, Response
from pydantic import BaseModel, ConfigDict, Field
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse

from causeline.model.library import new_id
from causeline.model.reminders import Mailing, Reminder
from causeline.reading.letters import run_told
from causeline.store.languages import load_words
from causeline.store.library_people import load_golfer
from causeline.store.library_reminders import (
    load_mailing_by,
    load_reminders,
    save_mailing_stopped,
    save_reminder,
    save_reminder_withdrawn,
)
from causeline.web.contract.reminders import OwnReminder, RemindersPage, StopPage
from causeline.web.desk import Desk, OfDesk
from causeline.web.practice_guest import Guest, OfGuest
from causeline.web.practice_limits import limits_of
from causeline.web.practice_page import practice_labels
from causeline.web.show import asset, show

router = APIRouter(prefix="/g", include_in_schema=False)
STOP_WORDS = {
    "en": ("No more mail?", "Mail about your practice goes to {}.", "Stop it",
           "Stopped. No more mail comes to {}."),
    "de": ("Keine Post mehr?", "Post zu deinen Übungen geht an {}.", "Abbestellen",
           "Abbestellt. An {} kommt keine Post mehr."),
}  # fmt: skip
"""The page may be opened when no lesson is left to take its language's words from."""


class Worded(BaseModel):
    """The form, as it came."""

    model_config = ConfigDict(frozen=True)
    cue: Annotated[str, Field(max_length=200)] = ""
    act: Annotated[str, Field(max_length=200)] = ""
    weekday: Annotated[str, Field(pattern="^[0-6]?$")] = ""
    at: Annotated[str, Field(pattern="^(([01][0-9]|2[0-3]):[0-5][0-9])?$")] = ""


@router.get("/stop/{token}")
def stop_page(request: Request, token: str, desk: OfDesk) -> Response:
    """Asks before it stops: a mail program that only looks at links stops nothing."""
    return _stop_shown(request, desk, _mailing(request, desk, token))


@router.post("/stop/{token}")
def stop(request: Request, token: str, desk: OfDesk) -> Response:
    """Stops the mail at once: by the page's button, or by a mail program's own (RFC 8058)."""
    _mailing(request, desk, token)
    save_mailing_stopped(desk.library, token)
    return _stop_shown(request, desk, _mailing(request, desk, token))


@router.get("/{secret}/reminders")
def reminders(request: Request, desk: OfDesk, guest: OfGuest, amiss: bool = False) -> Response:
    """The golfer's own reminders, and a form for one more."""
    return show(request, "reminders.html.j2", _page(desk, guest, amiss=amiss))


@router.post("/{secret}/reminders")
def keep(desk: OfDesk, guest: OfGuest, worded: Annotated[Worded, Form()]) -> Response:
    """Keep one more."""
    here = f"{guest.root}reminders"
    if not worded.cue.strip() or not worded.act.strip():
        return RedirectResponse(f"{here}?amiss=true", 303)
    one = Reminder(
        id=new_id(),
        golfer=guest.golfer.id,
        lesson=guest.entry.id,
        cue=worded.cue.strip(),
        act=worded.act.strip(),
        made_at=desk.library.now(),
        weekday=int(worded.weekday) if worded.weekday else None,
        at=worded.at,
    )
    save_reminder(desk.library, one)
    return RedirectResponse(here, 303)


@router.post("/{secret}/reminders/{name}/away")
def away(name: str, desk: OfDesk, guest: OfGuest) -> Response:
    """Take one back; taking it back twice is no mistake."""
    known = load_reminders(desk.library, guest.golfer.id, guest.entry.id)
    mine = next((one for one in known if one.id == name), None)
    if mine is not None:
        save_reminder_withdrawn(desk.library, mine)
    return RedirectResponse(f"{guest.root}reminders", 303)


def _page(desk: Desk, guest: Guest, *, amiss: bool) -> RemindersPage:
    language = guest.lesson.golfer.language
    days = _days(language)
    known = load_reminders(desk.library, guest.golfer.id, guest.entry.id)
    told = run_told(guest.lesson, known, load_words(language))
    return RemindersPage(
        language=language,
        style=asset("reminders.css"),
        root=guest.root,
        labels=practice_labels(guest.lesson),
        reminders=tuple(
            OwnReminder(said, _when(one, days), f"{guest.root}reminders/{one.id}/away")
            for one, said in told
        ),
        days=days,
        amiss=amiss,
    )


def _when(one: Reminder, days: tuple[str, ...]) -> str:
    day = days[one.weekday] if one.weekday is not None else ""
    return " ".join(part for part in (day, one.at) if part)


def _days(language: str) -> tuple[str, ...]:
    names = get_day_names("wide", "stand-alone", Locale.parse(language.replace("-", "_")))
    return tuple(str(names[day]) for day in range(7))


def _mailing(request: Request, desk: Desk, token: str) -> Mailing:
    """Whom the link stops the mail to. Raises 404 for no link of ours, 429 for too many."""
    found = load_mailing_by(desk.library, token)
    if found is None:
        limits_of(request).strangers.take(request.client.host if request.client else "")
        raise HTTPException(404)
    return found


def _stop_shown(request: Request, desk: Desk, mailing: Mailing) -> Response:
    language = load_golfer(desk.library, mailing.golfer).golfer.language
    title, ask, button, done = STOP_WORDS.get(language.split("-")[0], STOP_WORDS["en"])
    open_still = mailing.stopped_at is None
    words = (ask if open_still else done).format(mailing.address)
    page = StopPage(language, asset("reminders.css"), title, words, button if open_still else "")
    return show(request, "stop.html.j2", page)
