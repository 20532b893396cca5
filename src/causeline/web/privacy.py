"""A golfer's privacy: consent given and withdrawn, everything exported, everything deleted."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from starlette.background import BackgroundTask
from starlette.responses import FileResponse, RedirectResponse

from causeline.errors import SettingError
from causeline.model.library import Consent, GolferEntry, Purpose
from causeline.store.library_clips import load_clips
from causeline.store.library_consent import (
    load_allowed,
    load_consents,
    save_consent,
    save_consent_withdrawn,
)
from causeline.store.library_export import save_export
from causeline.store.library_lessons import load_lessons, load_links, save_link_withdrawn
from causeline.store.library_people import save_audit
from causeline.store.library_removal import save_golfer_removed
from causeline.web.access import own_id
from causeline.web.contract.privacy import Privacy, PurposeLine
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.shelf import golfer_seen
from causeline.web.show import show

router = APIRouter(include_in_schema=False)
ALL = 1_000_000
WORDS = {
    Purpose.ANALYSIS: (
        "Reading clips",
        "Clips are read: body and club are measured, and kept as numbers.",
        "Every reading, everything that was made of the clips, and every link. The clips stay "
        "until they are deleted.",
    ),
    Purpose.SHARING: (
        "A page of their own",
        "Lessons are sent as a page behind a secret link, with pictures of the swing.",
        "Every link and every page, film and picture that was made to be sent.",
    ),
    Purpose.REFERENCE: (
        "Being an example",
        "A swing of theirs is shown to other golfers beside their own.",
        "Their swings among the references.",
    ),
    Purpose.FACE: (
        "Showing the face",
        "The face is seen on what is shared. Without it, the head is veiled.",
        "What was shared with the face on it; it is made again with the head veiled.",
    ),
}
SAID = {
    "given": "It is noted.",
    "withdrawn": "It is withdrawn, and what hung on it is gone.",
    "links": "Every link is closed.",
}


@router.get("/golfers/{name}/privacy")
def privacy_page(request: Request, desk: OfDesk, coach: Who, name: str, said: str = "") -> Response:
    """What they agreed to, and what can be done."""
    golfer = golfer_seen(desk, coach, name)
    return show(request, "privacy.html.j2", _page(desk, golfer, SAID.get(said, "")))


@router.post("/golfers/{name}/privacy/give")
def give(
    request: Request,
    desk: OfDesk,
    coach: Who,
    name: str,
    purpose: Annotated[Purpose, Form()],
    given_by: Annotated[str, Form()] = "",
) -> Response:
    """Note that they agreed."""
    golfer = golfer_seen(desk, coach, name)
    try:
        save_consent(desk.library, golfer.id, purpose, given_by.strip()[:200])
    except SettingError as error:
        page = _page(desk, golfer, wrong=str(error))
        return show(request, "privacy.html.j2", page, status=422)
    save_audit(desk.library, own_id(request, coach), f"{purpose.value} agreed to", golfer.id)
    return RedirectResponse(f"/golfers/{golfer.id}/privacy?said=given", 303)


@router.post("/golfers/{name}/privacy/withdraw")
def withdraw(
    request: Request, desk: OfDesk, coach: Who, name: str, purpose: Annotated[Purpose, Form()]
) -> Response:
    """Withdraw it; what hangs on it goes in the same change."""
    golfer = golfer_seen(desk, coach, name)
    save_consent_withdrawn(desk.library, golfer.id, purpose, own_id(request, coach))
    return RedirectResponse(f"/golfers/{golfer.id}/privacy?said=withdrawn", 303)


@router.post("/golfers/{name}/privacy/links")
def close_links(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """Close every link of theirs."""
    golfer = golfer_seen(desk, coach, name)
    for link in load_links(desk.library, golfer.id):
        save_link_withdrawn(desk.library, link.id)
    save_audit(desk.library, own_id(request, coach), "links closed", golfer.id)
    return RedirectResponse(f"/golfers/{golfer.id}/privacy?said=links", 303)


@router.post("/golfers/{name}/privacy/export")
def export(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """Everything about them as a ZIP, made now and not kept."""
    golfer = golfer_seen(desk, coach, name)
    folder = tempfile.TemporaryDirectory(prefix="causeline-export-")
    path = Path(folder.name) / "export.zip"
    try:
        save_export(desk.library, golfer.id, path)
    except BaseException:
        folder.cleanup()
        raise
    save_audit(desk.library, own_id(request, coach), "exported", golfer.id)
    return FileResponse(
        path,
        media_type="application/zip",
        filename=f"{golfer.golfer.name or golfer.id}.zip",
        background=BackgroundTask(folder.cleanup),
    )


@router.post("/golfers/{name}/privacy/delete")
def delete(
    request: Request, desk: OfDesk, coach: Who, name: str, typed: Annotated[str, Form()] = ""
) -> Response:
    """Delete everything about them; their name is typed first, so that no slip does it."""
    golfer = golfer_seen(desk, coach, name)
    if typed.strip() != golfer.golfer.name.strip():
        page = _page(desk, golfer, wrong="The name was typed otherwise. Nothing was deleted.")
        return show(request, "privacy.html.j2", page, status=422)
    save_golfer_removed(desk.library, golfer.id, own_id(request, coach))
    return RedirectResponse("/golfers", 303)


def _page(desk: Desk, golfer: GolferEntry, said: str = "", wrong: str = "") -> Privacy:
    library = desk.library
    allowed, consents = load_allowed(library, golfer.id), load_consents(library, golfer.id)
    junior = golfer.golfer.junior
    clips = len(load_clips(library, golfer.id, limit=ALL))
    lessons = len(load_lessons(library, golfer.id, limit=ALL))
    open_links = [each for each in load_links(library, golfer.id) if each.withdrawn_at is None]
    return Privacy(
        at=f"/golfers/{golfer.id}/privacy",
        golfer_at=f"/golfers/{golfer.id}",
        name=golfer.golfer.name,
        junior=junior,
        speaks=golfer.guardian if junior else golfer.golfer.name,
        purposes=tuple(_line(each, each in allowed, consents, junior) for each in Purpose),
        links=len(open_links),
        holds=f"{_count(clips, 'clip')}, {_count(lessons, 'lesson')}",
        said=said,
        wrong=wrong,
    )


def _line(
    purpose: Purpose, allowed: bool, consents: tuple[Consent, ...], junior: bool
) -> PurposeLine:
    title, means, goes = WORDS[purpose]
    return PurposeLine(
        value=purpose.value,
        title=title,
        means=means,
        allowed=allowed,
        assumed=allowed and not any(each.purpose is purpose for each in consents),
        state=_state(purpose, allowed, consents, junior),
        goes=goes,
    )


def _state(purpose: Purpose, allowed: bool, consents: tuple[Consent, ...], junior: bool) -> str:
    mine = [each for each in consents if each.purpose is purpose]
    held = [each for each in mine if each.withdrawn_at is None]
    if held:
        return f"agreed by {held[-1].given_by} on {held[-1].given_at.date().isoformat()}"
    if mine:
        day = max(each.withdrawn_at for each in mine if each.withdrawn_at).date().isoformat()
        return f"withdrawn, or refused, on {day}"
    if allowed:
        return "assumed: they sent their clips, and said nothing against it"
    return "the guardian has not agreed" if junior else "not asked yet"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"
