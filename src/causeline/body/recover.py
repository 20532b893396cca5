"""The body in three dimensions: one motion that explains every frame of every view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from causeline.body.errors import WEIGHTS, Whitener
from causeline.body.phases import phase_place
from causeline.body.phone import LIKELY, LIKELY_SD, guess_phone, project_points, project_slopes
from causeline.body.shot import Shot, View3D, sample_view
from causeline.body.told import told_motion
from causeline.model.clip import View
from causeline.model.motion import TURNS, Known, Motion, MotionPrior
from causeline.quantities.angle import Floats
from causeline.quantities.uncertain import Uncertain

STATURE_M = Uncertain(1.71, 0.10)
"""Of a golfer of whom nothing is known: men and women of ANSUR II (2012) together, widened."""
ROUNDS, STEPS = 3, 30
"""Times that trust is looked at anew, and steps of each descent."""
SETTLED = 1e-4
USUAL_WAYS = 0.75
"""Root mean square of the learned ways in a swing of the kind that they were learned from: nine in
ten of 64 training clips lie below 0.8. A golfer who takes more of them moves as none that was
learned from, and the ± grows with the square of it. One motion by markers takes 1.1 to 1.2 of them
and errs by up to 25°."""
ALIKE = 0.06
"""Two clips of one swing agree in how long it takes back and down within this share."""


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """The unknowns and how sure they are: K ways to differ, log stature, 7 numbers a phone."""

    values: Floats
    covariance: Floats
    misfit: float
    """Root mean square of the residuals in their own standard deviations."""


@dataclass(frozen=True, slots=True, eq=False)
class _Problem:
    prior: MotionPrior
    shots: tuple[Shot, ...]
    stature: Uncertain

    @property
    def ways(self) -> int:
        return len(self.prior.basis)

    def points(self, values: Floats) -> Floats:
        """(P, Q, 3) metres."""
        shape = self.prior.mean + np.tensordot(values[: self.ways], self.prior.basis, 1)
        points: Floats = np.exp(values[self.ways]) * shape
        return points

    def scaled(self, values: Floats) -> Floats:
        """(K, P, Q, 3) metres: the ways to differ, at the golfer's size."""
        ways: Floats = np.exp(values[self.ways]) * self.prior.basis
        return ways

    def phone(self, values: Floats, number: int) -> Floats:
        first = self.first(number)
        return values[first : first + len(LIKELY)]

    def first(self, number: int) -> int:
        """Where the unknowns of a shot begin: its phone, then its modes."""
        return self.ways + 1 + sum(len(LIKELY) + len(shot.modes) for shot in self.shots[:number])

    def modes(self, values: Floats, number: int) -> Floats:
        """How much of each mode a shot's points are off by."""
        first = self.first(number) + len(LIKELY)
        return values[first : first + len(self.shots[number].modes)]

    def likely(self) -> tuple[Floats, Floats]:
        """Mean and standard deviation of the unknowns before anything was seen."""
        spread = self.stature.sd / self.stature.value
        mean = [np.zeros(self.ways), np.log([self.stature.value])]
        sd = [np.ones(self.ways), np.array([spread])]
        for shot in self.shots:
            mean += [LIKELY, np.zeros(len(shot.modes))]
            sd += [LIKELY_SD, np.ones(len(shot.modes))]
        return np.concatenate(mean), np.concatenate(sd)


def recover_body(
    views: Sequence[View3D],
    prior: MotionPrior,
    stature_m: Uncertain | None = None,
    start: Known | None = None,
) -> Motion | None:
    """The golfer in the body frame over the frames of the first view; None where moments lack.

    As `recover_bodies`.
    """
    motions = recover_bodies(views, prior, stature_m, start)
    return motions[0] if motions else None


