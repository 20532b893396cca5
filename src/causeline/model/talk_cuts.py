"""Edits of a talk-through: each gives other pieces, and leaves every take as it was recorded.

Times are whole milliseconds of the talk, unless they are said to be a take's.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from causeline.model.talk import Piece, Take

Pieces = tuple[Piece, ...]


def whole(takes: Sequence[Take]) -> Pieces:
    """Every take from its beginning to its end, as they were recorded."""
    return tuple(Piece(take.id, 0, take.lasts_ms) for take in takes if take.lasts_ms > 0)


def length_ms(pieces: Pieces) -> int:
    """How long they play."""
    return sum(piece.lasts_ms for piece in pieces)


def trimmed(pieces: Pieces, start_ms: int, stop_ms: int) -> Pieces:
    """Only what plays from `start_ms` up to `stop_ms`."""
    _check(pieces, start_ms, stop_ms)
    kept = []
    for begins, piece in zip(_begins(pieces), pieces, strict=True):
        first = max(piece.start_ms, piece.start_ms + start_ms - begins)
        last = min(piece.stop_ms, piece.start_ms + stop_ms - begins)
        if first < last:
            kept.append(Piece(piece.take, first, last))
    return _joined(kept)


def without(pieces: Pieces, start_ms: int, stop_ms: int) -> Pieces:
    """Everything but the passage from `start_ms` up to `stop_ms`."""
    _check(pieces, start_ms, stop_ms)
    end = length_ms(pieces)
    return _joined([*trimmed(pieces, 0, start_ms), *trimmed(pieces, stop_ms, end)])


def respoken(pieces: Pieces, start_ms: int, stop_ms: int, take: Take) -> Pieces:
    """A whole take in the place of the passage from `start_ms` up to `stop_ms`.

    The passage may be empty: the take is then put in between. A take that lasts no time only
    takes the passage out.
    """
    _check(pieces, start_ms, stop_ms)
    before = trimmed(pieces, 0, start_ms)
    after = trimmed(pieces, stop_ms, length_ms(pieces))
    return _joined([*before, *whole([take]), *after])


def in_take(pieces: Pieces, at_ms: int) -> tuple[str, int] | None:
    """The take that plays at an instant, and where in it; None outside the talk."""
    for begins, piece in zip(_begins(pieces), pieces, strict=True):
        if begins <= at_ms < begins + piece.lasts_ms:
            return piece.take, piece.start_ms + at_ms - begins
    return None


def in_talk(pieces: Pieces, take: str, at_ms: int) -> tuple[int, ...]:
    """When an instant of a take is played: never where it was cut away, twice where it is twice."""
    return tuple(
        begins + at_ms - piece.start_ms
        for begins, piece in zip(_begins(pieces), pieces, strict=True)
        if piece.take == take and piece.start_ms <= at_ms < piece.stop_ms
    )


def _begins(pieces: Pieces) -> list[int]:
    return list(accumulate((piece.lasts_ms for piece in pieces), initial=0))[:-1]


def _check(pieces: Pieces, start_ms: int, stop_ms: int) -> None:
    end = length_ms(pieces)
    if not 0 <= start_ms <= stop_ms <= end:
        raise ValueError(
            f"got a passage from {start_ms} to {stop_ms} ms; expected it within 0 to {end}, "
            "its end not before its beginning"
        )


def _joined(pieces: Sequence[Piece]) -> Pieces:
    """Neighbours that follow each other in one take are one piece: a join would be heard."""
    done: list[Piece] = []
    for piece in pieces:
        last = done[-1] if done else None
        if last is not None and (last.take, last.stop_ms) == (piece.take, piece.start_ms):
            done[-1] = Piece(piece.take, last.start_ms, piece.stop_ms)
        else:
            done.append(piece)
    return tuple(done)
