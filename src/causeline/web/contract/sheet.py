"""The sheet: rows are swings, columns are moments; above it the chain."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.render.contract import ChainLink
from causeline.render.numbers import Shown
from causeline.render.stills import Drawing


@dataclass(frozen=True, slots=True)
class CellMeasure:
    """One measure under a cell."""

    title: str
    shown: Shown | None
    """None where it was refused."""
    refused: str
    """Why; empty where it was not."""
    mark: str
    """`more`, `less`: clearly so; `maybe more`, `maybe less`; or empty."""
    apart: str
    """How far from the first row, in words; empty where nothing can be said."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One swing at one moment."""

    id: str
    at: str
    """The bench at that moment; empty where there is no such moment."""
    picture: str
    alt: str
    drawing: Drawing | None
    when: str
    """Seconds from impact with ±; empty where unknown."""
    missing: str
    """Why the moment was not found; empty where it was."""
    foremost: tuple[CellMeasure, ...]
    rest: tuple[CellMeasure, ...]


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One swing."""

    title: str
    note: str
    at: str
    """The swing's own sheet; empty for the first row."""
    wide: int
    high: int
    """Of each still, in some unit."""
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """A swing that could stand on the sheet."""

    value: str
    words: str
    kind: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Ruled:
    """What somebody said of a fault, and how to take it back."""

    id: str
    words: str


@dataclass(frozen=True, slots=True)
class CardNode:
    """A finding as a card, and what follows from it."""

    fault: str
    """Its name in the catalogue."""
    link: ChainLink
    picture: str
    """The still with the foremost proof; empty where there is none."""
    first: bool
    """The lesson begins with it."""
    follows: tuple[CardNode, ...]


@dataclass(frozen=True, slots=True)
class ChainPart:
    """The chain above the sheet."""

    lead: str
    nodes: tuple[CardNode, ...]
    ruled: tuple[Ruled, ...]
    unknown: tuple[str, ...]
    faults: tuple[tuple[str, str], ...]
    """Name and title of every fault that is not in the chain: the coach may see one."""
    views: str
    """From which views it was judged."""


@dataclass(frozen=True, slots=True)
class WholeMeasure:
    """A measure of the whole swing, for each row."""

    title: str
    cells: tuple[CellMeasure, ...]


@dataclass(frozen=True, slots=True)
class PairPart:
    """The same swing from the other side: how it is used, and what else could be it."""

    words: str
    """Empty where there is nothing to say."""
    job: str
    """Id of the work that solves both together; empty while none goes on."""
    ask: bool
    """Nobody knows which it is."""
    said: str
    """Who said which it is; empty where it is told from the clips."""
    alone: bool
    choices: tuple[ChoiceRow, ...]


@dataclass(frozen=True, slots=True)
class SheetPage:
    """The page."""

    swing: str
    golfer: str
    golfer_at: str
    facts: str
    said: str
    other_at: str
    """The same swing from the other place; empty where there is none."""
    other_words: str
    pair: PairPart
    chain: ChainPart
    moments: tuple[str, ...]
    rows: tuple[SheetRow, ...]
    wholes: tuple[WholeMeasure, ...]
    offers: tuple[ChoiceRow, ...]
    filming: tuple[str, ...]
    lessons: tuple[tuple[str, str], ...]
    """Address and title of lessons that speak of this swing."""
    may_refer: str
    """Why the swing cannot be a reference; empty where it can."""
    is_reference: bool
    rehearsal: bool
