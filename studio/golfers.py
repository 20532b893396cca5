"""Golfers and their swings, drawn at random: skilled, ordinary and odd, of all sizes and ages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from studio.body import Build
from studio.clubs import CLUBS, Club, club_of
from studio.curves import STATIONS, Row
from studio.faults import FAULTS, Deltas, draw_effects, rows_of, with_faults
from studio.manners import with_manners
from studio.performance import Floats
from studio.recorded import Recorded, with_recorded
from studio.swing import AFTER_S, BACKSWING_SHARE, DOWNSWING_SHARE, NOMINAL, TURN_ROUND_S, Swing

SKILLS: Mapping[str, tuple[float, float]] = {
    "skilled": (0.30, 0.6),
    "ordinary": (0.50, 1.2),
    "odd": (0.20, 2.2),
    "wild": (0.0, 3.5),
}
"""Skill to how often it is drawn unasked, and the spread of its curves. Wild ones are for training:
postures that no model of a good swing would make."""

USUAL: Mapping[str, Deltas] = {
    "skilled": {},
    "ordinary": {
        "pelvis_turn": {
            "arm_level_down": 4, "shaft_level_down": 7, "impact": 10, "shaft_level_through": 9,
        },
        "chest_turn": {"top": -3, "shaft_level_down": 2, "impact": 6, "shaft_level_through": 4},
        "shaft_angle": {"arm_level_down": 8, "shaft_level_down": 10},
        "trail_heel": {"impact": -6, "shaft_level_through": -8},
        "pelvis_y": {"shaft_level_down": -.004, "impact": -.008},
    },
    "odd": {
        "pelvis_turn": {"shaft_level_down": 5, "impact": 9, "shaft_level_through": 8},
        "shaft_angle": {"arm_level_down": 10, "shaft_level_down": 14},
    },
    "wild": {"pelvis_turn": {"impact": 10}},
}  # fmt: skip
"""What golfers of each skill have in common against the nominal swing (common practice)."""

SPREAD: Mapping[str, float] = {
    "pelvis_turn": 8.0, "pelvis_lean_x": 2.0, "pelvis_lean_y": 1.5, "pelvis_x": .005,
    "pelvis_y": .008, "pelvis_z": .004, "chest_turn": 9.0, "trunk_lean_x": 2.0,
    "trunk_lean_y": 2.0, "hands_lift": 8.0, "hands_across": 6.0, "lead_reach": .014,
    "trail_reach": .008, "shaft_angle": 7.0, "shaft_slope": 3.5, "shaft_heading": 5.0,
    "club_roll": 7.0, "trail_heel": 5.0, "trail_foot_turn": 6.0, "lead_foot_roll": 3.0,
    "lead_knee_in": 5.0, "trail_knee_in": 5.0, "lead_elbow_out": .25, "trail_elbow_out": .40,
    "head_turn": 8.0, "head_pitch": 6.0, "head_tilt": 5.0,
}  # fmt: skip
"""SD of each curve at a station where the golfer is free, for a spread of 1."""

FREE = (0.0, 0.1, 0.5, 0.8, 1.0, 0.8, 0.5, 0.5, 0.6, 0.9, 1.3)
"""How free a swing is at each station: the ball and the ground tie it at address and impact."""
TURNS_FREE = (0.0, 0.1, 0.6, 0.9, 1.0, 1.0, 1.0, 1.1, 1.0, 1.0, 1.2)
"""The same for the turns of pelvis and chest, which differ most between golfers at impact."""
ALIKE = 0.65
"""Correlation of a golfer's habits at neighbouring stations."""
HEAD_FOLLOWS = 0.3
"""Share of what a golfer's chest turns more than usual that the head turns with it: a neck turns
by 70° or so against the chest, and no further (from memory)."""
REACH_MOST = 0.992


@dataclass(frozen=True, slots=True)
class Golfer:
    """Somebody with a club and a swing."""

    build: Build
    club: Club
    swing: Swing
    skill: str
    length: float
    """Of a full swing: 1; three-quarter about 0.8, half about 0.62."""


