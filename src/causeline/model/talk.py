"""A talk-through: the coach's voice over swings, and what was on the screen, kept as data.

Times are whole milliseconds. A take is what was recorded in one go and has a clock of its own, from
0; it is never changed. The talk's time runs through its pieces, one after the other: trimming,
cutting and speaking a passage anew change the pieces only (`talk_cuts`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from math import isfinite
from typing import Any, Literal

from causeline.model.lesson import SwingRef

Content = Mapping[str, Any]
"""Plain data, as JSON holds it."""

SCHEMA = "causeline.talk/1"
MOST_TAKE_MS = 3_600_000
"""An hour in one go; longer ones are recorded as several takes."""
MOST_TAKES = 400
MOST_EVENTS = 250_000
"""Of one take: an hour at seventy changes a second."""
MOST_ROWS = 8
MOST_FRAME = 10_000_000
ZOOMS = (0.1, 64.0)
MOST_PARTS = 20_000
"""Of one mark: a stroke of an hour has fewer points."""
MOST_NESTED = 8
LONGEST_TEXT = 2000


@dataclass(frozen=True, slots=True)
class Sight:
    """How a picture lies in its row: what is in the middle of the row, and how large it is."""

    zoom: float = 1.0
    """1 shows the whole height of the picture in the height of the row."""
    x: float = 0.5
    """Share of the picture's width, from the left as the clip has it."""
    y: float = 0.5
    """Share of its height, from the top."""

    def __post_init__(self) -> None:
        if not (ZOOMS[0] <= self.zoom <= ZOOMS[1] and 0 <= self.x <= 1 and 0 <= self.y <= 1):
            raise ValueError(
                f"got zoom {self.zoom} at ({self.x}, {self.y}); "
                f"expected {ZOOMS[0]} to {ZOOMS[1]}, at shares from 0 to 1"
            )


@dataclass(frozen=True, slots=True)
class Row:
    """One swing on the screen."""

    swing: int
    """Place among the take's swings, from 0."""
    frame: int
    """The clip's frame that is shown."""
    sight: Sight = Sight()
    mirrored: bool = False
    """Turned left to right."""

    def __post_init__(self) -> None:
        _check_place("a row's frame", self.frame, MOST_FRAME)


@dataclass(frozen=True, slots=True)
class Pointer:
    """Where the coach points: a place of the picture in a row, in clip pixels."""

    row: int
    x: float
    y: float

    def __post_init__(self) -> None:
        _check_place("the pointer's row", self.row, MOST_ROWS)
        if not (isfinite(self.x) and isfinite(self.y)):
            raise ValueError(f"got the pointer at ({self.x}, {self.y}); expected a place")


@dataclass(frozen=True, slots=True)
class Layers:
    """What is drawn over the pictures."""

    body: bool = True
    club: bool = True
    marks: bool = True
    numbers: bool = True


@dataclass(frozen=True, slots=True)
class Drawn:
    """A mark on a swing: plain data with an `id` and a `kind`, as the bench keeps it."""

    swing: int
    """Place among the take's swings, from 0."""
    mark: Content

    def __post_init__(self) -> None:
        check_mark(self.mark)


@dataclass(frozen=True, slots=True)
class Screen:
    """Everything that is to be seen at one instant."""

    rows: tuple[Row, ...]
    """From top to bottom."""
    marks: tuple[Drawn, ...] = ()
    """Undermost first. Of one swing, each `id` comes once."""
    layers: Layers = Layers()
    pointer: Pointer | None = None

    def __post_init__(self) -> None:
        if len(self.rows) > MOST_ROWS:
            raise ValueError(f"got {len(self.rows)} rows; expected {MOST_ROWS} at most")

    def after(self, event: Event) -> Screen:
        """The screen once something has changed.

        A change of a row that is not there changes nothing: rows may go while a step is under way.
        """
        match event:
            case Rows(rows=rows):
                return replace(self, rows=rows, pointer=None)
            case Stepped(row=row, frame=frame):
                return self._with_row(row, frame=frame)
            case Zoomed(row=row, sight=sight):
                return self._with_row(row, sight=sight)
            case Marked(swing=swing, mark=mark):
                return replace(self, marks=_laid(self.marks, Drawn(swing, mark)))
            case Unmarked(swing=swing, mark=name):
                kept = [one for one in self.marks if (one.swing, one.mark["id"]) != (swing, name)]
                return replace(self, marks=tuple(kept))
            case Layered(layers=layers):
                return replace(self, layers=layers)
            case Pointed(pointer=pointer):
                return replace(self, pointer=pointer)

    def _with_row(self, row: int, **changed: Any) -> Screen:
        if row >= len(self.rows):
            return self
        rows = list(self.rows)
        rows[row] = replace(rows[row], **changed)
        return replace(self, rows=tuple(rows))


