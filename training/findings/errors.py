"""How far off each measure is, in its own ±: fitted on filmed swings whose truth is known.

Of each view and band: what it reads too high on average, how much it varies beside its ±, and what
the measures of one view err together (a golfer's shirt, a camera that looks from a little higher).
Few swings say little: everything is drawn toward an honest ± by a few swings' worth.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from bench.findings import Side, Values
from numpy.typing import NDArray

from causeline.findings.likelihood import ASKED
from causeline.model.clip import View
from causeline.model.measures import Measure
from causeline.model.moments import MomentName

Floats = NDArray[np.float64]

FACTORS = 4
FARTHEST = 4.0
"""An error counts as at most so many ±: those who went astray are known by other means."""
FEW, FEW_PAIRS = 8, 25
"""Swings' worth by which an error is drawn to 0 and a variance to 1, a correlation to 0."""
LEAST = 0.3
"""A ± is never taken to be more than three times too wide."""


@dataclass(frozen=True, slots=True, eq=False)
class Erred:
    """Of one band in one view, everything in its own ±."""

    off: float
    alone: float
    shared: tuple[float, ...]


def fit_errors(sides: Iterable[Side]) -> dict[tuple[View, str], Erred]:
    """The table, from what was read of each view by itself and of both together."""
    rows: dict[View, list[dict[str, float]]] = {view: [] for view in View}
    for side in sides:
        if side.called is not None and side.called.value == side.view:
            true = _by_key(side.true[side.called])
            for values in (side.values, side.together):
                rows[side.called].append(_errors(side.called, values, true))
    return {(view, key): erred for view, own in rows.items() for key, erred in _fitted(own).items()}


Key = tuple[str, MomentName | None]


def _by_key(values: Values) -> dict[Key, float]:
    return {(m.name, m.moment): m.value for m in values if isinstance(m, Measure)}


def _errors(view: View, values: Values, true: Mapping[Key, float]) -> dict[str, float]:
    """Band to what was read too high, in its own ±."""
    read = {(m.name, m.moment): m for m in values if isinstance(m, Measure)}
    found = {}
    for key, band in ASKED.items():
        one, truth = read.get((band.measure, band.moment)), true.get((band.measure, band.moment))
        if view in band.views and one is not None and truth is not None:
            off = one.value - truth
            if band.turns_at is not None:
                off = (off + 180.0) % 360.0 - 180.0
            found[key] = float(np.clip(off / one.sd, -FARTHEST, FARTHEST))
    return found


def _fitted(rows: Sequence[Mapping[str, float]]) -> dict[str, Erred]:
    keys = [key for key in ASKED if sum(key in row for row in rows) > FEW]
    if not keys:
        return {}
    table = np.array([[row.get(key, np.nan) for key in keys] for row in rows])
    there = np.isfinite(table)
    count = there.sum(axis=0) / 2.0  # each swing is there twice: by itself, and with the other view
    off = np.nanmedian(table, axis=0) * count / (count + FEW)
    left = np.where(there, table - off, 0.0)
    variance = ((left**2).sum(axis=0) / 2.0 + FEW) / (count + FEW)
    pairs = there.T.astype(float) @ there / 2.0
    alike = left.T @ left / 2.0 / np.maximum(pairs, 1.0) / np.sqrt(np.outer(variance, variance))
    alike = np.clip(alike, -1.0, 1.0) * pairs / (pairs + FEW_PAIRS)
    np.fill_diagonal(alike, 1.0)
    loads, own = _factors(alike)
    scale = np.maximum(np.sqrt(variance), LEAST)
    return {
        key: Erred(
            float(off[k]),
            float(own[k] * scale[k]),
            tuple(float(one) for one in loads[k] * scale[k]),
        )
        for k, key in enumerate(keys)
    }


def _factors(alike: Floats) -> tuple[Floats, Floats]:
    """Common factors of a table of correlations, and the share of each that is its own."""
    own = np.full(len(alike), 0.5)
    for _ in range(60):
        size, axes = np.linalg.eigh(alike - np.diag(own))
        loads = axes[:, -FACTORS:] * np.sqrt(np.maximum(size[-FACTORS:], 0.0))
        own = np.clip(1 - (loads**2).sum(axis=1), 0.1, 1.0)
    return loads[:, ::-1], np.sqrt(own)
