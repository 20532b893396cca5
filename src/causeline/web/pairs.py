"""Which swing from the other side is the same one: told from the day, or said by the coach."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from causeline.errors import SettingError
from causeline.model.library import ClipCard, Coach, Judgement, State, SwingEntry, Touch, new_id
from causeline.model.moments import MomentName
from causeline.render.words import VIEW_WORDS
from causeline.store.library_clips import (
    load_clip_cards,
    load_pairings,
    save_judgement,
    save_judgement_withdrawn,
)
from causeline.web.desk import Desk
from causeline.web.rows import open_row
from causeline.web.shelf import ShelfSwing, swing_name, swing_seen
from causeline.web.words import clip_day

OTHER = "other"
"""In a judgement: the name of the swing that is the same one; empty where none is."""
MOST_CLIPS = 200
MOST_TEMPOS = 6
"""So many swings at most are opened to tell which lasts as long."""
CLEARLY = 6.0
"""By so much the next one's squared misfits are larger: e^3, this one is twenty times likelier."""
LASTS_AS_LONG = 9.0
"""More than that over two stretches is no chance: 1 % of the chi-squared law with 2 degrees."""
STRETCHES = (
    (MomentName.ARM_LEVEL_BACK, MomentName.TOP),
    (MomentName.TOP, MomentName.IMPACT),
)
"""What a swing's tempo is told from: moments that both views tell."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A swing from the other side that may be the same one."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Pairing:
    """What goes with a swing, how that is known, and what could."""

    name: str
    """Of the same swing from the other side; empty where there is none."""
    said: Judgement | None
    """The coach's word; None where it is told from the clips."""
    choices: tuple[Choice, ...]

    @property
    def unsure(self) -> bool:
        """Several could be it, none clearly is, and nobody has said which."""
        return not self.name and self.said is None and bool(self.choices)


def pairing_of(desk: Desk, coach: Coach, swing: ShelfSwing) -> Pairing:
    """Which swing is the same one from the other side.

    By the coach's word; else, of one clip from each side that day, swing by swing in order; else
    the one that lasts clearly as long as this one and no other does. Where that is open, none.
    """
    cards = load_clip_cards(desk.library, swing.golfer.id, limit=MOST_CLIPS)
    held = load_pairings(desk.library, swing.golfer.id)
    there = [card for card in cards if card.reading and card.reading.state is State.READY]
    zone = swing.golfer.golfer.time_zone
    day = clip_day(swing.clip, zone)
    today = [card for card in there if clip_day(card.entry, zone) == day]
    others = {_name(card, one): (card, one) for card, one in _real(today) if _across(one, swing)}
    choices = tuple(Choice(name, _words(*found)) for name, found in others.items())
    said = _said(held, swing.name)
    if said is not None:
        name = other_of(said, swing.name)
        if not name or open_row(desk, coach, name) is not None:
            return Pairing(name, said, choices)
    taken = {name for each in held for name in (own_of(each), each.content[OTHER])}
    free = [name for name in others if name not in taken]
    return Pairing(_told(desk, coach, swing, today, free), None, choices)


def partner_of(desk: Desk, coach: Coach, swing: ShelfSwing) -> ShelfSwing | None:
    """The same swing from the other side; None where there is none, or it is not known which."""
    name = pairing_of(desk, coach, swing).name
    return open_row(desk, coach, name) if name else None


def pair(desk: Desk, coach: Coach, swing: ShelfSwing, other: str) -> None:
    """Say which swing is the same one; empty says that none is. What was said before gives way.

    Raises SettingError for a swing that cannot be it.
    """
    if other:
        theirs = swing_seen(desk, coach, other)
        if theirs.golfer.id != swing.golfer.id or theirs.view is swing.view:
            raise SettingError(
                f"{theirs.clip.name} was to be the same swing as {swing.clip.name}",
                "a swing of the same golfer from the other side was expected",
                "choose one of those that the sheet offers",
            )
    unpair(desk, swing)
    for each in load_pairings(desk.library, swing.golfer.id):
        if other and other in (own_of(each), each.content[OTHER]):
            save_judgement_withdrawn(desk.library, each.id)
    made = Judgement(
        new_id(),
        swing.clip.id,
        swing.shown.number,
        Touch.PAIR,
        {OTHER: other},
        coach.name,
        desk.library.now(),
    )
    save_judgement(desk.library, made)


