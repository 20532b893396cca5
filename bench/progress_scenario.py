"""The scenario's three golfers as they would come out, were several swings filmed on each day.

    python -m bench.progress_scenario [--golfers 500]

Each clip's own truth says where the golfer is on that day. Around it swings are drawn as
`bench.progress` draws them, "as assumed", each measured to the ± that stands in `STATED`. Prints
the share of draws that come to the planted verdict: with the phone in the checkpoint's place alone,
with one in each place, and with both where they stood before.
"""

from __future__ import annotations

import argparse
import gzip
import json
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bench.progress import FIRST, Noise
from causeline.findings.bands import BANDS
from causeline.model.clip import View
from causeline.model.moments import MomentName
from causeline.model.progress import Aim, Session, Verdict
from causeline.progress import change
from causeline.progress.change import compare_change, compare_changes
from causeline.quantities.uncertain import Uncertain

CLIPS = Path(__file__).parents[1] / "demo" / "clips"
STATED = {"°": 5.0, "% of stature": 0.9, "s": 0.02, "ratio": 0.2}
"""± of one swing by unit: about the median of what readings of the demo clips state."""
Key = tuple[str, MomentName]


@dataclass(frozen=True, slots=True)
class Told:
    """One golfer of the scenario: two clips, and what the lesson asks for."""

    name: str
    before: str
    after: str
    aim: Key
    view: View
    upward: bool
    planted: Verdict


GOLFERS = (
    Told("Ivo", "ivo_2026-04-06_face_on", "ivo_2026-05-04_face_on",
         ("lead_knee_toward_target_percent", MomentName.TOP), View.FACE_ON, True, Verdict.CHANGED),
    Told("Nell", "nell_2026-04-08_face_on", "nell_2026-05-06_face_on",
         ("pelvis_toward_target_percent", MomentName.TOP), View.FACE_ON, True,
         Verdict.NOT_TOLD_APART),
    Told("Dara", "dara_2026-04-13_down_the_line", "dara_2026-05-11_down_the_line",
         ("pelvis_toward_ball_percent", MomentName.IMPACT), View.DOWN_THE_LINE, False,
         Verdict.SOMETHING_ELSE),
)  # fmt: skip


def true_value(clip: str, key: Key) -> float:
    """What is true of a clip at a moment, between its frames; NaN where its truth does not tell."""
    with gzip.open(CLIPS / f"{clip}.truth.json.gz") as file:
        truth: dict[str, Any] = json.load(file)
    at = truth["moments"].get(key[1].value)
    values = truth["measures"].get(key[0])
    if at is None or values is None:
        return float("nan")
    times = np.array(truth["frames"]["time_s"])
    told = np.array([np.nan if value is None else value for value in values], dtype=float)
    return float(np.interp(at["time_s"], times, told))


def unit_of(name: str) -> str:
    """The unit of a measure that a truth file knows."""
    return "% of stature" if name.endswith("_percent") else "°"


def levels(one: Told, views: tuple[View, ...]) -> dict[str, tuple[float, float, str]]:
    """Before, after and unit of the aim and of every other band that those places show."""
    keys = {"aim": one.aim}
    for name, band in BANDS.items():
        seen = [view for view in views if view in band.views]
        if seen and band.moment and band.measure != one.aim[0]:
            keys[name] = (band.measure, band.moment)
    found = {
        name: (true_value(one.before, key), true_value(one.after, key), unit_of(key[0]))
        for name, key in keys.items()
    }
    return {name: each for name, each in found.items() if np.isfinite(each[:2]).all()}


def both_days(
    rng: np.random.Generator, levels: tuple[float, float], unit: str, swings: int, same_spot: bool
) -> tuple[list[Session], list[Session]]:
    """Both days' swings of one measure, each from a spot of its own or from one."""
    stated, own = STATED[unit], change.OWN_VARIATION[unit]
    spot = stated * np.sqrt(change.SETUP_SHARE)
    noise = Noise(
        swing=float(np.hypot(own, stated * np.sqrt(1 - change.SETUP_SHARE))),
        spot=float(spot),
        day=float(np.sqrt(change.DAY_SHARE * (spot**2 + own**2))),
    )
    one_spot = rng.normal(0, noise.spot)
    sides = []
    for day, level in enumerate(levels):
        shift = (one_spot if same_spot else rng.normal(0, noise.spot)) + rng.normal(0, noise.day)
        values = level + shift + rng.normal(0, noise.swing, swings)
        told = tuple(Uncertain(float(value), stated) for value in values)
        sides.append([Session(FIRST, "one" if same_spot else f"day {day}", told)])
    return sides[0], sides[1]


def verdicts(
    one: Told, views: tuple[View, ...], swings: int, golfers: int, same_spot: bool = False
) -> dict[Verdict, float]:
    """The share of draws that come to each verdict."""
    rng = np.random.default_rng(611)
    known = levels(one, views)
    found: Counter[Verdict] = Counter()
    for _ in range(golfers):
        drawn = {
            name: (*both_days(rng, (a, b), unit, swings, same_spot), unit)
            for name, (a, b, unit) in known.items()
        }
        before, after, unit = drawn.pop("aim")
        aimed = compare_change(before, after, Aim(one.aim[0], one.upward), unit)
        found[compare_changes(aimed, drawn)[0].verdict] += 1
    return {verdict: count / golfers for verdict, count in found.items()}


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--golfers", type=int, default=500)
    golfers = parser.parse_args().golfers
    change.MOST_SWINGS = change.MOST_DAYS = 0
    print("| golfer, planted | phone | one swing a day | three | five | ten |")
    print("|---|---|---|---|---|---|")
    for one in GOLFERS:
        places = (
            ("one place", (one.view,), False),
            ("both places", tuple(View), False),
            ("both, where they stood before", tuple(View), True),
        )
        for place, views, same in places:
            shares = [
                verdicts(one, views, swings, golfers, same).get(one.planted, 0.0)
                for swings in (1, 3, 5, 10)
            ]
            row = " | ".join(f"{100 * share:.0f} %" for share in shares)
            print(f"| {one.name}, {one.planted.value} | {place} | {row} |")


if __name__ == "__main__":
    main()
