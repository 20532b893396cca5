"""The golfers of the demo scenario and their swings, with what is wrong with each planted."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from studio.body import Build
from studio.clubs import club_of
from studio.curves import STATIONS
from studio.faults import Drawn, with_faults
from studio.golfers import FREE, SPREAD, draw_swing, shortened
from studio.perform import perform
from studio.shoot import cropped, keep_performance
from studio.swing import Swing

BUILDS = {
    "ivo": Build(gender=0.05, age=0.72, muscle=0.62, weight=0.5, stature_m=1.81),
    "reference": Build(gender=0.1, age=0.67, muscle=0.7, weight=0.42, stature_m=1.78),
    "nell": Build(gender=0.95, age=0.70, muscle=0.5, weight=0.5, stature_m=1.68),
    "dara": Build(gender=0.9, age=0.78, muscle=0.55, weight=0.52, stature_m=1.74),
}
NATURAL = 0.10
"""How much a golfer's curves differ from one swing to the next, of how much golfers differ."""


@dataclass(frozen=True, slots=True)
class Part:
    """One performance."""

    golfer: str
    seed: int
    faults: tuple[Drawn, ...] = ()
    length: float = 1.0
    longer_s: float = 0.0
    """What the backswing takes beyond the golfer's usual time."""


def _ivo(much: float) -> tuple[Drawn, ...]:
    """He has tried to turn more, and turns too far; all else follows from that, link by link."""
    return (
        Drawn("over_turn", 0.85 * much),
        Drawn("lead_knee_running_in", 0.90 * much, "over_turn", 0.004),
        Drawn("club_inside", 0.80 * much, "over_turn", 0.003),
        Drawn("across_the_line", 0.45 * much, "over_turn", 0.005),
        Drawn("over_the_top", 0.70 * much, "club_inside", 0.004),
        Drawn("steep", 0.60 * much, "over_the_top", 0.006),
        Drawn("early_extension", 0.65 * much, "steep", 0.012),
    )


_EXTENDS = (Drawn("early_extension", 0.85),)
PARTS = {
    "ivo_first": Part("ivo", 1, _ivo(1.0)),
    "ivo_first_2": Part("ivo", 8, _ivo(1.0)),
    "ivo_later": Part("ivo", 2, _ivo(0.12)),
    "ivo_next": Part("ivo", 9, (*_ivo(0.12), Drawn("slide", 0.9))),
    "reference": Part("reference", 3),
    "nell_first": Part("nell", 4, (Drawn("sway", 0.85),)),
    "nell_later": Part("nell", 5, (Drawn("sway", 0.83),)),
    "dara_first": Part("dara", 6, _EXTENDS, 0.88),
    "dara_first_2": Part("dara", 10, _EXTENDS, 0.88),
    "dara_first_3": Part("dara", 11, _EXTENDS, 0.88),
    "dara_later": Part("dara", 7, _EXTENDS, 1.08, 0.25),
    "dara_later_2": Part("dara", 12, _EXTENDS, 1.08, 0.25),
    "dara_later_3": Part("dara", 13, _EXTENDS, 1.08, 0.25),
}
"""Performances; those that differ in their last number are swings of one day."""
TEMPOS_S = {
    "ivo": (0.86, 0.285),
    "reference": (0.78, 0.26),
    "nell": (0.92, 0.31),
    "dara": (0.90, 0.30),
}


def perform_all(folder: Path, names: Set[str]) -> None:
    """Pose the named performances and keep them there."""
    for name in sorted(names):
        part = PARTS[name]
        build = BUILDS[part.golfer]
        performance = perform(
            build, _swing(part), club_of("mid iron", build.stature_m), 8300 + part.seed
        )
        impact = performance.moments["impact"]
        kept = cropped(performance, performance.moments["start"] - 0.95, impact + 1.25)
        keep_performance(folder, name, kept, part.golfer)
        print(f"{name}: posed", flush=True)


def _swing(part: Part) -> Swing:
    """The golfer's usual swing, as it came out that day."""
    number = sorted(BUILDS).index(part.golfer)
    usual = draw_swing(np.random.default_rng([8400, number]), "skilled", 1.0)
    backswing, downswing = TEMPOS_S[part.golfer]
    backswing += part.longer_s
    usual = replace(usual, backswing_s=backswing, downswing_s=downswing, lead_in_s=1.1, hold_s=1.0)
    usual = replace(usual, rows=shortened(usual.rows, part.length))
    return with_faults(_that_day(usual, part), part.faults)


def _that_day(swing: Swing, part: Part) -> Swing:
    rng = np.random.default_rng([8500, part.seed])
    free = np.array(FREE)
    rows = {
        name: tuple(np.array(row) + _wander(rng) * NATURAL * SPREAD.get(name, 0.0) * free)
        for name, row in swing.rows.items()
    }
    longer = 1.0 + 0.015 * rng.normal(size=2)
    return replace(
        swing,
        rows=rows,
        backswing_s=swing.backswing_s * float(longer[0]),
        downswing_s=swing.downswing_s * float(longer[1]),
    )


def _wander(rng: np.random.Generator) -> np.ndarray:
    """(11,) one number for the day and a little at each station."""
    return 0.8 * rng.normal() + 0.6 * rng.normal(size=len(STATIONS))
