"""The swings of the accuracy set: every third one sound, the others with each fault in its turn."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from studio.accuracy_set import Plan, performance_name
from studio.clubs import CLUBS
from studio.faults import FAULTS
from studio.golfers import Golfer, draw_golfer
from studio.perform import perform
from studio.shoot import cropped, keep_performance

BEFORE_S, AFTER_S = 1.6, 1.6
"""Of the performance, before the start and after impact."""


def perform_all(folder: Path, plans: Sequence[Plan]) -> None:
    """Pose these swings and keep them there."""
    for plan in plans:
        name = performance_name(plan)
        golfer = draw_for(plan)
        performance = perform(golfer.build, golfer.swing, golfer.club, plan.seed)
        start = performance.moments["start"]
        impact = performance.moments.get("impact", start + 1.5)
        kept = cropped(performance, start - BEFORE_S, impact + AFTER_S)
        keep_performance(folder, name, kept, name)
        faults = ", ".join(str(fault["name"]) for fault in performance.faults) or "sound"
        print(f"{name}: {golfer.skill}, {golfer.club.kind}, {faults}", flush=True)


def draw_for(plan: Plan) -> Golfer:
    """A golfer of any build, with any club."""
    rng = np.random.default_rng([plan.seed, 40])
    kind = CLUBS[plan.number % len(CLUBS)].kind
    if plan.number % 3 == 2:
        return draw_golfer(rng, kind, "skilled", {})
    planted = FAULTS[(plan.number - plan.number // 3) % len(FAULTS)].name
    skill = "ordinary" if plan.number % 2 else "skilled"
    return draw_golfer(rng, kind, skill, {planted: float(rng.uniform(0.35, 0.95))})
