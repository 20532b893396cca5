"""What is told of each turn: the lifter's share, degrees added, how wide the ±.

    python -m training.motion.told --tapes FOLDER --only fit

Prints what `body/told.py` calls TOLD, from swings that neither the lifter nor the prior has met.
For each view, turn and moment the share w and the degrees b make fit + w (lifter - fit) + b fall on
the truth, in least squares with far errors counting less; then the fit's ± is multiplied until
`INSIDE` of the truths lie inside a 90 % interval: other golfers are harder than the fitting set by
about as much as 90 % and this differ.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from bench.readings import beside, files_of
from bench.turns import BOTH, MOMENTS, by_swing, view_of
from numpy.typing import NDArray

from causeline.body.recover import recover_body
from causeline.body.turned import turns_of
from causeline.model.moments import MomentName
from causeline.model.motion import TURNS
from causeline.quantities.uncertain import NORMAL_90
from causeline.sources.motion_prior import decode_prior

Floats = NDArray[np.float64]
Key = tuple[str, str, str]
"""View or views, moment, turn."""

INSIDE, LEAST_WIDER = 0.95, 0.4
STEADY = 0.25
"""How strongly a share is drawn to one half, of the spread of what it multiplies."""
FAR = 2.0


def main() -> None:
    """Fit each swing by itself and in pairs, gather, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--only", default="fit")
    parser.add_argument("--workers", type=int, default=1)
    given = parser.parse_args()
    rows: dict[Key, list[Floats]] = defaultdict(list)
    with ProcessPoolExecutor(given.workers) as pool:
        swings = by_swing(files_of(given.tapes, given.only)).values()
        for found in pool.map(rows_of, swings):
            for key, row in found:
                rows[key].append(row)
    for (views, moment, turn), each in sorted(rows.items()):
        share, added, wider = told_of(np.array(each))
        print(views, moment, turn, f"({share:.2f}, {added:.1f}, {wider:.2f}) of {len(each)}")


def rows_of(files: list[Path]) -> list[tuple[Key, Floats]]:
    """Truth, fit, lifter and the fit's ± at each moment, degrees, of each view and of both."""
    read = [one for one in map(beside, files) if one.reading is not None]
    prior = decode_prior()
    if prior.lift is None:
        return []
    views = [view_of(one) for one in read]
    lifts = [prior.lift(v.body, v.club, v.moments, v.view, None) for v in views]
    lifted = [lift for lift in lifts if lift is not None]
    if len(lifted) < len(views):
        return []
    groups = [(one.view, [k]) for k, one in enumerate(read)]
    out = []
    for name, which in groups + ([(BOTH, [0, 1])] if len(read) > 1 else []):
        motion = recover_body([views[k] for k in which], prior)
        if motion is None or motion.known is None:
            continue
        truth, known = read[which[0]].truth, motion.known
        times = np.asarray(truth.facts["frames"]["time_s"])
        fitted = known.begun + turns_of(known.points)
        ways = turns_of(known.points + 0.01 * known.ways) - turns_of(known.points)
        spread = np.sqrt(((ways / 0.01) ** 2).sum(axis=0))
        for moment in (each for each in MOMENTS if each in truth.moments):
            found = [read[k].swing.moments.get(MomentName(moment)) for k in which]
            if any(each is None for each in found):
                continue
            at = [each.time_s for each in found if each is not None]
            for q, turn in enumerate(TURNS):
                said = [
                    np.interp(time_s, lifted[k].time_s, lifted[k].turns[:, q])
                    for k, time_s in zip(which, at, strict=True)
                ]
                true = np.interp(truth.moments[moment], times, truth.facts["turns_deg"][turn])
                fit, sd = (
                    np.interp(at[0], known.time_s, curve[:, q]) for curve in (fitted, spread)
                )
                row = np.array([true, fit, np.mean(said), sd])
                if np.isfinite(row).all():
                    out.append(((name, moment, turn), row))
    return out


def told_of(rows: Floats) -> tuple[float, float, float]:
    """Share, degrees added, and what the fit's ± is multiplied by, of rows as `rows_of`."""
    true, fit, lifted, sd = rows.T
    apart, off = lifted - fit, true - fit
    share, added = 0.5, 0.0
    for _ in range(10):
        left = off - share * apart - added
        usual = 1.48 * np.median(np.abs(left - np.median(left))) + 1e-6
        weight = 1.0 / np.maximum(1.0, np.abs(left) / (FAR * usual))
        steady = STEADY * float(np.var(apart))
        columns = np.stack([apart, np.ones_like(apart)], axis=1)
        normal = columns.T @ (weight[:, None] * columns) + np.diag([steady, 1e-6])
        slope = columns.T @ (weight * off) + np.array([0.5 * steady, 0.0])
        share = float(np.clip(np.linalg.solve(normal, slope)[0], 0.0, 1.0))
        added = float(np.average(off - share * apart, weights=weight))
    left = np.abs(fit + share * apart + added - true)
    doubt = share * (1.0 - share) * apart**2
    for wider in np.arange(LEAST_WIDER, 5.0, 0.01):
        if np.mean(left <= NORMAL_90 * np.sqrt((wider * sd) ** 2 + doubt)) >= INSIDE:
            break
    return share, added, float(wider)


if __name__ == "__main__":
    main()
