"""Which swings are filmed, in which order: by what a partial run is worth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from studio.accuracy_cast import draw_for
from studio.accuracy_set import SLOW_WAYS, Plan, plans, shots_of
from studio.clubs import CLUBS
from studio.golfers import Golfer, draw_golfer
from studio.place import KINDS
from studio.planted_set import PLANTED, SOUND, draw_planted, planted_plans
from studio.shoot import Shot

TRAIN = "train"
FIRST_TRAIN_SEED = 6_800_000
"""Training keeps below 7 000 000."""
TRAIN_RATES_HZ, TRAIN_SIZES = (60.0, 30.0, 60.0), ("540p", "480p", "720p")
LEFT_EVERY = 5
FIT = "fit"
FIRST_FIT_SEED = 6_550_000
FIT_SOUND_EVERY = 3


def train_plans(swings: int) -> list[Plan]:
    """Any golfer, any place, each club in its turn: for training alone."""
    return [
        Plan(
            number=k,
            seed=FIRST_TRAIN_SEED + k,
            rate_hz=TRAIN_RATES_HZ[k % 3],
            slow=SLOW_WAYS[0],
            left_handed=k % LEFT_EVERY == LEFT_EVERY - 1,
            place=KINDS[(k + k // 4) % len(KINDS)],
            kind=TRAIN,
            size=TRAIN_SIZES[(k // 3) % 3],
        )
        for k in range(swings)
    ]


def fit_plans(swings: int) -> list[Plan]:
    """Like the planted set, every third one sound, of other seeds: what may be fitted on."""
    return [
        replace(plan, kind=FIT, seed=FIRST_FIT_SEED + plan.number)
        for plan in planted_plans(swings, 0)
    ]


def golfer_of(plan: Plan) -> Golfer:
    """Who swings; golfers of the training set have any faults."""
    if plan.kind == FIT:
        sound = plan.number % FIT_SOUND_EVERY == FIT_SOUND_EVERY - 1
        return draw_planted(replace(plan, kind=SOUND if sound else PLANTED))
    if plan.kind != TRAIN:
        return draw_for(plan)
    return draw_golfer(np.random.default_rng([plan.seed, 40]), CLUBS[plan.number % len(CLUBS)].kind)


def ordered(
    accuracy: int, planted: int, sound: int, train: int, fit: int
) -> list[tuple[Plan, Shot]]:
    """Every clip to film: the accuracy set, the longest clips first, then the others mixed."""
    first = sorted(plans(accuracy, 0), key=lambda plan: -plan.rate_hz)
    others = planted_plans(planted, sound)
    mixed = _mixed(others[:planted], others[planted:], train_plans(train), fit_plans(fit))
    return [(plan, shot) for plan in (*first, *mixed) for shot in shots_of([plan])]


def _mixed(*lists: Sequence[Plan]) -> Iterator[Plan]:
    """Each list spread evenly over the whole, so that any beginning holds the same shares."""
    placed = [((k + 0.5) / len(each), plan) for each in lists for k, plan in enumerate(each)]
    yield from (plan for _, plan in sorted(placed, key=lambda pair: pair[0]))
