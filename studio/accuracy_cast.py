"""The swings of the accuracy set: every third one sound, the others with each fault in its turn."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from studio.accuracy_set import Plan, performance_name
from studio.clubs import CLUBS
from studio.faults import FAULTS
from studio.golfers import Golfer, draw_golfer
from studio.perform import perform
from studio.planted_set import draw_planted
from studio.shoot import cropped, keep_performance

BEFORE_S, AFTER_S = 1.6, 1.6
"""Of the performance, before the start and after impact."""
WORTH_SPREADING = 4
"""Fewer swings than this are posed before other processes have started."""


def perform_all(folder: Path, plans: Sequence[Plan], workers: int = 1) -> None:
    """Pose these swings and keep them there."""
    jobs = [(folder, plan) for plan in plans]
    if workers == 1 or len(jobs) < WORTH_SPREADING:
        for job in jobs:
            print(_perform_one(job), flush=True)
        return
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for line in pool.map(_perform_one, jobs):
            print(line, flush=True)


def _perform_one(job: tuple[Path, Plan]) -> str:
    folder, plan = job
    name = performance_name(plan)
    golfer = draw_for(plan)
    performance = perform(golfer.build, golfer.swing, golfer.club, plan.seed)
    start = performance.moments["start"]
    impact = performance.moments.get("impact", start + 1.5)
    keep_performance(folder, name, cropped(performance, start - BEFORE_S, impact + AFTER_S), name)
    faults = ", ".join(str(fault["name"]) for fault in performance.faults) or "sound"
    return f"{name}: {golfer.skill}, {golfer.club.kind}, {faults}"


def draw_for(plan: Plan) -> Golfer:
    """A golfer of any build, with any club."""
    if plan.kind != "swing":
        return draw_planted(plan)
    rng = np.random.default_rng([plan.seed, 40])
    kind = CLUBS[plan.number % len(CLUBS)].kind
    if plan.number % 3 == 2:
        return draw_golfer(rng, kind, "skilled", {})
    planted = FAULTS[(plan.number - plan.number // 3) % len(FAULTS)].name
    skill = "ordinary" if plan.number % 2 else "skilled"
    return draw_golfer(rng, kind, skill, {planted: float(rng.uniform(0.35, 0.95))})
