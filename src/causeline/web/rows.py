"""Which swings stand on a sheet: this one, an earlier one, a sound one of the same view."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from causeline.errors import CauselineError
from causeline.model.clip import Hand
from causeline.model.library import ClipCard, Coach, Reference, State
from causeline.store.library_clips import load_clip, load_clip_cards, load_references
from causeline.store.library_people import load_golfer
from causeline.web.desk import Desk
from causeline.web.shelf import ShelfSwing, swing_name, swing_seen
from causeline.web.words import clip_day, short_day

MOST_ROWS = 4
MOST_OFFERED = 12
STATURE_UNKNOWN_CM = 10.0
"""How far apart two golfers count where the height of one is not known."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A swing that could be a row."""

    name: str
    words: str
    kind: str
    """`earlier`, `later` or `reference`."""


def offers_for(desk: Desk, coach: Coach, swing: ShelfSwing) -> tuple[Offer, ...]:
    """Swings from the same place: the golfer's own, the newest first, then references by nearness.

    Near is: the same club, then the same hand, then a golfer as tall.
    """
    return (*_own(desk, swing), *_references(desk, coach, swing))[:MOST_OFFERED]


def chosen_rows(
    desk: Desk,
    coach: Coach,
    swing: ShelfSwing,
    asked: Sequence[str] | None,
    offers: Sequence[Offer],
) -> tuple[ShelfSwing, ...]:
    """The rows beside the swing: those asked for, else the last earlier one and the nearest sound.

    One that cannot be opened, or is filmed from elsewhere, is left out.
    """
    if asked is None:
        firsts = [next((o.name for o in offers if o.kind == kind), None) for kind in KINDS]
        asked = [name for name in firsts if name is not None]
    rows = [open_row(desk, coach, name) for name in dict.fromkeys(asked) if name != swing.name]
    fitting = (one for one in rows if one is not None and one.view is swing.view)
    return tuple(fitting)[: MOST_ROWS - 1]


KINDS = ("earlier", "reference")
"""Of each of these the first is taken where nobody chose."""


def open_row(desk: Desk, coach: Coach, name: str) -> ShelfSwing | None:
    """The swing of that name; None where it cannot be opened."""
    try:
        return swing_seen(desk, coach, name)
    except CauselineError:
        return None


def _own(desk: Desk, swing: ShelfSwing) -> Iterable[Offer]:
    zone = swing.golfer.golfer.time_zone
    day = clip_day(swing.clip, zone)
    cards = load_clip_cards(desk.library, swing.golfer.id, limit=200)
    for card in sorted(cards, key=lambda one: clip_day(one.entry, zone), reverse=True):
        if card.reading is None or card.reading.state is not State.READY:
            continue
        for one in card.swings:
            name = swing_name(card.entry.id, one.number)
            if one.view is swing.view and not one.rehearsal and name != swing.name:
                when = clip_day(card.entry, zone)
                kind = "earlier" if when < day else "later" if when > day else "same day"
                yield Offer(name, f"{short_day(when)}{_numbered(card, one.number)}", kind)


def _numbered(card: ClipCard, number: int) -> str:
    return f", swing {number}" if len(card.swings) > 1 else ""


def _references(desk: Desk, coach: Coach, swing: ShelfSwing) -> list[Offer]:
    kept = [
        one
        for one in load_references(desk.library, coach.id)
        if one.view is swing.view and swing_name(one.clip, one.swing) != swing.name
    ]
    kept.sort(key=lambda one: _far(desk, one, swing))
    return [Offer(swing_name(one.clip, one.swing), one.title, "reference") for one in kept]


def _far(desk: Desk, reference: Reference, swing: ShelfSwing) -> tuple[bool, bool, float]:
    hand = Hand(swing.shown.reading.hand.name)
    try:
        owner = load_golfer(desk.library, load_clip(desk.library, reference.clip).golfer)
    except CauselineError:
        return (True, True, STATURE_UNKNOWN_CM)
    tall, other = swing.golfer.golfer.stature_cm, owner.golfer.stature_cm
    apart = abs(tall - other) if tall and other else STATURE_UNKNOWN_CM
    return (reference.club is not swing.clip.club, reference.hand is not hand, apart)