def unpair(desk: Desk, swing: ShelfSwing) -> None:
    """Take back what was said of a swing: it is told from the clips again."""
    for each in load_pairings(desk.library, swing.golfer.id):
        if swing.name in (own_of(each), each.content[OTHER]):
            save_judgement_withdrawn(desk.library, each.id)


def own_of(judgement: Judgement) -> str:
    """Name of the swing that it was said at."""
    return swing_name(judgement.clip, judgement.swing)


def other_of(judgement: Judgement, name: str) -> str:
    """The other swing of a pairing."""
    other = str(judgement.content[OTHER])
    return own_of(judgement) if other == name else other


def _said(held: Sequence[Judgement], name: str) -> Judgement | None:
    mine = [each for each in held if name in (own_of(each), each.content[OTHER])]
    return mine[-1] if mine else None


def _told(
    desk: Desk, coach: Coach, swing: ShelfSwing, today: Sequence[ClipCard], free: Sequence[str]
) -> str:
    sides = [list(_real([card])) for card in today]
    here = [side for side in sides if side and side[0][1].view is swing.view]
    there = [side for side in sides if side and side[0][1].view is not swing.view]
    if len(here) == len(there) == 1 and len(here[0]) == len(there[0]):
        names = [_name(card, one) for card, one in here[0]]
        if swing.name in names:
            name = _name(*there[0][names.index(swing.name)])
            return name if name in free else ""
    return _by_tempo(desk, coach, swing, free[:MOST_TEMPOS]) if len(free) <= MOST_TEMPOS else ""


def _by_tempo(desk: Desk, coach: Coach, swing: ShelfSwing, names: Sequence[str]) -> str:
    found = [(_misfit(swing, one), one.name) for one in _opened(desk, coach, names)]
    known = sorted(each for each in found if np.isfinite(each[0]))
    if not known or known[0][0] > LASTS_AS_LONG or len(known) < len(names):
        return ""
    clear = len(known) == 1 or known[1][0] - known[0][0] >= CLEARLY
    return known[0][1] if clear else ""


def _misfit(one: ShelfSwing, other: ShelfSwing) -> float:
    """Squares of the differences between two tempos in their own ±; NaN where one is unknown."""
    total = 0.0
    for first, last in STRETCHES:
        lasts = [_lasts(each, first, last) for each in (one, other)]
        (a, a_sd), (b, b_sd) = lasts
        total += (a - b) ** 2 / (a_sd**2 + b_sd**2)
    return total


def _lasts(swing: ShelfSwing, first: MomentName, last: MomentName) -> tuple[float, float]:
    moments = swing.shown.swing.moments
    begins, ends = moments.get(first), moments.get(last)
    if begins is None or ends is None:
        return float("nan"), float("nan")
    return ends.time_s - begins.time_s, float(np.hypot(begins.sd_s, ends.sd_s))


def _opened(desk: Desk, coach: Coach, names: Iterable[str]) -> Iterator[ShelfSwing]:
    for name in names:
        one = open_row(desk, coach, name)
        if one is not None:
            yield one


def _real(cards: Iterable[ClipCard]) -> Iterator[tuple[ClipCard, SwingEntry]]:
    """Every swing that is no rehearsal, with its clip."""
    return ((card, one) for card in cards for one in card.swings if not one.rehearsal)


def _across(one: SwingEntry, swing: ShelfSwing) -> bool:
    return one.view is not swing.view


def _name(card: ClipCard, one: SwingEntry) -> str:
    return swing_name(card.entry.id, one.number)


def _words(card: ClipCard, one: SwingEntry) -> str:
    numbered = f", swing {one.number}" if len(card.swings) > 1 else ""
    return f"{VIEW_WORDS[one.view]}{numbered}: {card.entry.name}"
