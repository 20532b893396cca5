"""The difference between two times, judged by what a golfer's swings vary by anyway.

The model: each swing's value is the level of its time, plus what the camera's spot does to all that
is filmed from it, plus what a day does, plus what differs from swing to swing (the golfer's own
variation and the jitter of measuring). The spreads begin as guesses that count for a few swings,
and give way to the golfer's own. It is the mixed model with spots and sessions as random effects,
solved by generalised least squares on session means.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import t as student

from causeline.model.progress import Aim, Change, Session, Verdict
from causeline.quantities.angle import Floats
from causeline.quantities.uncertain import Uncertain

Sides = tuple[tuple[Session, ...], tuple[Session, ...]]
"""The sessions of before, and of after."""

GUESS_COUNTS = 6.0
"""Degrees of freedom that a guessed spread is worth."""
OWN_VARIATION = {"°": 2.0, "cm": 1.2, "% of stature": 0.7, "s": 0.02, "ratio": 0.15}
"""What a golfer differs by from swing to swing, one standard deviation: a guess (judged, not
published), until their own swings tell."""
SETUP_SHARE = 0.5
"""Part of a measure's variance that is common to all swings of one set-up: guessed."""
DAY_SHARE = 0.3
"""What a day adds (clothes, ball position, the golfer's form), as a part of what a spot and a swing
do: guessed, until sessions tell."""
LEVEL = 0.05
MOST_SWINGS = 60
MOST_DAYS = 12


@dataclass(frozen=True, slots=True)
class _Spread:
    """Variances: of a swing about its session, of a spot about the truth, of a day about both."""

    swing: float
    freedom: float
    """Degrees of freedom behind `swing`."""
    spot: float
    day: float


@dataclass(frozen=True, slots=True)
class _Judged:
    before: Uncertain
    after: Uncertain
    difference: Uncertain
    freedom: float


def compare_change(
    before: Sequence[Session], after: Sequence[Session], aim: Aim, unit: str, level: float = LEVEL
) -> Change:
    """What changed in one measure between two times; each has a swing at least.

    `level` is the share of unchanged golfers told that they changed (two ways together).
    """
    sides = _sides(before, after)
    spread = _spread((*sides[0], *sides[1]), unit)
    change = _changed(sides, spread, aim, level)
    if change.verdict != Verdict.NOT_TOLD_APART:
        return change
    swings, days = _more_swings(sides, spread, level), _more_days(sides, spread, level)
    return replace(change, more_swings=swings, more_days=days)


def compare_changes(
    aimed: Change, others: Mapping[str, tuple[Sequence[Session], Sequence[Session], str]]
) -> tuple[Change, tuple[Change, ...]]:
    """The aimed change, told with what else changed; `others` holds before, after and unit.

    The others are held to a level shared among them (Bonferroni), so that many measures do not
    make a change of one in twenty. Where the aim is not told apart and another measure changed,
    the verdict is that something else changed.
    """
    level = LEVEL / max(1, len(others))
    changed = []
    for name, (before, after, unit) in others.items():
        sides = _sides(before, after)
        spread = _spread((*sides[0], *sides[1]), unit)
        change = _changed(sides, spread, Aim(name, True), level)
        if change.verdict != Verdict.NOT_TOLD_APART:
            changed.append(change)
    if changed and aimed.verdict == Verdict.NOT_TOLD_APART:
        aimed = replace(aimed, verdict=Verdict.SOMETHING_ELSE)
    return aimed, tuple(changed)


def _sides(before: Sequence[Session], after: Sequence[Session]) -> Sides:
    """Sessions that hold swings. Raises ValueError for a time without any."""
    if not any(each.values for each in before) or not any(each.values for each in after):
        raise ValueError("got a time without swings; expected one measured swing at least in each")
    return (
        tuple(each for each in before if each.values),
        tuple(each for each in after if each.values),
    )


def _changed(sides: Sides, spread: _Spread, aim: Aim, level: float) -> Change:
    """The change as far as it is told; what would settle it is not asked yet."""
    judged = _judge(sides, spread)
    difference = judged.difference
    half = float(student.ppf(1 - level / 2, judged.freedom)) * difference.sd
    verdict = _verdict(difference.value, half, aim)
    settled = verdict != Verdict.NOT_TOLD_APART
    return Change(
        measure=aim.measure,
        before=judged.before,
        after=judged.after,
        difference=difference,
        low=difference.value - half,
        high=difference.value + half,
        freedom=judged.freedom,
        sem=math.sqrt(spread.swing),
        detectable=half,
        verdict=verdict,
        more_swings=0,
        more_days=0,
        kept=not all(each.practised for each in sides[1]) if settled else None,
    )