@dataclass(frozen=True, slots=True)
class Rows:
    """Other swings, or the same ones otherwise, are on the screen from now on."""

    at_ms: int
    rows: tuple[Row, ...]
    what: Literal["rows"] = "rows"


@dataclass(frozen=True, slots=True)
class Stepped:
    """A row shows another frame."""

    at_ms: int
    row: int
    frame: int
    what: Literal["step"] = "step"

    def __post_init__(self) -> None:
        _check_place("a step's row", self.row, MOST_ROWS)
        _check_place("a step's frame", self.frame, MOST_FRAME)


@dataclass(frozen=True, slots=True)
class Zoomed:
    """A row shows another part of its picture."""

    at_ms: int
    row: int
    sight: Sight
    what: Literal["zoom"] = "zoom"

    def __post_init__(self) -> None:
        _check_place("a row", self.row, MOST_ROWS)


@dataclass(frozen=True, slots=True)
class Marked:
    """Something was drawn, or changed: a mark of the same `id` gives way."""

    at_ms: int
    swing: int
    mark: Content
    what: Literal["mark"] = "mark"

    def __post_init__(self) -> None:
        check_mark(self.mark)


@dataclass(frozen=True, slots=True)
class Unmarked:
    """A mark was taken away."""

    at_ms: int
    swing: int
    mark: str
    """Its `id`."""
    what: Literal["unmark"] = "unmark"


@dataclass(frozen=True, slots=True)
class Layered:
    """Something else is drawn over the pictures."""

    at_ms: int
    layers: Layers
    what: Literal["layers"] = "layers"


@dataclass(frozen=True, slots=True)
class Pointed:
    """The pointer moved, or left the pictures (None)."""

    at_ms: int
    pointer: Pointer | None
    what: Literal["point"] = "point"


Event = Rows | Stepped | Zoomed | Marked | Unmarked | Layered | Pointed


@dataclass(frozen=True, slots=True)
class Voice:
    """Where the sound of a take is, and where in the take it lies."""

    kind: str
    """As a browser names it: `audio/webm;codecs=opus`."""
    starts_ms: int
    """Of the take's clock: when the first sample was spoken. May be below 0."""
    key: str = ""
    """Of the file in the vault; empty where the sound comes with the record."""


@dataclass(frozen=True, slots=True)
class Take:
    """What was recorded in one go."""

    id: str
    swings: tuple[SwingRef, ...]
    start: Screen
    """What was on the screen at 0 ms."""
    events: tuple[Event, ...]
    """In order of time; several may share an instant."""
    lasts_ms: int
    voice: Voice | None = None
    """None where nobody spoke: no microphone, or none was wanted."""

    def __post_init__(self) -> None:
        if not 0 <= self.lasts_ms <= MOST_TAKE_MS:
            raise ValueError(f"got a take of {self.lasts_ms} ms; expected 0 to {MOST_TAKE_MS}")
        if len(self.events) > MOST_EVENTS:
            raise ValueError(f"got {len(self.events)} events; expected {MOST_EVENTS} at most")
        before = 0
        for place, event in enumerate(self.events):
            if not before <= event.at_ms <= self.lasts_ms:
                raise ValueError(
                    f"got event {place} at {event.at_ms} ms; expected {before} to {self.lasts_ms}: "
                    "events come in order of time and end with the take"
                )
            before = event.at_ms
        shown = [event.rows for event in self.events if isinstance(event, Rows)]
        marked = [one.swing for one in self.events if isinstance(one, Marked | Unmarked)]
        marked += [one.swing for one in self.start.marks]
        _check_swings([self.start.rows, *shown], marked, len(self.swings))

    def screen_at(self, at_ms: int) -> Screen:
        """What is on the screen at an instant of the take: changes of that instant included."""
        screen = self.start
        for event in self.events:
            if event.at_ms > at_ms:
                break
            screen = screen.after(event)
        return screen


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a take that is played: from `start_ms` up to `stop_ms` of the take's clock."""

    take: str
    start_ms: int
    stop_ms: int

    def __post_init__(self) -> None:
        if not 0 <= self.start_ms < self.stop_ms:
            raise ValueError(
                f"got a piece from {self.start_ms} to {self.stop_ms} ms; "
                "expected it to begin at 0 or later, and to end after it begins"
            )

    @property
    def lasts_ms(self) -> int:
        """How long it plays."""
        return self.stop_ms - self.start_ms