def recover_bodies(
    views: Sequence[View3D],
    prior: MotionPrior,
    stature_m: Uncertain | None = None,
    start: Known | None = None,
) -> tuple[Motion, ...]:
    """The golfer in the body frame over the frames of each view; empty where moments lack.

    All frames of all views are explained at once by one motion of the prior, one stature and a
    phone for each view, with errors of the landmarks that last and drift. Views are laid over each
    other by their moments. The ± come from the curvature at the best fit. Two views are taken as
    one swing when they last equally long, and then run on one clock, that of the view face-on, from
    which the start is told best; otherwise the ± holds what swings differ by.

    `start` is what was known before a little changed, as when a person sets a landmark right.
    """
    from threadpoolctl import threadpool_limits  # it changes the environment when it is imported

    clocks = [seen.times() for seen in views]
    times = [clock for clock in clocks if clock is not None]
    if len(times) < len(views) or not views:
        return ()
    several = len(views) > 1 and not recover_sameness(times[0], times[1])
    best = next((i for i, seen in enumerate(views) if seen.view == View.FACE_ON), 0)
    if len(views) > 1 and not several:
        times = _one_clock(times, best)
    shots = tuple(sample_view(seen, clock, prior) for seen, clock in zip(views, times, strict=True))
    problem = _Problem(prior, shots, stature_m or STATURE_M)
    with threadpool_limits(1, "blas"):  # matrices this small are slower on several cores
        known = _known(problem, _solved(problem, start), times[0])
        each_clock = [
            replace(known, time_s=clock, begun=_begun_turns(shots[number if several else best]))
            for number, clock in enumerate(times)
        ]
        return tuple(
            told_motion(each, prior.rest, seen.body, several)
            for each, seen in zip(each_clock, views, strict=True)
        )


def _begun_turns(shot: Shot) -> Floats:
    return np.zeros(len(TURNS)) if shot.lifted is None else shot.lifted.begun


def recover_sameness(one: Floats, other: Floats) -> bool:
    """Whether two common clocks last alike from address to impact: one swing, two phones."""
    first, last = (_top_to_impact(clock) for clock in (one, other))
    return bool(abs(np.log(first / last)) <= ALIKE)


def _one_clock(times: list[Floats], best: int) -> list[Floats]:
    """The clock that is trusted most, set to each view's own top and impact."""
    anchors = [phase_place("top"), phase_place("impact")]
    return [times[best] + np.mean((clock - times[best])[anchors]) for clock in times]


def _top_to_impact(clock: Floats) -> float:
    return float(clock[phase_place("impact")] - clock[phase_place("arm_level_back")])


def _solved(problem: _Problem, start: Known | None) -> _Fit:
    values = _begun(problem, start)
    warm = start is not None and len(start.values) == len(values)
    problem = _with_rest(problem, values)
    plain = problem.shots
    if warm:
        problem = _doubting(problem, values, plain)
    rounds = 1 if warm else ROUNDS
    for round_ in range(rounds):
        values, curvature, misfit = _descend(problem, values)
        if round_ < rounds - 1:
            problem = _doubting(problem, values, plain)
    covariance = np.asarray(np.linalg.inv(curvature), np.float64)
    return _Fit(values, covariance, misfit)


def _begun(problem: _Problem, start: Known | None) -> Floats:
    """Where the descent begins: where it ended before, or the usual motion and likely phones."""
    values, _ = problem.likely()
    if start is not None and len(start.values) == len(values):
        return start.values
    points = problem.points(values)
    for number, shot in enumerate(problem.shots):
        first = problem.first(number)
        phone = guess_phone(shot.xy, points, shot.view, shot.size)
        values[first : first + len(phone)] = phone
    return values


def _doubting(problem: _Problem, values: Floats, shots: tuple[Shot, ...]) -> _Problem:
    """Less trust in what lies far from the fit."""
    doubted = tuple(
        shot.doubted(_missed(problem, values, number, shot)) for number, shot in enumerate(shots)
    )
    return replace(problem, shots=doubted)


def _with_rest(problem: _Problem, values: Floats) -> _Problem:
    """What the learned ways do not hold is an error of where each point is seen."""
    missing = np.einsum("cq,pq->pc", WEIGHTS, (problem.prior.rest**2).mean(axis=2))
    rest = float(np.exp(values[problem.ways])) * np.sqrt(missing)[..., None]
    scales = [_pixels_per_metre(s, problem.phone(values, i)) for i, s in enumerate(problem.shots)]
    shots = tuple(
        replace(shot, sd=np.hypot(shot.sd, rest * scale))
        for shot, scale in zip(problem.shots, scales, strict=True)
    )
    return replace(problem, shots=shots)


def _pixels_per_metre(shot: Shot, phone: Floats) -> float:
    return max(shot.size) * float(np.exp(phone[-1] - phone[0]))