def draw_golfer(
    rng: np.random.Generator,
    kind: str | None = None,
    skill: str | None = None,
    roots: Mapping[str, float] | None = None,
    recorded: Recorded | None = None,
) -> Golfer:
    """A golfer with a club of that `kind`, of that skill; what is not given is drawn.

    `roots`: faults (name to severity); what follows from them is drawn. `recorded`: postures to
    lean on.
    """
    build = draw_build(rng)
    kind = kind or str(rng.choice([club.kind for club in CLUBS], p=[0.3, 0.1, 0.15, 0.3, 0.15]))
    club = club_of(kind, build.stature_m)
    skill = skill or str(rng.choice(list(SKILLS), p=[often for often, _ in SKILLS.values()]))
    length = _draw_length(rng, kind)
    swing = draw_swing(rng, skill, length)
    if recorded is not None:
        swing = with_recorded(swing, recorded, float(rng.uniform(0.4, 1.0)))
    swing = _with_tempo(swing, rng, skill, length * _strength(build))
    drawn = draw_effects(dict(roots) if roots is not None else draw_roots(rng, skill), rng)
    return Golfer(build, club, with_manners(with_faults(swing, drawn), rng), skill, length)


def rehearsal_of(golfer: Golfer, rng: np.random.Generator) -> Golfer:
    """The same golfer's practice swing: slower, over the grass, with nothing struck."""
    slow = float(rng.uniform(1.1, 1.5))
    swing = replace(
        golfer.swing,
        downswing_s=golfer.swing.downswing_s * slow,
        after_s={name: slow * after for name, after in golfer.swing.after_s.items()},
        misses_m=(float(rng.uniform(-0.10, -0.03)), 0.0, float(rng.uniform(0.01, 0.05))),
        rehearsal=True,
    )
    return replace(golfer, swing=swing)


def draw_build(rng: np.random.Generator) -> Build:
    """Men, women and juniors from 1.40 to 1.98 m, thin and stout, young and old."""
    sort = str(rng.choice(["man", "woman", "junior"], p=[0.55, 0.33, 0.12]))
    gender = float(rng.uniform(0.0, 0.2) if sort == "man" else rng.uniform(0.8, 1.0))
    mean, sd, least, most = {
        "man": (1.77, 0.07, 1.58, 1.98),
        "woman": (1.64, 0.065, 1.46, 1.83),
        "junior": (1.55, 0.09, 1.40, 1.72),
    }[sort]
    if sort == "junior":
        gender = float(rng.uniform(0.0, 1.0))
    old = sort != "junior" and rng.random() < 0.35
    age = (
        rng.uniform(0.36, 0.55)
        if sort == "junior"
        else rng.uniform(*((0.82, 1.0) if old else (0.62, 0.82)))
    )
    mix = rng.dirichlet([0.6, 0.6, 0.6])
    return Build(
        gender=gender,
        age=float(age),
        muscle=float(np.clip(rng.normal(0.45 if old else 0.55, 0.16), 0.15, 0.95)),
        weight=float(np.clip(rng.normal(0.58 if old else 0.5, 0.16), 0.2, 0.95)),
        height=float(np.clip(rng.normal(0.5, 0.05), 0.38, 0.62)),
        proportions=float(rng.uniform(0.35, 0.8)),
        cupsize=float(rng.uniform(0.3, 0.65)),
        african=float(mix[0]),
        asian=float(mix[1]),
        caucasian=float(mix[2]),
        upper_arm=float(rng.normal(0.25, 0.10)),
        forearm=float(rng.normal(0.15, 0.10)),
        stature_m=float(np.clip(rng.normal(mean, sd), least, most)),
    )


def _draw_length(rng: np.random.Generator, kind: str) -> float:
    often = (0.15, 0.25) if kind == "wedge" else (0.04, 0.10)
    chance = rng.random()
    if chance < often[0]:
        return float(rng.uniform(0.58, 0.68))
    if chance < sum(often):
        return float(rng.uniform(0.74, 0.86))
    return float(np.clip(rng.normal(1.0, 0.04), 0.9, 1.08))


