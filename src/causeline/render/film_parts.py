"""What a film is made of: the golfers, the views with their rests, the cards of words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from causeline.model.clip import Clip, Frame, View
from causeline.model.comparison import Fit
from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.render.film_plan import Rest

Footage = Callable[[Sequence[int], int], Iterator[Frame]]
"""Decodes the frames asked for, in rising order, with the given longest side at most."""

Reader = Callable[[str], tuple[float, str]]
"""Factor and sign of a measure's unit, as the golfer thinks of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Cast:
    """One golfer's swing, and where its pictures come from."""

    swing: Swing
    clip: Clip
    footage: Footage
    name: str
    """Under the picture."""
    view: View


@dataclass(frozen=True, slots=True, eq=False)
class Partner:
    """The swing beside it, laid on the first golfer, its time locked to the first one's."""

    cast: Cast
    fit: Fit
    to_other: Callable[[float], float]


@dataclass(frozen=True, slots=True, eq=False)
class Act:
    """One view of the swing, with where it stops and what is said there."""

    title: str
    cast: Cast
    rests: tuple[Rest, ...]
    partner: Partner | None = None


@dataclass(frozen=True, slots=True)
class Card:
    """A page of words: a line above, what matters large, notes under it."""

    kicker: str
    text: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Film:
    """Everything that a film shows, in order."""

    title: Card
    acts: tuple[Act, ...]
    end: Card
    moment_words: Callable[[MomentName], str]
    reader: Reader
