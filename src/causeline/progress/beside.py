"""Two swings side by side: which instants pair them, how the golfers fit, what differs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from causeline.model.comparison import Comparison, Difference, Fit, Lacking, Shares
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.progress.align import compare_times
from causeline.progress.change import SETUP_SHARE
from causeline.quantities.angle import Floats, wrap_deg
from causeline.quantities.uncertain import Uncertain

FEET = ("lead_ankle", "trail_ankle")
LEAST_SEEN = 0.2
"""Confidence from which a point counts for the fit."""
STILL_S = 0.1
"""Frames so near to address are averaged: the golfer stands still there."""

_Taken = Measure | Refusal


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """One of the two swings, and the clip that it comes from."""

    sha256: str
    swing: Swing


def compare_swings(a: Side, b: Side, mirrored: bool = False) -> Comparison:
    """What swing B does otherwise than swing A.

    `mirrored` turns B's picture left to right: a left-hander beside a right-hander. Measures speak
    of lead and trail, so that they compare either way.

    The ± of a difference is that of measuring alone: the golfer's own swings vary on top of it
    (see `compare_change`).
    """
    times = compare_times(a.swing.moments, b.swing.moments)
    shares = Shares.ONE_SETUP if a.sha256 == b.sha256 else Shares.NOTHING
    others = {(one.name, one.moment): one for one in b.swing.measures}
    both = [
        (one, other)
        for one in a.swing.measures
        if (other := others.get((one.name, one.moment))) is not None
    ]
    return Comparison(
        pairs=times.pairs if times else (),
        fit=compare_fit(a.swing, b.swing, mirrored),
        shares=shares,
        differences=tuple(
            _difference(one, other, shares)
            for one, other in both
            if isinstance(one, Measure) and isinstance(other, Measure)
        ),
        lacking=tuple(
            Lacking(one.name, one.moment, _why(one), _why(other))
            for one, other in both
            if isinstance(one, Refusal) or isinstance(other, Refusal)
        ),
    )


def compare_difference(a: Uncertain, b: Uncertain, shares: Shares) -> Uncertain:
    """B − A with its ±.

    In two clips every error is on its own, and the squares add. In one clip a part of each square
    (`SETUP_SHARE`, a guess) is what the set-up does to every swing alike: it drops out.
    """
    together = SETUP_SHARE if shares is Shares.ONE_SETUP else 0.0
    variance = a.sd**2 + b.sd**2 - 2.0 * together * a.sd * b.sd
    return Uncertain(b.value - a.value, math.sqrt(max(variance, 0.0)))


def compare_fit(a: Swing, b: Swing, mirrored: bool = False) -> Fit | None:
    """Golfer B laid on golfer A as both stand at address: one length of limbs, feet on feet.

    Sized by the chain ankle, knee, hip, shoulder as the picture shows it, so that the fit holds for
    two clips of one view. None where a joint of the chain is not seen in one of them.
    """
    stand_a, stand_b = _stand(a), _stand(b)
    if stand_a is None or stand_b is None:
        return None
    width = b.body.width if mirrored else None
    scale = stand_a.chain_px / stand_b.chain_px
    feet = Fit(scale, 0.0, 0.0, width).place(stand_b.feet)
    dx, dy = stand_a.feet - feet
    return Fit(scale, float(dx), float(dy), width)


@dataclass(frozen=True, slots=True, eq=False)
class _Stand:
    chain_px: float
    feet: Floats
    """(2,) half-way between the ankles, as the clip shows it."""


def _stand(swing: Swing) -> _Stand | None:
    moment = swing.moments.get(MomentName.ADDRESS) or swing.moments.get(MomentName.START)
    if moment is None:
        return None
    rows = np.flatnonzero(np.abs(swing.body.time_s - moment.time_s) <= STILL_S)
    chain = sum(_link(swing.body, rows, *pair) for pair in (("ankle", "knee"), ("knee", "hip")))
    chain += _link(swing.body, rows, "hip", "shoulder")
    feet = np.mean([_still(swing.body, rows, name) for name in FEET], axis=0)
    if not (math.isfinite(chain) and chain > 0 and np.isfinite(feet).all()):
        return None
    return _Stand(float(chain), feet)


def _link(body: BodyTrack, rows: np.ndarray, low: str, high: str) -> float:
    """Length of one part, the mean of the sides that are seen; NaN where neither is."""
    ends = [
        [_still(body, rows, f"{side}_{part}") for part in (low, high)] for side in ("lead", "trail")
    ]
    lengths = [float(np.hypot(*(top - bottom))) for bottom, top in ends]
    seen = [length for length in lengths if math.isfinite(length)]
    return sum(seen) / len(seen) if seen else math.nan


def _still(body: BodyTrack, rows: np.ndarray, name: str) -> Floats:
    """(2,) median place of a point over rows, as the clip shows it; NaN where it is not seen."""
    there = body.point(name)[rows]
    sure = np.isfinite(there).all(axis=1) & (_confidence(body, name)[rows] >= LEAST_SEEN)
    if not sure.any():
        return np.full(2, np.nan)
    middle: Floats = np.median(there[sure], axis=0)
    if body.mirrored:
        middle[0] = body.width - 1 - middle[0]
    return middle


def _confidence(body: BodyTrack, name: str) -> Floats:
    return body.confidence[:, BODY_LANDMARKS.index(name)]


def _difference(one: Measure, other: Measure, shares: Shares) -> Difference:
    a, b = Uncertain(one.value, one.sd), Uncertain(other.value, other.sd)
    told = compare_difference(a, b, shares)
    if one.unit == "°":
        told = Uncertain(float(wrap_deg(told.value)), told.sd)
    return Difference(one.name, one.moment, one.unit, a, b, told)


def _why(taken: _Taken) -> str:
    return taken.refused if isinstance(taken, Refusal) else ""
