"""Golfers: found, sorted, added, archived."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from enum import StrEnum
from typing import Annotated
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Form, Request, Response
from pydantic import BaseModel, ConfigDict
from starlette.responses import RedirectResponse

from causeline.errors import Outdated
from causeline.model.clip import Hand
from causeline.model.lesson import Back, Golfer, Units
from causeline.model.library import Coach, GolferCard, GolferEntry, new_id
from causeline.store.languages import load_languages
from causeline.store.library_people import load_golfer_cards, load_golfers, save_golfer
from causeline.web.contract.golfers import Choice, GolferForm, GolferLine, GolferList
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.shelf import golfer_seen
from causeline.web.show import show
from causeline.web.words import count_of, local_day, short_day

router = APIRouter(include_in_schema=False)
LANGUAGE_NAMES = {"en": "English", "de": "Deutsch"}
MOST = 500
"""Golfers on one page; who has more looks for a name."""
TALLEST_CM, SHORTEST_CM = 240.0, 80.0


class Order(StrEnum):
    """Ways to sort the list."""

    NAME = "name"
    RECENT = "last clip"
    WAITING = "waits for you"


class Written(BaseModel):
    """The form, as it came."""

    model_config = ConfigDict(frozen=True)

    name: str
    hand: Hand = Hand.RIGHT
    stature_cm: str = ""
    units: Units = Units.METRIC
    language: str = "en"
    time_zone: str = "UTC"
    back: Back = Back.NOT_ASKED
    junior: bool = False
    guardian: str = ""
    guardian_mail: str = ""
    note: str = ""
    archived: bool = False
    version: int = 0


@router.get("/golfers")
def golfer_list(
    request: Request, desk: OfDesk, coach: Who, named: str = "", order: Order = Order.NAME
) -> Response:
    """The coach's golfers, by name or by what is newest."""
    cards = load_golfer_cards(desk.library, coach.id, named.strip(), limit=MOST)
    archived = [one for one in load_golfers(desk.library, coach.id) if one.archived]
    page = GolferList(
        named=named,
        orders=_choices(order, ((one.value, one.value) for one in Order)),
        lines=tuple(map(_line, _sorted(cards, order))),
        archived=tuple(
            _line(GolferCard(one, 0, 0, None, 0))
            for one in archived
            if named.strip().casefold() in one.golfer.name.casefold()
        ),
    )
    return show(request, "golfers.html.j2", page)


@router.get("/golfers/new")
def new_golfer(request: Request, desk: OfDesk, coach: Who) -> Response:
    """The form for a golfer who is not here yet; most live where the coach's others do."""
    empty = GolferEntry("", coach.id, replace(_usual(desk, coach), name=""))
    return show(request, "golfer_form.html.j2", _form(empty, "/golfers/new"))


@router.post("/golfers/new")
def add_golfer(
    request: Request, desk: OfDesk, coach: Who, written: Annotated[Written, Form()]
) -> Response:
    """Write a golfer down."""
    entry = GolferEntry(new_id(), coach.id, Golfer(""), since=desk.library.now().date())
    return _saved(request, desk, entry, written, "/golfers/new")