def draw_roots(rng: np.random.Generator, skill: str) -> dict[str, float]:
    """Faults that a golfer has of his own, name to severity."""
    mean = {"skilled": 0.5, "ordinary": 1.1, "odd": 1.6, "wild": 1.0}[skill]
    worst = {"skilled": 0.5, "ordinary": 0.9, "odd": 1.0, "wild": 1.0}[skill]
    count = min(int(rng.poisson(mean)), 3)
    names = rng.choice([fault.name for fault in FAULTS], size=count, replace=False)
    return {str(name): float(rng.uniform(0.2, worst)) for name in names}


def draw_swing(rng: np.random.Generator, skill: str, length: float) -> Swing:
    """A swing near the usual one of that skill, without faults."""
    spread = SKILLS[skill][1]
    rows = shortened(NOMINAL, length)
    for name, row in rows_of(USUAL[skill]).items():
        rows[name] = tuple((np.array(rows[name]) + row).tolist())
    upright = float(rng.normal(0.0, spread))
    habits = {
        name: _habit(rng, spread * sd, TURNS_FREE if name.endswith("_turn") else FREE)
        for name, sd in SPREAD.items()
    }
    habits["hands_lift"] += 6.0 * upright * np.array(FREE)
    habits["hands_across"] -= 4.0 * upright * np.array(FREE)
    habits["head_turn"] += HEAD_FOLLOWS * habits["chest_turn"]
    drawn = {name: tuple(np.array(row) + habits.get(name, 0.0)) for name, row in rows.items()}
    drawn = {name: _within(name, row) for name, row in drawn.items()}
    drawn["trunk_lean_y"] = tuple(np.array(drawn["trunk_lean_y"]) + rng.normal(0, 1.5))
    if rng.random() < 0.15 * spread:
        lift = float(rng.uniform(6, 22)) * length
        drawn["lead_heel"] = _row(drawn["lead_heel"], {"arm_level_back": 0.5 * lift, "top": lift})
    return Swing(
        rows=drawn,
        turn_round_s={k: v + float(rng.normal(0, 0.02 * spread)) for k, v in TURN_ROUND_S.items()},
        shares=_draw_shares(rng, spread),
        knee_flex_deg=float(np.clip(rng.normal(22, 4 * spread), 8, 40)),
        hang_deg=float(np.clip(rng.normal(16, 3 * spread), 6, 30)),
        hands_high_deg=float(np.clip(rng.normal(0, 1.5 * spread), -5, 5)),
        round_deg=float(np.clip(rng.normal(7, 4 * spread), -4, 22)),
        hips_back=float(np.clip(rng.normal(0.062, 0.008 * spread), 0.03, 0.10)),
        stance_scale=float(np.clip(rng.normal(1.0, 0.08 * spread), 0.6, 1.35)),
        flare_deg=(float(rng.normal(20, 6)), float(rng.normal(6, 6))),
        grip_strength_deg=(float(rng.normal(22, 10)), float(rng.normal(8, 10))),
        ball_forward=float(np.clip(rng.normal(0, 0.05 * spread), -0.12, 0.12)),
        tremor=float(rng.uniform(0.0004, 0.0018)),
    )


def _habit(rng: np.random.Generator, sd: float, free: Row) -> Floats:
    """(11,) a wandering row: neighbours alike, as free as the station is."""
    steps = rng.normal(size=len(STATIONS))
    row = np.empty(len(STATIONS))
    row[0] = steps[0]
    for k in range(1, len(row)):
        row[k] = ALIKE * row[k - 1] + np.sqrt(1 - ALIKE**2) * steps[k]
    return sd * row * np.array(free)


def _within(name: str, row: tuple[float, ...]) -> Row:
    values = np.array(row)
    if name.endswith("_reach"):
        values = np.minimum(values, REACH_MOST)
    if name in ("trail_heel", "lead_heel"):
        values = np.clip(values, 0.0, 80.0)
    if name == "shaft_angle":
        impact = STATIONS.index("impact")
        values[impact] = np.clip(0.5 * values[impact], -9.0, 6.0)
        values[: STATIONS.index("top") + 1] = np.minimum.accumulate(
            values[: STATIONS.index("top") + 1]
        )
        values[STATIONS.index("top") :] = np.maximum.accumulate(values[STATIONS.index("top") :])
    return tuple(values.tolist())


