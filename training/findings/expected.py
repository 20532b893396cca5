"""What values a swing shows, with and without each fault: fitted on posed golfers' true measures.

Regression of every band's true value on the severities of the faults and on the club, over swings
of training seeds; effects of less than `SURE` standard errors are left out and the rest fitted
again. How values vary together is what is left, as a few common factors and a share of each alone.
Faults that the studio does not play get what their bands say: the end, and the whole severity past.
"""

from __future__ import annotations

import lzma
import pickle
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from bench.findings_truth import SORTS, true_measures
from bench.truths import Truth
from numpy.typing import NDArray
from studio.faults import FAULTS

from causeline.findings.bands import BANDS
from causeline.findings.catalogue import MEASURED
from causeline.findings.likelihood import ASKED
from causeline.findings.weigh import TELLING
from causeline.model.findings import ClubSort

Floats = NDArray[np.float64]

STEP = 5000.0
"""Points of a pack of posed swings: in steps of 0.2 mm, as changes from frame to frame."""
SURE = 3.0
FACTORS, LEAST_ALONE = 12, 0.08
"""Common factors; least share of a value's variance that is its own."""
PLAYED = tuple(fault.name for fault in FAULTS)
CLUBS = (ClubSort.DRIVER, ClubSort.WEDGE)


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """Of one band: what is expected of its value."""

    mean: float
    by_club: Mapping[ClubSort, float]
    moved: Mapping[str, float]
    spread: tuple[float, ...]
    alone: float


def posed_truths(pack: Path) -> list[Truth]:
    """The swings of a pack that `training.findings.pose` wrote."""
    with lzma.open(pack) as file:
        kept = pickle.load(file)  # noqa: S301, our own file
    return [_truth(facts) for facts in kept.values() if not isinstance(facts, str)]


def _truth(facts: Mapping[str, Any]) -> Truth:
    points = {n: np.cumsum(p.T.astype(np.int64), axis=0) / STEP for n, p in facts["points"].items()}
    return Truth(
        {
            "moments": {name: {"time_s": time} for name, time in facts["moments"].items()},
            "frames": {"time_s": facts["time_s"].astype(float)},
            "points_m": points,
            "turns_deg": {name: turn.astype(float) for name, turn in facts["turns"].items()},
            "body": {"stature_m": facts["stature"]},
            "faults": facts["faults"],
            "club": {"kind": facts["club"]},
        }
    )


def band_values(truth: Truth) -> dict[str, float]:
    """The true value of every band that this swing has one of; directions the short way round."""
    seen = true_measures(truth)
    by = {(view, m.name, m.moment): m.value for view, own in seen.items() for m in own}
    values = {}
    for key, band in ASKED.items():
        value = by.get((band.views[0], band.measure, band.moment))
        if value is not None:
            middle = band.turns_at
            values[key] = value if middle is None else (value - middle + 180) % 360 - 180 + middle
    return values


def severities(truth: Truth) -> Floats:
    """(faults played,) of one swing."""
    own = {fault["name"]: fault["severity"] for fault in truth.facts["faults"]}
    return np.array([own.get(name, 0.0) for name in PLAYED])


def fit_expected(truths: Iterable[Truth]) -> dict[str, Learned]:
    """The table, from true values and true severities."""
    swings = list(truths)
    table = [band_values(truth) for truth in swings]
    keys = [key for key in ASKED if any(key in row for row in table)]
    values = np.array([[row.get(key, np.nan) for key in keys] for row in table])
    values = np.where(np.isfinite(values), values, np.nanmedian(values, axis=0))
    sorts = [SORTS.get(str(truth.facts["club"]["kind"])) for truth in swings]
    design = np.array([[1.0, *(sort is club for club in CLUBS)] for sort in sorts])
    design = np.hstack([design, [severities(truth) for truth in swings]])
    weights = np.stack([_sparse(design, column) for column in values.T], axis=1)
    left = values - design @ weights
    spread, alone = _factors(left, len(swings) - design.shape[1])
    return {
        key: Learned(
            mean=float(weights[0, k]),
            by_club={club: float(weights[1 + n, k]) for n, club in enumerate(CLUBS)},
            moved=_moved(key, dict(zip(PLAYED, weights[1 + len(CLUBS) :, k], strict=True))),
            spread=tuple(float(one) for one in spread[k]),
            alone=float(alone[k]),
        )
        for k, key in enumerate(keys)
    }


def _sparse(design: Floats, column: Floats) -> Floats:
    """Weights of one value; those that are not sure are 0."""
    kept = np.ones(design.shape[1], bool)
    for _ in range(2):
        part = design[:, kept]
        inverse = np.linalg.inv(part.T @ part)
        fitted = inverse @ part.T @ column
        sd = np.sqrt(((column - part @ fitted) ** 2).sum() / (len(column) - part.shape[1]))
        weights = np.zeros(design.shape[1])
        weights[kept] = fitted
        sure = np.zeros(design.shape[1], bool)
        sure[kept] = np.abs(fitted) > SURE * sd * np.sqrt(np.diag(inverse))
        sure[: 1 + len(CLUBS)] = True
        last, kept = kept, sure
        weights[~kept] = 0.0
    part = design[:, last & kept]
    weights = np.zeros(design.shape[1])
    weights[last & kept] = np.linalg.lstsq(part, column, rcond=None)[0]
    return weights


def _factors(left: Floats, freedom: int) -> tuple[Floats, Floats]:
    """Common factors (values, factors) and what is each value's own, (values,): principal axes."""
    sd = np.sqrt((left**2).sum(axis=0) / freedom)
    alike = (left / sd).T @ (left / sd) / freedom
    own = np.full(len(sd), 0.5)
    for _ in range(80):
        size, axes = np.linalg.eigh(alike - np.diag(own))
        loads = axes[:, -FACTORS:] * np.sqrt(np.maximum(size[-FACTORS:], 0.0))
        own = np.maximum(1 - (loads**2).sum(axis=1), LEAST_ALONE)
    return loads[:, ::-1] * sd[:, None], np.sqrt(own) * sd


def _moved(key: str, played: Mapping[str, float]) -> dict[str, float]:
    """What each fault adds at severity 1, the largest first."""
    moved = {name: add for name, add in played.items() if add}
    if key not in BANDS:
        return dict(sorted(moved.items(), key=lambda pair: -abs(pair[1])))
    band = BANDS[key]
    for fault in MEASURED:
        for sign in fault.signs:
            if fault.name not in PLAYED and sign.band == key and sign.shows >= TELLING:
                whole = band.reach(sign.side) + band.full
                moved[fault.name] = whole if sign.side == "high" else -whole
    return dict(sorted(moved.items(), key=lambda pair: -abs(pair[1])))