@dataclass(frozen=True, slots=True)
class Talk:
    """A whole talk-through."""

    takes: tuple[Take, ...]
    """In the order in which they were recorded."""
    pieces: tuple[Piece, ...]
    """In the order in which they are played."""
    title: str = ""
    _by_id: Mapping[str, Take] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_id = {take.id: take for take in self.takes}
        if len(by_id) < len(self.takes) or len(by_id) > MOST_TAKES:
            raise ValueError(
                f"got {len(self.takes)} takes, {len(by_id)} of them different; "
                f"expected each once, {MOST_TAKES} at most"
            )
        for piece in self.pieces:
            take = by_id.get(piece.take)
            if take is None or piece.stop_ms > take.lasts_ms:
                raise ValueError(
                    f"got a piece of take {piece.take[:40]!r} up to {piece.stop_ms} ms; "
                    "expected a take of this talk, and a piece that ends within it"
                )
        object.__setattr__(self, "_by_id", by_id)

    @property
    def lasts_ms(self) -> int:
        """How long it plays."""
        return sum(piece.lasts_ms for piece in self.pieces)

    def take(self, name: str) -> Take:
        """The take of that id. Raises KeyError where there is none."""
        return self._by_id[name]

    def placed(self) -> Iterator[tuple[int, Piece, Take]]:
        """Each piece with the talk's time at which it begins, and its take."""
        at = 0
        for piece in self.pieces:
            yield at, piece, self._by_id[piece.take]
            at += piece.lasts_ms

    def changes(self) -> Iterator[tuple[int, Take, Screen]]:
        """What is on the screen from which time of the talk on; times rise, each comes once."""
        for begins, piece, take in self.placed():
            screen, at = take.start, piece.start_ms
            for event in take.events:
                if event.at_ms >= piece.stop_ms:
                    break
                if event.at_ms > at:
                    yield begins + at - piece.start_ms, take, screen
                    at = event.at_ms
                screen = screen.after(event)
            yield begins + at - piece.start_ms, take, screen


def _laid(marks: tuple[Drawn, ...], new: Drawn) -> tuple[Drawn, ...]:
    """Marks with one more, or with one changed in its place."""
    same = [one.swing == new.swing and one.mark["id"] == new.mark["id"] for one in marks]
    if not any(same):
        return (*marks, new)
    return tuple(new if here else one for here, one in zip(same, marks, strict=True))


def check_mark(mark: Content) -> None:
    """Raise ValueError for what is no mark: plain data with an `id` and a `kind`, not huge."""
    for key in ("id", "kind"):
        if not isinstance(mark.get(key), str) or not 0 < len(mark[key]) <= 64:
            raise ValueError(f"got a mark without a sound {key!r}; expected 1 to 64 letters there")
    if _count(mark, 0) > MOST_PARTS:
        raise ValueError(f"got a mark of more than {MOST_PARTS} parts; expected a smaller one")


def _count(value: object, depth: int) -> int:
    """How many values there are in plain data. Raises ValueError for what is none."""
    if depth > MOST_NESTED:
        raise ValueError(f"got a mark nested deeper than {MOST_NESTED}; expected a flatter one")
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) and len(key) <= LONGEST_TEXT for key in value):
            raise ValueError("got a mark with a key that is no text; expected names")
        return 1 + sum(_count(one, depth + 1) for one in value.values())
    if isinstance(value, list | tuple):
        return 1 + sum(_count(one, depth + 1) for one in value)
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        raise ValueError(f"got a text of {len(value)} letters; expected {LONGEST_TEXT} at most")
    if isinstance(value, float) and not isfinite(value):
        raise ValueError(f"got {value} in a mark; expected a number, or null where it is missing")
    if value is not None and not isinstance(value, str | int | float):
        raise ValueError(f"got {type(value).__name__} in a mark; expected plain data")
    return 1


def _check_place(what: str, place: int, end: int) -> None:
    if not 0 <= place < end:
        raise ValueError(f"got {what} {place}; expected 0 or more, below {end}")


def _check_swings(screens: Iterable[tuple[Row, ...]], marked: Iterable[int], swings: int) -> None:
    """Rows and marks speak of swings that the take has."""
    for place in (*marked, *(row.swing for rows in screens for row in rows)):
        if not 0 <= place < swings:
            raise ValueError(f"got swing {place}; expected one of {swings}, counted from 0")
