"""How likely the measures of a swing are under a story: what each fault adds, and how values vary.

Without a fault a swing's values lie about the usual ones, together: a golfer who turns less lifts
the arms less, too. A fault moves values by its severity. Both were learned of posed golfers
(`expected`). What reading adds was learned of filmed ones: how far off a measure is, in its own ±
(`errors`). Tails are those of a Student distribution: a swing may be unlike all that were seen.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from causeline.findings.bands import BANDS, WATCHED
from causeline.findings.errors import ERRORS, HONEST, SHARED
from causeline.findings.expected import EXPECTED
from causeline.findings.spec import Band, Watched
from causeline.findings.weigh import explain_surest
from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.measures import Measure, Refusal
from causeline.quantities.angle import Floats

ASKED: dict[str, Band | Watched] = {**BANDS, **WATCHED}
FREEDOM = 60.0
"""Of the Student distribution: the smaller, the less a strange swing says."""
WEIGHT = 0.5
"""Share of what the measures say together (as a logarithm) that is taken: set where the odds of the
fitting set's swings came out honest and its sound swings were left alone."""
ASTRAY = 3.0
"""A value further off than any fault brings it, by so many standard deviations, has a wider ±."""


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """The measures of one swing, in steps that are independent and of size 1 without a fault."""

    faults: Mapping[str, int]
    """Those that some measure is moved by, each with its row."""
    moves: Floats
    """(faults, faults) products of what each adds."""
    along: Floats
    """(faults,) products of what each adds with what was seen."""
    whole: float
    """Squared length of what was seen."""
    count: int

    def weigh(self, rows: NDArray[np.int64], mean: Floats, spread: Floats) -> Floats:
        """Logarithm of the measures' chance under stories, (n,).

        `rows` (n, k): of the faults of each, -1 where nothing is moved; mean (n, k) and spread
        (n, k, k) are of their severities.
        """
        size = mean.shape[1]
        known = (rows >= 0).astype(float)
        moves = self.moves[rows[:, :, None], rows[:, None, :]] * known[:, :, None] * known[:, None]
        along = self.along[rows] * known
        left = along - np.einsum("nij,nj->ni", moves, mean)
        expected = self.whole - np.einsum("ni,ni->n", mean, along + left)
        wider = np.eye(size) + moves @ spread
        solved = np.linalg.solve(wider, left[..., None])[..., 0]
        off = expected - np.einsum("ni,nij,nj->n", left, spread, solved)
        off = np.maximum(off, 0.0)
        log = -0.5 * np.linalg.slogdet(wider)[1]
        log -= 0.5 * (FREEDOM + self.count) * np.log1p(off / FREEDOM)
        return np.asarray(WEIGHT * log)


def explain_heard(seen: Mapping[View, Sequence[Measure | Refusal]], club: ClubSort | None) -> Heard:
    """What the measures of one swing say, ready to be set against stories."""
    found = [(key, *best) for key, best in _values(seen).items()]
    names = sorted({name for key, _, _ in found for name in EXPECTED[key].moved})
    if not found or not names:
        return Heard({}, np.zeros((1, 1)), np.zeros(1), 0.0, 0)
    moved = [EXPECTED[key].moved for key, _, _ in found]
    adds = np.array([[each.get(name, 0.0) for each in moved] for name in names])
    usual = np.array([EXPECTED[key].usual(club) for key, _, _ in found])
    own = np.array([EXPECTED[key].spread for key, _, _ in found])
    together = own @ own.T + np.diag([EXPECTED[key].alone ** 2 for key, _, _ in found])
    bias, reading = _reading(found)
    away = np.array(
        [_away(key, one.value, middle) for (key, one, _), middle in zip(found, usual, strict=True)]
    )
    away = away - bias
    total = together + reading + np.diag(_astray(away, adds, np.diag(together + reading)))
    root = np.linalg.cholesky(total)
    step, pushes = np.linalg.solve(root, away), np.linalg.solve(root, adds.T)
    rows = {name: row for row, name in enumerate(names)}
    return Heard(rows, pushes.T @ pushes, pushes.T @ step, float(step @ step), len(found))


def _values(
    seen: Mapping[View, Sequence[Measure | Refusal]],
) -> dict[str, tuple[Measure, View]]:
    values = {key: explain_surest(ASKED[key], ASKED[key].views, seen) for key in EXPECTED}
    return {key: best for key, best in values.items() if best is not None}


def _reading(found: Sequence[tuple[str, Measure, View]]) -> tuple[Floats, Floats]:
    """What reading adds: how far off values are on average, (n,), and its covariance, (n, n)."""
    errors = [ERRORS.get((view, key), HONEST) for key, _, view in found]
    sd = np.array([one.sd for _, one, _ in found])
    bias = sd * np.array([error.off for error in errors])
    shared = np.array([error.shared or (0.0,) * SHARED for error in errors]) * sd[:, None]
    alone = sd * np.array([error.alone for error in errors])
    return bias, shared @ shared.T + np.diag(alone**2)


def _away(key: str, value: float, usual: float) -> float:
    """From the usual value; of a direction, the short way round."""
    if ASKED[key].turns_at is None:
        return value - usual
    return (value - usual + 180.0) % 360.0 - 180.0


def _astray(away: Floats, adds: Floats, variance: Floats) -> Floats:
    """Variance to be added to values that lie beyond what the severest fault and chance explain."""
    most = np.maximum(adds.max(axis=0, initial=0.0), 0.0)
    least = np.minimum(adds.min(axis=0, initial=0.0), 0.0)
    beyond = np.maximum(np.maximum(away - most, least - away), 0.0) / ASTRAY
    return np.maximum(beyond**2 - variance, 0.0)
