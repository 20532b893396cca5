"""References: swings that the coach keeps to compare with, by view, club, hand and build."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request, Response
from starlette.responses import RedirectResponse

from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort
from causeline.model.library import Coach, Reference, new_id
from causeline.model.moments import MomentName
from causeline.render.words import MOMENT_SHORT, VIEW_WORDS
from causeline.store.library_clips import (
    load_references,
    save_reference,
    save_reference_removed,
)
from causeline.store.library_people import save_audit
from causeline.web.contract.golfers import Choice
from causeline.web.contract.references import ReferenceLine, ReferencePage
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.rows import open_row
from causeline.web.shelf import ShelfSwing, swing_name, swing_seen
from causeline.web.show import show
from causeline.web.stills import crop_of, still_address
from causeline.web.words import CLUB_CHOICES, VIEW_CHOICES, clip_day, short_day

router = APIRouter(include_in_schema=False)
EVERY = ("", "every one")


@router.get("/references")
def reference_page(
    request: Request,
    desk: OfDesk,
    coach: Who,
    view: View | Literal[""] = "",
    club: ClubSort | Literal[""] = "",
) -> Response:
    """The coach's references, those of one view and club where asked for."""
    kept = [
        one
        for one in load_references(desk.library, coach.id)
        if view in ("", one.view) and club in ("", one.club)
    ]
    page = ReferencePage(
        views=_choices((EVERY, *VIEW_CHOICES[1:]), view),
        clubs=_choices((EVERY, *CLUB_CHOICES[1:]), club),
        lines=tuple(_line(desk, coach, one) for one in kept),
        told="",
    )
    return show(request, "references.html.j2", page)


@router.post("/references/add")
def add_reference(
    desk: OfDesk, coach: Who, swing: Annotated[str, Form()], title: Annotated[str, Form()] = ""
) -> Response:
    """Keep a read swing to compare with: trimmed and tagged by its moments as it was read.

    Raises NotAgreed where its golfer has not agreed to be shown to others.
    """
    one = swing_seen(desk, coach, swing)
    known = [
        each
        for each in load_references(desk.library, coach.id)
        if (each.clip, each.swing) == (one.clip.id, one.shown.number)
    ]
    if not known:
        saved = save_reference(desk.library, _reference(desk, coach, one, title.strip()))
        save_audit(desk.library, coach.id, "reference kept", saved.id)
    return RedirectResponse("/references", 303)


@router.post("/references/{name}/remove")
def remove_reference(desk: OfDesk, coach: Who, name: str) -> Response:
    """Compare with it no longer; its clip stays."""
    if any(one.id == name for one in load_references(desk.library, coach.id)):
        save_reference_removed(desk.library, name)
    return RedirectResponse("/references", 303)


def _reference(desk: Desk, coach: Coach, one: ShelfSwing, title: str) -> Reference:
    hand = Hand(one.shown.reading.hand.name)
    club = f" with a {one.clip.club.value}" if one.clip.club else ""
    named = f"{one.golfer.golfer.name}{club}, {short_day(clip_day(one.clip))}"
    return Reference(
        id=new_id(),
        coach=coach.id,
        clip=one.clip.id,
        swing=one.shown.number,
        title=title or named,
        added_at=desk.library.now(),
        view=one.view,
        hand=hand,
        club=one.clip.club,
        tags=tuple(moment.name.value for moment in one.shown.swing.moments.found),
    )


def _line(desk: Desk, coach: Coach, one: Reference) -> ReferenceLine:
    name = swing_name(one.clip, one.swing)
    swing = open_row(desk, coach, name)
    parts = [
        VIEW_WORDS[one.view] if one.view else "",
        f"{one.hand.value}-handed" if one.hand else "",
        one.club.value if one.club else "",
        _build(swing),
    ]
    crop = crop_of(swing) if swing else None
    return ReferenceLine(
        id=one.id,
        at=f"/sheet/{name}" if swing else "",
        picture=_picture(swing),
        wide=crop.width if crop else 0,
        high=crop.height if crop else 0,
        title=one.title,
        facts=" · ".join(part for part in parts if part),
        moments=", ".join(MOMENT_SHORT[MomentName(tag)].lower() for tag in one.tags),
    )


def _build(swing: ShelfSwing | None) -> str:
    stature = swing.golfer.golfer.stature_cm if swing else None
    return f"{stature:g} cm" if stature else ""


def _picture(swing: ShelfSwing | None) -> str:
    if swing is None or swing.shown.swing.moments.get(MomentName.TOP) is None:
        return ""
    return still_address(swing, MomentName.TOP)


def _choices(pairs: tuple[tuple[str, str], ...], chosen: str) -> tuple[Choice, ...]:
    return tuple(Choice(value, words, value == chosen) for value, words in pairs)