def _spread(sessions: Sequence[Session], unit: str) -> _Spread:
    """Guessed spreads, updated with how the golfer's swings differ within their sessions."""
    stated = float(np.mean([value.sd**2 for each in sessions for value in each.values]))
    guess = (1 - SETUP_SHARE) * stated + OWN_VARIATION[unit] ** 2
    squares = sum(float(np.sum((_values(each) - _values(each).mean()) ** 2)) for each in sessions)
    freedom = GUESS_COUNTS + sum(len(each.values) - 1 for each in sessions)
    swing = (GUESS_COUNTS * guess + squares) / freedom
    spot = SETUP_SHARE * stated
    return _Spread(swing, freedom, spot, DAY_SHARE * (spot + OWN_VARIATION[unit] ** 2))


def _judge(sides: Sides, spread: _Spread) -> _Judged:
    """Both levels and their difference by generalised least squares on session means.

    The common scale of all variances is a guess too, and gives way to how far the session means
    lie from the level of their time.
    """
    sessions = (*sides[0], *sides[1])
    means = np.array([_values(each).mean() for each in sessions])
    later = np.arange(len(sessions)) >= len(sides[0])
    times = np.column_stack([~later, later]).astype(float)
    weights = np.linalg.inv(_covariance(sessions, spread))
    covariance = np.linalg.inv(times.T @ weights @ times)
    levels = covariance @ times.T @ weights @ means
    rest = means - times @ levels
    freedom = spread.freedom + len(sessions) - 2
    covariance *= (spread.freedom + float(rest @ weights @ rest)) / freedom
    contrast = np.array([-1.0, 1.0])
    before, after = (
        Uncertain(float(levels[i]), math.sqrt(max(float(covariance[i, i]), 0.0))) for i in (0, 1)
    )
    sd = math.sqrt(max(float(contrast @ covariance @ contrast), 0.0))
    return _Judged(before, after, Uncertain(float(contrast @ levels), sd), freedom)


def _covariance(sessions: Sequence[Session], spread: _Spread) -> Floats:
    """(m, m) of the session means: sessions from one spot share what the spot does to them."""
    same_spot = np.array([[one.spot == other.spot for other in sessions] for one in sessions])
    own = [spread.day + spread.swing / len(each.values) for each in sessions]
    return spread.spot * same_spot + np.diag(own)


def _verdict(value: float, half: float, aim: Aim) -> Verdict:
    if abs(value) <= half:
        return Verdict.NOT_TOLD_APART
    return Verdict.CHANGED if (value > 0) == aim.upward else Verdict.OTHER_WAY


def _more_swings(sides: Sides, spread: _Spread, level: float) -> int | None:
    """Further swings in the last session after which the difference, if it stays, would be told."""
    last = sides[1][-1]

    def told(more: int) -> bool:
        longer = replace(last, values=last.values + (_level(last),) * more)
        grown = replace(spread, freedom=spread.freedom + more)
        return _told((sides[0], (*sides[1][:-1], longer)), grown, level)

    return _least(told, MOST_SWINGS)


def _more_days(sides: Sides, spread: _Spread, level: float) -> int | None:
    """Further days like the last one, each from its own spot, after which it would be told."""
    last = sides[1][-1]
    values = (_level(last),) * len(last.values)

    def told(more: int) -> bool:
        days = tuple(replace(last, values=values, spot=f"further day {i}") for i in range(more))
        grown = replace(spread, freedom=spread.freedom + more * (len(values) - 1))
        return _told((sides[0], (*sides[1], *days)), grown, level)

    return _least(told, MOST_DAYS)


def _least(told: Callable[[int], bool], most: int) -> int | None:
    """The least number from 1 to `most` that tells, where more tells no less; None if none does."""
    if not told(most):
        return None
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if told(middle) else (middle, high)
    return high


def _told(sides: Sides, spread: _Spread, level: float) -> bool:
    judged = _judge(sides, spread)
    half = float(student.ppf(1 - level / 2, judged.freedom)) * judged.difference.sd
    return abs(judged.difference.value) > half


def _level(session: Session) -> Uncertain:
    return Uncertain(float(_values(session).mean()), 0.0)


def _values(session: Session) -> Floats:
    return np.array([value.value for value in session.values])