def _row(row: Row, changed: Mapping[str, float]) -> Row:
    values = [changed.get(name, value) for name, value in zip(STATIONS, row, strict=True)]
    return tuple(np.array(values).tolist())


def shortened(rows: Mapping[str, Row], length: float) -> dict[str, Row]:
    """The rows of a shorter or longer swing.

    The top lies earlier on the way back, the finish lower. A length of 0.6 stops about where the
    lead arm is level.
    """
    at = {name: i for i, name in enumerate(STATIONS)}
    way = [BACKSWING_SHARE[name] for name in ("start", "shaft_level_back", "arm_level_back", "top")]
    out = {}
    for name, row in rows.items():
        values = np.array(row)
        back = values[[at["start"], at["shaft_level_back"], at["arm_level_back"], at["top"]]]
        slope = (back[-1] - back[-2]) / (way[-1] - way[-2])
        top = np.interp(length, way, back) + max(length - 1.0, 0.0) * slope
        short = min(length, 1.0) ** 0.7
        values[at["arm_level_back"]] = np.interp(short * way[2], way, back)
        values[at["top"]] = top
        down, level = at["arm_level_down"], values[at["shaft_level_down"]]
        values[down] = level + (values[down] - level) * (0.35 + 0.65 * min(length, 1.0))
        end, through = at["finish"], values[at["arm_level_through"]]
        values[end] = through + (values[end] - through) * np.clip(1.6 * length - 0.6, 0.2, 1.0)
        out[name] = tuple(values.tolist())
    return out


def _draw_shares(rng: np.random.Generator, spread: float) -> dict[str, float]:
    """When the stations come: wrists set early or late, the club released early or late."""
    level = float(np.clip(rng.normal(0.40, 0.03 * spread), 0.28, 0.52))
    arm = level + float(np.clip(rng.normal(0.20, 0.025 * spread), 0.12, 0.30))
    down = float(np.clip(rng.normal(0.55, 0.03 * spread), 0.42, 0.66))
    shaft = down + float(np.clip(rng.normal(0.28, 0.012 * spread), 0.22, 0.32))
    return {
        **BACKSWING_SHARE, "shaft_level_back": level, "arm_level_back": arm,
        **DOWNSWING_SHARE, "arm_level_down": down, "shaft_level_down": min(shaft, 0.92),
    }  # fmt: skip


def _strength(build: Build) -> float:
    """1 for a strong young man; the small, the old and the light swing more slowly."""
    grown = float(np.interp(build.age, [0.36, 0.6, 0.8, 1.0], [0.80, 1.0, 1.0, 0.86]))
    return grown * (1.0 - 0.10 * build.gender) * (0.85 + 0.3 * min(build.muscle, 0.5))


def _with_tempo(swing: Swing, rng: np.random.Generator, skill: str, vigour: float) -> Swing:
    """Backswings of 0.55 to 1.5 s, downswings of 0.21 to 0.45 s; skilled ones near three to one."""
    back, back_sd, ratio, ratio_sd = {
        "skilled": (0.80, 0.07, 3.0, 0.25),
        "ordinary": (0.92, 0.14, 3.1, 0.5),
        "odd": (1.00, 0.28, 3.1, 0.9),
        "wild": (1.05, 0.35, 3.0, 1.0),
    }[skill]
    backswing = float(np.clip(rng.normal(back, back_sd), 0.55, 1.5))
    ratio = float(np.clip(rng.normal(ratio, ratio_sd), 1.8, 5.0))
    downswing = float(np.clip(backswing / ratio / max(vigour, 0.7) ** 0.6, 0.21, 0.45))
    slow = downswing / 0.265
    after = {name: slow * after for name, after in AFTER_S.items()}
    after["finish"] = float(rng.uniform(0.6, 1.0)) * (0.6 + 0.4 * min(vigour, 1.0))
    return replace(swing, backswing_s=backswing, downswing_s=downswing, after_s=after)
