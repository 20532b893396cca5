"""The clips of the accuracy bench: swings that no test and no training uses, each in both views.

Seeds: golfers, looks, places and phones of this set are drawn from `FIRST_SEED` upward. Tests and
training keep below it.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

import numpy as np

from studio.camera import DOWN_THE_LINE, FACE_ON, Station
from studio.place import KINDS
from studio.recording import Recording
from studio.scene import SIZES, Filming
from studio.shoot import Shot, shoot

FIRST_SEED = 7_000_000
RATES_HZ = (30.0, 60.0, 120.0, 240.0)
SLOW_STORED_HZ = 30.0
SLOW_WAYS = ("at its rate", "slow and says so", "slow and silent about it")
VIEWS = {FACE_ON: "face_on", DOWN_THE_LINE: "down_the_line"}
SIZE_ODDS = {"480p": 0.2, "540p": 0.2, "720p": 0.35, "1080p": 0.25}
PHONE_BITS, MESSENGER_BITS = 0.08, 0.035
"""Bits for a pixel at 30 pictures a second (from memory)."""
LEFT_EVERY = 5
UPRIGHT_SHOWN_M = (2.7, 4.2)
"""How much of the upright the picture shows at the golfer, for a stature of 1.76 m."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What all clips of one swing share."""

    number: int
    seed: int
    rate_hz: float
    slow: str
    left_handed: bool
    place: str
    kind: str = "swing"
    """First word of its file's name."""
    size: str | None = None
    """Of the picture, or what the seed draws."""


def plans(swings: int, seed: int) -> list[Plan]:
    """Cycling through rates, ways of storing slow motion, hands and places."""
    return [
        Plan(
            number=k,
            seed=FIRST_SEED + 1000 * seed + k,
            rate_hz=RATES_HZ[k % 4],
            slow=SLOW_WAYS[(k // 4) % 3] if RATES_HZ[k % 4] > 60 else SLOW_WAYS[0],
            left_handed=k % LEFT_EVERY == LEFT_EVERY - 1,
            place=KINDS[(k + k // 4) % len(KINDS)],
        )
        for k in range(swings)
    ]


def shots(swings: int, seed: int) -> list[Shot]:
    """Two clips of each swing, each from its own phone."""
    return shots_of(plans(swings, seed))


def shots_of(planned: Sequence[Plan]) -> list[Shot]:
    """The same for any swings."""
    return [_shot(plan, view) for plan in planned for view in VIEWS]


def performance_name(plan: Plan) -> str:
    """Of a swing's file."""
    return f"{plan.kind}_{plan.number:03d}"


def _shot(plan: Plan, view: str) -> Shot:
    rng = np.random.default_rng([plan.seed, 50, int(view == FACE_ON)])
    drawn = str(rng.choice(list(SIZE_ODDS), p=list(SIZE_ODDS.values())))
    landscape = bool(rng.random() < 0.15)
    size = plan.size or drawn
    width, height = SIZES[size][::-1] if landscape else SIZES[size]
    filming = Filming(
        view=view,
        rate_hz=plan.rate_hz,
        size=size,
        landscape=landscape,
        hand_held=bool(rng.random() < 0.5),
        left_handed=plan.left_handed,
        place=plan.place,
        recording=_recording(rng, plan, width * height),
        variable_rate=bool(rng.random() < 0.3),
        sound=bool(rng.random() < 0.85),
        before_s=float(rng.uniform(0.7, 1.3)),
        after_s=float(rng.uniform(1.0, 1.3)),
        station=_station(rng, view, width / height, plan.place == "hall"),
        exposure_s=_exposure_s(rng),
        phone=plan.seed,
    )
    return Shot(
        f"{performance_name(plan)}_{VIEWS[view]}", performance_name(plan), plan.seed, filming
    )


def _recording(rng: np.random.Generator, plan: Plan, pixels: int) -> Recording:
    """A phone's own file, or what a messenger made of it; messengers keep no rotation flag."""
    messenger = rng.random() < 0.4
    slow = plan.slow != SLOW_WAYS[0]
    stored_hz = SLOW_STORED_HZ if slow else plan.rate_hz
    bits = MESSENGER_BITS if messenger else PHONE_BITS
    return Recording(
        codec="h264" if messenger or rng.random() < 0.7 else "hevc",
        bit_rate=int(bits * pixels * stored_hz**0.8 * 30**0.2),
        rotation_deg=0 if messenger else int(rng.choice([0, 90, 270])),
        slow_factor=round(plan.rate_hz / SLOW_STORED_HZ) if slow else 1,
        says_capture_rate=plan.slow == SLOW_WAYS[1],
    )


def _exposure_s(rng: np.random.Generator) -> float | None:
    """What the light asks for, or in a third of the clips anything from 1/60 to 1/2000 s."""
    if rng.random() < 0.65:
        return None
    return float(1 / np.exp(rng.uniform(np.log(60), np.log(2000))))


def _station(rng: np.random.Generator, view: str, shape: float, indoors: bool) -> Station:
    """Off the axis by up to 10 degrees, tilted by up to 3, 2.5 to 6 m away (a hall is smaller)."""
    distance = float(rng.uniform(2.5, 4.8 if indoors else 6.0))
    shown = float(rng.uniform(*UPRIGHT_SHOWN_M))
    return Station(
        view=view,
        distance_m=distance,
        height_m=float(rng.uniform(0.7, 1.5)),
        off_axis_deg=float(rng.uniform(-10, 10)),
        hfov_deg=float(2 * np.degrees(np.arctan(shown / 2 / distance * shape))),
        aim_height_m=float(rng.uniform(0.95, 1.10)),
        roll_deg=float(rng.uniform(-3, 3)),
    )


def main(arguments: list[str] | None = None) -> int:
    """Pose what is not posed yet, then film what is not filmed yet."""
    given = _parser().parse_args(arguments)
    chosen = _chosen(given)
    missing = [
        plan for plan in chosen
        if not (given.performances / f"{performance_name(plan)}.npz").exists()
    ]  # fmt: skip
    if missing:
        cast = import_module("studio.accuracy_cast")
        cast.perform_all(given.performances, missing, given.workers)
    if given.pose_only:
        return 0
    wanted = shots_of(chosen)
    wanted = [shot for shot in wanted if not list(given.out.glob(f"{shot.name}.truth.json*"))]
    shoot(wanted, given.performances, given.out, given.workers)
    return 0


def _chosen(given: argparse.Namespace) -> list[Plan]:
    """The accuracy set's swings, or those of the findings' bench when any are asked for."""
    if given.planted or given.sound:
        planted_set = import_module("studio.planted_set")
        planned: list[Plan] = planted_set.planted_plans(given.planted, given.sound, given.seed)
        return planned
    return plans(given.swings, given.seed)[given.first :]


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="studio accuracy-set", description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--swings", type=int, default=24)
    parser.add_argument("--first", type=int, default=0, help="number of the first swing")
    parser.add_argument("--planted", type=int, default=0, help="instead: swings with one cause")
    parser.add_argument("--sound", type=int, default=0, help="instead: swings without a fault")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--performances", type=Path, default=Path(".cache/studio/accuracy"))
    parser.add_argument("--pose-only", action="store_true", help="make the performances and stop")
    parser.add_argument("--workers", type=int, default=2)
    return parser
