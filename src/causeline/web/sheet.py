"""The sheet: swings as rows, moments as columns, the chain above; and what a coach says of it."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Query, Request, Response
from starlette.responses import RedirectResponse

from causeline.errors import SettingError, StoreError
from causeline.model.findings import Say
from causeline.model.library import Coach, Judgement, Purpose, Touch, new_id
from causeline.model.moments import MomentName
from causeline.render.chain import TITLES
from causeline.render.words import MOMENT_TITLES, VIEW_WORDS
from causeline.store.library_clips import (
    load_judgements,
    load_references,
    save_judgement,
    save_judgement_withdrawn,
)
from causeline.store.library_consent import load_allowed
from causeline.store.library_lessons import load_lessons
from causeline.web.asking import clip_settings
from causeline.web.both import Together, best_of, joined
from causeline.web.cards import chain_part
from causeline.web.cells import Plan, row_of, sheet_row, wholes_of
from causeline.web.contract.sheet import ChoiceRow, PairPart, SheetPage
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.intake import jpeg
from causeline.web.pairs import Pairing, pair, pairing_of, partner_of, unpair
from causeline.web.rows import Offer, chosen_rows, offers_for, open_row
from causeline.web.shelf import ShelfSwing, findings_of, swing_seen
from causeline.web.show import show
from causeline.web.stills import read_still
from causeline.web.words import clip_day, short_day

router = APIRouter(include_in_schema=False)
KIND_WORDS = {"earlier": "Earlier", "later": "Later", "same day": "The same day",
              "reference": "Reference"}  # fmt: skip
FIRST = "first"


@router.get("/sheet/{name}")
def sheet_page(
    request: Request,
    desk: OfDesk,
    coach: Who,
    name: str,
    rows: Annotated[list[str] | None, Query()] = None,
) -> Response:
    """The sheet of a swing."""
    swing = swing_seen(desk, coach, name)
    return show(request, "sheet.html.j2", _page(desk, coach, swing, rows))


@router.get("/sheet/{clip}/{number}")
def sheet_by_number(clip: str, number: int) -> Response:
    """The same by clip and number."""
    return RedirectResponse(f"/sheet/{clip}.{number}", 303)


@router.get("/stills/{name}/{moment}.jpg")
def still(desk: OfDesk, coach: Who, name: str, moment: str) -> Response:
    """The golfer at one moment."""
    found = read_still(desk, swing_seen(desk, coach, name), moment)
    if found is None:
        raise StoreError("there is no picture of that moment", "a moment that was found", "")
    return jpeg(found)


@router.post("/sheet/{name}/rule")
def rule(
    desk: OfDesk,
    coach: Who,
    name: str,
    fault: Annotated[str, Form()],
    say: Annotated[Literal["present", "absent", "first"], Form()],
    reason: Annotated[str, Form()],
) -> Response:
    """Pin a fault, strike it, or begin with it; the reason is kept."""
    swing = swing_seen(desk, coach, name)
    if fault not in TITLES:
        raise SettingError(f"{fault!r} is no fault that is known", "one of the catalogue's", "")
    if not reason.strip():
        raise SettingError("a ruling came without a reason", "one was expected", "say why")
    content: dict[str, str | bool] = {
        "fault": fault,
        "say": Say.ABSENT.value if say == "absent" else Say.PRESENT.value,
        "reason": reason.strip(),
    }
    if say == FIRST:
        content[FIRST] = True
    now = desk.library.now()
    save_judgement(
        desk.library,
        Judgement(new_id(), swing.clip.id, swing.shown.number, Touch.RULING, content, "coach", now),
    )
    _judge_anew(desk, swing)
    return RedirectResponse(f"/sheet/{name}#chain", 303)


@router.post("/sheet/{name}/unrule")
def unrule(desk: OfDesk, coach: Who, name: str, judgement: Annotated[str, Form()]) -> Response:
    """Take a ruling back; it stays on record."""
    swing = swing_seen(desk, coach, name)
    partner = partner_of(desk, coach, swing)
    for view in filter(None, (swing, partner)):
        if any(each.id == judgement for each in load_judgements(desk.library, view.clip.id)):
            save_judgement_withdrawn(desk.library, judgement)
            _judge_anew(desk, view)
    return RedirectResponse(f"/sheet/{name}#chain", 303)


@router.post("/sheet/{name}/pair")
def say_pair(desk: OfDesk, coach: Who, name: str, other: Annotated[str, Form()] = "") -> Response:
    """Say which swing is the same one from the other side; empty: none is."""
    pair(desk, coach, swing_seen(desk, coach, name), other)
    return RedirectResponse(f"/sheet/{name}#pair", 303)


@router.post("/sheet/{name}/unpair")
def say_no_pair(desk: OfDesk, coach: Who, name: str) -> Response:
    """Leave it to the clips again."""
    unpair(desk, swing_seen(desk, coach, name))
    return RedirectResponse(f"/sheet/{name}#pair", 303)


def _judge_anew(desk: Desk, swing: ShelfSwing) -> None:
    """Lists show the first finding of the reading: it follows behind, nobody waits for it."""
    settings = clip_settings(
        swing.golfer.golfer, swing.clip, load_judgements(desk.library, swing.clip.id)
    )
    desk.jobs.start(
        f"the findings of {swing.clip.name}",
        lambda _: desk.readings.judge(swing.clip.sha256, settings).id,
    )


def _page(desk: Desk, coach: Coach, swing: ShelfSwing, asked: list[str] | None) -> SheetPage:
    told = pairing_of(desk, coach, swing)
    both = joined(desk, swing, open_row(desk, coach, told.name) if told.name else None)
    views, swing = both.views, both.views[0]
    found = findings_of(desk, *views)
    offers = offers_for(desk, coach, swing)
    beside = [best_of(desk, coach, one) for one in chosen_rows(desk, coach, swing, asked, offers)]
    zone = swing.golfer.golfer.time_zone
    rows = [row_of(swing, "This swing", short_day(clip_day(swing.clip, zone)), None)]
    rows += [row_of(one, *_named(one, offers), swing) for one in beside]
    plan = Plan.of(rows, found, desk.texts)
    shown = [row.swing for row in rows]
    ats = ["", *(f"/sheet/{one.name}" for one in beside)]
    reading = swing.shown.reading
    return SheetPage(
        swing=swing.name,
        golfer=swing.golfer.golfer.name,
        golfer_at=f"/golfers/{swing.golfer.id}",
        facts=_facts(swing),
        said=swing.clip.said or next((one.clip.said for one in views if one.clip.said), ""),
        other_at=f"/sheet/{views[1].name}" if len(views) > 1 else "",
        other_words=f"See it {VIEW_WORDS[views[1].view]}" if len(views) > 1 else "",
        pair=_pair(told, both),
        chain=chain_part(desk, views, found, desk.texts),
        moments=tuple(MOMENT_TITLES[name] for name in MomentName),
        rows=tuple(sheet_row(row, plan, shown, at) for row, at in zip(rows, ats, strict=True)),
        wholes=wholes_of(rows, plan),
        offers=tuple(_offered(one, shown) for one in offers),
        filming=tuple(one.advice for one in reading.filming),
        lessons=_lessons(desk, swing),
        may_refer=_may_refer(desk, swing),
        is_reference=any(
            (one.clip, one.swing) == (swing.clip.id, swing.shown.number)
            for one in load_references(desk.library, coach.id)
        ),
        rehearsal=swing.shown.swing.rehearsal,
    )


def _pair(told: Pairing, both: Together) -> PairPart:
    """What goes with the swing, in words."""
    if told.unsure:
        words = "Which swing from the other side is the same one?"
    elif not told.name:
        words = "Judged by itself." if told.said else ""
    elif both.second is not None:
        one = "" if both.second.one_swing else "; they are two swings, so its ± is wider"
        words = f"One body from both sides{one}."
    elif both.why:
        words = f"Each side judged by itself: {both.why}"
    else:
        words = "Each side judged by itself; one body from both is being worked out."
    choices = tuple(ChoiceRow(one.name, one.words, "", one.name == told.name)
                    for one in told.choices)  # fmt: skip
    return PairPart(
        words=words,
        job=both.job,
        ask=told.unsure,
        said=told.said.by if told.said else "",
        alone=not told.name,
        choices=choices,
    )


def _named(swing: ShelfSwing, offers: tuple[Offer, ...]) -> tuple[str, str]:
    for one in offers:
        if one.name == swing.name:
            return KIND_WORDS[one.kind], one.words
    return swing.golfer.golfer.name, short_day(clip_day(swing.clip))


def _offered(one: Offer, shown: list[ShelfSwing]) -> ChoiceRow:
    chosen = any(row.name == one.name for row in shown)
    return ChoiceRow(one.name, one.words, KIND_WORDS[one.kind], chosen)


def _facts(swing: ShelfSwing) -> str:
    reading = swing.shown.reading
    parts = [short_day(clip_day(swing.clip, swing.golfer.golfer.time_zone))]
    parts += [VIEW_WORDS[swing.view], f"{reading.hand.name}-handed"]
    if swing.clip.club:
        parts.append(swing.clip.club.value)
    if len(reading.swings) > 1:
        parts.append(f"swing {swing.shown.number} of {len(reading.swings)}")
    return " · ".join(parts)


def _lessons(desk: Desk, swing: ShelfSwing) -> tuple[tuple[str, str], ...]:
    kept = load_lessons(desk.library, swing.golfer.id, limit=100)
    return tuple(
        (f"/lessons/{one.id}", one.title)
        for one in kept
        if any(
            (ref.get("sha256"), ref.get("number")) == (swing.clip.sha256, swing.shown.number)
            for ref in one.content.get("swings", ())
        )
    )


def _may_refer(desk: Desk, swing: ShelfSwing) -> str:
    if Purpose.REFERENCE in load_allowed(desk.library, swing.golfer.id):
        return ""
    return f"{swing.golfer.golfer.name} has not agreed to be shown to others."
