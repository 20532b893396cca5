"""Golfers: found, added, and each one's days."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from causeline.model.library import GolferCard
from causeline.store.library_people import load_golfer_cards
from causeline.web.contract.golfers import GolferLine, GolferList
from causeline.web.desk import OfDesk, Who
from causeline.web.show import show

router = APIRouter(include_in_schema=False)


@router.get("/golfers")
def golfer_list(request: Request, desk: OfDesk, coach: Who, named: str = "") -> Response:
    """The coach's golfers by name."""
    cards = load_golfer_cards(desk.library, coach.id, named.strip())
    return show(request, "golfers.html.j2", GolferList(named, tuple(map(_line, cards))))


def _line(card: GolferCard) -> GolferLine:
    last = card.last_clip_at.date().isoformat() if card.last_clip_at else ""
    return GolferLine(
        at=f"/golfers/{card.entry.id}",
        name=card.entry.golfer.name,
        hand=f"{card.entry.golfer.hand.value}-handed",
        clips=_count(card.clips, "clip"),
        lessons=_count(card.lessons, "lesson"),
        last=last,
        waiting=_count(card.waiting, "check-in") + " to answer" if card.waiting else "",
    )


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"