def _descend(problem: _Problem, values: Floats) -> tuple[Floats, Floats, float]:
    """Gauss-Newton steps, each shortened until it helps."""
    whiteners = tuple(shot.whitener() for shot in problem.shots)
    damping = 1e-2
    normal, slope, cost, rows = _normal(problem, values, whiteners)
    for _ in range(STEPS):
        step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), slope)
        trial = _normal(problem, values + step, whiteners)
        if trial[2] > cost:
            damping *= 10.0
            continue
        gain, values, damping = cost - trial[2], values + step, damping / 10.0
        normal, slope, cost, rows = trial
        if gain < SETTLED * cost:
            break
    return values, normal, float(np.sqrt(cost / max(rows, 1)))


def _normal(
    problem: _Problem, values: Floats, whiteners: tuple[Whitener, ...]
) -> tuple[Floats, Floats, float, int]:
    """Curvature, slope downhill, cost and number of observations at some values."""
    mean, sd = problem.likely()
    off = (values - mean) / sd
    normal, slope = np.diag(1.0 / sd**2), -off / sd
    cost, rows = float(off @ off), 0
    for number, (shot, whiten) in enumerate(zip(problem.shots, whiteners, strict=True)):
        drawn = _projected(problem, values, number, shot)
        along = _slopes(problem, values, number, shot)
        modes = np.moveaxis(shot.modes, 0, -1)
        off = whiten.apply(_missed(problem, values, number, shot)[..., None])
        residual = np.concatenate([off[:, 0], shot.firm.missed(drawn)])
        slopes = np.concatenate([whiten.apply(along), shot.firm.apply(along)])
        first = problem.first(number) + len(LIKELY)
        slopes[: len(off), first : first + len(shot.modes)] = whiten.apply(modes)
        normal = normal + slopes.T @ slopes
        slope = slope + slopes.T @ residual
        cost += float(residual @ residual)
        rows += whiten.count + 2 * len(shot.firm.sd)
        if shot.lifted is not None:
            points = problem.points(values)
            turned = shot.lifted.slopes(points, problem.scaled(values))
            said = shot.lifted.missed(points)
            normal[: problem.ways, : problem.ways] += turned.T @ turned
            slope[: problem.ways] += turned.T @ said
            cost += float(said @ said)
            rows += int(np.count_nonzero(said))
    return normal, slope, cost, rows


def _projected(problem: _Problem, values: Floats, number: int, shot: Shot) -> Floats:
    """(P, Q, 2) pixels where the body would be seen."""
    points = problem.points(values)
    return project_points(points, problem.phone(values, number), shot.view, shot.size)


def _missed(problem: _Problem, values: Floats, number: int, shot: Shot) -> Floats:
    """(P, Q, 2) pixels by which what was seen lies off what the fit expects to be seen."""
    modes = np.tensordot(problem.modes(values, number), shot.modes, 1)
    return shot.xy - _projected(problem, values, number, shot) - modes


def _slopes(problem: _Problem, values: Floats, number: int, shot: Shot) -> Floats:
    """(P, Q, 2, unknowns) change of the pixels."""
    points = problem.points(values)
    phone = problem.phone(values, number)
    along, turned = project_slopes(points, phone, shot.view, shot.size)
    slopes = np.zeros((*along.shape[:3], len(values)))
    ways = np.moveaxis(problem.scaled(values), 0, -1)
    slopes[..., : problem.ways] = along @ ways
    slopes[..., problem.ways] = (along @ points[..., None])[..., 0]
    first = problem.first(number)
    slopes[..., first : first + len(LIKELY)] = turned
    return slopes


def _known(problem: _Problem, fit: _Fit, clock: Floats) -> Known:
    """The best fit, and each column of the covariance's root as a way to be wrong."""
    points, count = problem.points(fit.values), problem.ways + 1
    stature = float(np.exp(fit.values[problem.ways]))
    factor: Floats = np.asarray(np.linalg.cholesky(fit.covariance[:count, :count]), np.float64)
    taken = float(np.sqrt(np.mean(fit.values[: problem.ways] ** 2)))
    root = factor.T * max(1.0, fit.misfit) * max(1.0, taken / USUAL_WAYS) ** 2
    moves = np.concatenate([stature * problem.prior.basis, points[None]]).reshape(count, -1)
    return Known(
        time_s=clock,
        points=points,
        ways=(root @ moves).reshape(-1, *points.shape),
        stature_m=stature,
        stature_ways=stature * root[:, problem.ways],
        views=tuple(shot.view for shot in problem.shots),
        values=fit.values,
        begun=np.zeros(len(TURNS)),
    )
