"""The swings of the findings' bench: one planted cause each, with its effects, and sound ones.

Seeds are drawn from `FIRST_SEED` upward; no other set, test or training uses them. Common practice
says which faults can be causes: those from which an arrow of `studio.faults` leads on.
"""

from __future__ import annotations

import numpy as np

from studio.accuracy_set import SLOW_WAYS, Plan
from studio.clubs import CLUBS
from studio.faults import ARROWS, FAULTS
from studio.golfers import Golfer, draw_golfer
from studio.place import KINDS

FIRST_SEED, SOUND_SEED = 8_000_000, 8_500_000
PLANTED, SOUND = "planted", "sound"
RATE_HZ, SIZE = 60.0, "540p"
LEFT_EVERY = 5
SEVERITY = (0.5, 0.95)
"""Of the cause, drawn evenly: clear to a coach, not yet a caricature."""
LEAST_LENGTH = 0.9
"""Full swings only: a half swing is short of turn on purpose."""

CAUSES: tuple[str, ...] = tuple(
    fault.name for fault in FAULTS if any(arrow.cause == fault.name for arrow in ARROWS)
)
"""Faults that lead to others, in the order of the table."""


def planted_plans(planted: int, sound: int, seed: int = 0) -> list[Plan]:
    """The swings with a cause, cycling through the causes, then the sound ones."""
    kinds = ((PLANTED, planted, FIRST_SEED), (SOUND, sound, SOUND_SEED))
    return [
        Plan(
            number=k,
            seed=first + 10_000 * seed + k,
            rate_hz=RATE_HZ,
            slow=SLOW_WAYS[0],
            left_handed=k % LEFT_EVERY == LEFT_EVERY - 1,
            place=KINDS[(k + k // 4) % len(KINDS)],
            kind=kind,
            size=SIZE,
        )
        for kind, count, first in kinds
        for k in range(count)
    ]


def draw_planted(plan: Plan) -> Golfer:
    """The golfer of a plan, drawn again until the swing is full and the cause has an effect."""
    rng = np.random.default_rng([plan.seed, 40])
    club = CLUBS[(plan.number + plan.number // len(CLUBS)) % len(CLUBS)].kind
    roots = {}
    if plan.kind == PLANTED:
        roots = {CAUSES[plan.number % len(CAUSES)]: float(rng.uniform(*SEVERITY))}
    skill = "ordinary" if roots and rng.random() < 0.5 else "skilled"
    while True:
        golfer = draw_golfer(rng, club, skill, roots)
        if golfer.length >= LEAST_LENGTH and (not roots or len(golfer.swing.faults) > 1):
            return golfer