@router.get("/golfers/{name}/edit")
def edit_golfer(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """The form for a golfer who is here."""
    entry = golfer_seen(desk, coach, name)
    return show(request, "golfer_form.html.j2", _form(entry, f"/golfers/{name}/edit"))


@router.post("/golfers/{name}/edit")
def save_edited(
    request: Request, desk: OfDesk, coach: Who, name: str, written: Annotated[Written, Form()]
) -> Response:
    """Correct what is written of a golfer."""
    entry = golfer_seen(desk, coach, name)
    return _saved(request, desk, entry, written, f"/golfers/{name}/edit")


def _usual(desk: Desk, coach: Coach) -> Golfer:
    """Units, language and time zone of the golfer who came last."""
    known = [one for one in load_golfers(desk.library, coach.id) if one.since is not None]
    if not known:
        return Golfer("")
    last = max(known, key=lambda one: (one.since, one.id)).golfer
    return Golfer("", units=last.units, language=last.language, time_zone=last.time_zone)


def golfer_named(desk: Desk, coach: Coach, name: str) -> GolferEntry:
    """The coach's golfer of exactly that name, written down now where there is none."""
    name = " ".join(name.split())
    known = [one for one in load_golfers(desk.library, coach.id) if one.golfer.name == name]
    if known:
        return known[0]
    golfer = replace(_usual(desk, coach), name=name)
    entry = GolferEntry(new_id(), coach.id, golfer, since=desk.library.now().date())
    return save_golfer(desk.library, entry)


def _saved(request: Request, desk: Desk, entry: GolferEntry, written: Written, to: str) -> Response:
    amiss = _amiss(written)
    changed = _changed(entry, written)
    if not amiss:
        try:
            saved = save_golfer(desk.library, replace(changed, version=written.version))
        except Outdated:
            amiss = (
                "Somebody saved another version of this golfer meanwhile. What you wrote is below; "
                "save again to put it in its place."
            )
            changed = replace(changed, version=entry.version)
        else:
            return RedirectResponse(f"/golfers/{saved.id}", 303)
    return show(request, "golfer_form.html.j2", _form(changed, to, amiss), 409)


def _amiss(written: Written) -> str:
    if not written.name.strip():
        return "A name is missing."
    height = written.stature_cm.strip().replace(",", ".")
    if height and not _number(height):
        return f"“{height}” is no height: centimetres were expected, as 178."
    if written.junior and not written.guardian.strip():
        return "A junior needs a guardian, who agrees for them."
    if not _is_zone(written.time_zone.strip() or "UTC"):
        return f"“{written.time_zone}” is no time zone: one as Europe/Dublin was expected."
    if written.language not in load_languages():
        return "There are no words in that language yet."
    return ""


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return False
    return True


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if SHORTEST_CM <= value <= TALLEST_CM else None


def _changed(entry: GolferEntry, written: Written) -> GolferEntry:
    golfer = replace(
        entry.golfer,
        name=" ".join(written.name.split()),
        hand=written.hand,
        units=written.units,
        language=written.language,
        time_zone=written.time_zone.strip() or "UTC",
        stature_cm=_number(written.stature_cm.strip().replace(",", ".")),
        junior=written.junior,
        back=written.back,
    )
    return replace(
        entry,
        golfer=golfer,
        guardian=written.guardian.strip(),
        guardian_mail=written.guardian_mail.strip(),
        note=written.note.strip(),
        archived=written.archived,
    )


def _form(entry: GolferEntry, to: str, told: str = "") -> GolferForm:
    golfer = entry.golfer
    known = bool(entry.version)
    return GolferForm(
        to=to,
        title=golfer.name if known else "A new golfer",
        back_to=f"/golfers/{entry.id}" if known else "/golfers",
        version=entry.version,
        name=golfer.name,
        hands=_choices(golfer.hand, ((one.value, f"{one.value}-handed") for one in Hand)),
        stature_cm=f"{golfer.stature_cm:g}" if golfer.stature_cm else "",
        units=_choices(golfer.units, ((one.value, one.value) for one in Units)),
        languages=_choices(
            golfer.language, ((one, LANGUAGE_NAMES.get(one, one)) for one in load_languages())
        ),
        time_zone=golfer.time_zone,
        back=_choices(golfer.back, ((one.value, one.value) for one in Back)),
        junior=golfer.junior,
        guardian=entry.guardian,
        guardian_mail=entry.guardian_mail,
        note=entry.note,
        archived=entry.archived,
        told=told,
    )


def _choices(chosen: str, pairs: Iterable[tuple[str, str]]) -> tuple[Choice, ...]:
    return tuple(Choice(value, words, value == chosen) for value, words in pairs)


def _sorted(cards: Iterable[GolferCard], order: Order) -> list[GolferCard]:
    kept = list(cards)
    if order is Order.RECENT:
        kept.sort(key=lambda one: (one.last_clip_at is not None, one.last_clip_at), reverse=True)
    elif order is Order.WAITING:
        kept.sort(key=lambda one: -one.waiting)
    return kept


def _line(card: GolferCard) -> GolferLine:
    golfer = card.entry.golfer
    last = short_day(local_day(card.last_clip_at, golfer.time_zone)) if card.last_clip_at else ""
    return GolferLine(
        at=f"/golfers/{card.entry.id}",
        name=golfer.name,
        hand=f"{golfer.hand.value}-handed",
        clips=count_of(card.clips, "clip"),
        lessons=count_of(card.lessons, "lesson"),
        last=last,
        waiting=count_of(card.waiting, "check-in") + " to answer" if card.waiting else "",
    )
