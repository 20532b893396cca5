"""Presentation stamps as a clip's clock needs them: one for each frame, strictly increasing."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Stamps = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class MendedStamps:
    """Stamps in order of presentation, and how many of them had to be made up."""

    stamps: Stamps
    mended: int


def decode_stamps(raw: Sequence[int | None]) -> MendedStamps:
    """Mend the stamps of frames that come in order of presentation.

    A stamp that is missing, repeats another or stands out of order is replaced, evenly spaced
    between the nearest sound ones (the largest set that increases); at either end by the median
    spacing. Where the sound ones leave no room for whole ticks, the next one is replaced too.
    """
    kept = _longest_increasing(raw)
    if len(kept) == len(raw):
        return MendedStamps(np.array(raw, dtype=np.int64), 0)
    step = _usual_step(raw, kept)
    if not kept:
        return MendedStamps(np.arange(len(raw), dtype=np.int64) * step, len(raw))
    kept = _with_room(raw, kept)
    at = np.array([-1, *kept, len(raw)], dtype=np.int64)
    known = np.array([raw[i] for i in kept], dtype=np.int64)
    before, after = kept[0] + 1, len(raw) - kept[-1]
    known = np.concatenate([[known[0] - before * step], known, [known[-1] + after * step]])
    return MendedStamps(_between(at, known), len(raw) - len(kept))


def _longest_increasing(raw: Sequence[int | None]) -> list[int]:
    """Positions of a longest strictly increasing run of stamps (patience sorting).

    Of two equal stamps the first is kept.
    """
    tails: list[int] = []
    ends: list[int] = []
    before: dict[int, int | None] = {}
    for i, stamp in enumerate(raw):
        if stamp is None:
            continue
        k = bisect_left(tails, stamp)
        if k < len(tails) and tails[k] == stamp:
            continue
        before[i] = ends[k - 1] if k else None
        tails[k : k + 1] = [stamp]
        ends[k : k + 1] = [i]
    found: list[int] = []
    at = ends[-1] if ends else None
    while at is not None:
        found.append(at)
        at = before[at]
    return found[::-1]


def _usual_step(raw: Sequence[int | None], kept: list[int]) -> int:
    stamps = np.array([raw[i] for i in kept], dtype=np.float64)
    gaps = np.diff(stamps) / np.diff(np.array(kept, dtype=np.float64))
    return max(1, round(float(np.median(gaps)))) if len(gaps) else 1


def _with_room(raw: Sequence[int | None], kept: list[int]) -> list[int]:
    roomy = kept[:1]
    for i in kept[1:]:
        last = roomy[-1]
        if (raw[i] or 0) - (raw[last] or 0) >= i - last:
            roomy.append(i)
    return roomy


def _between(at: Stamps, known: Stamps) -> Stamps:
    """Whole ticks, evenly spread between known ones, floored so that they stay below the next."""
    made = np.empty(at[-1] + 1, dtype=np.int64)
    for i0, i1, t0, t1 in zip(at[:-1], at[1:], known[:-1], known[1:], strict=True):
        steps = np.arange(max(i0, 0), i1, dtype=np.int64) - i0
        made[max(i0, 0) : i1] = t0 + steps * (t1 - t0) // (i1 - i0)
    return made[:-1]
