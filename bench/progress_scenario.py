"""How often the scenario's three golfers come out as planted, were the noise drawn anew.

    python -m bench.progress_scenario [--golfers 500]

Each clip's own truth says what the golfer did in that swing, so how they vary is in it. Measuring
is drawn: what a swing, a spot and a day add, in the shares that the model assumes, to the ±
that readings of these clips state (`STATED`). Prints the share of draws that come to the planted
verdict, as the scenario is filmed, and had only the first swing of each day been filmed.
"""

from __future__ import annotations

import argparse
import gzip
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from causeline.findings.bands import BANDS
from causeline.model.clip import View
from causeline.model.moments import MomentName
from causeline.model.progress import Aim, Session, Verdict
from causeline.progress import change
from causeline.progress.change import compare_change, compare_changes
from causeline.quantities.uncertain import Uncertain

CLIPS = Path(__file__).parents[1] / "demo" / "clips"
STATED = {"°": 5.0, "% of stature": 0.9, "s": 0.035}
"""± of one swing by unit: about the median of what readings of the demo clips state."""
STATED_OF = {"lead_arm_angle": 8.0, "pelvis_toward_ball_percent": 0.7}
"""The same for measures that are far from their unit's."""
Key = tuple[str, MomentName | None]
FACE_ON, DOWN_THE_LINE = View.FACE_ON, View.DOWN_THE_LINE


@dataclass(frozen=True, slots=True)
class Filmed:
    """Clips of one day from one spot, one swing in each."""

    view: View
    spot: str
    clips: tuple[str, ...]

    @property
    def day(self) -> date:
        """As the clips' names say."""
        return date.fromisoformat(self.clips[0].split("_")[1])


@dataclass(frozen=True, slots=True)
class Told:
    """One golfer of the scenario: what was filmed, and what the lesson asks for."""

    name: str
    before: tuple[Filmed, ...]
    after: tuple[Filmed, ...]
    aim: Key
    upward: bool
    planted: Verdict


def _days(name: str, count: int) -> tuple[str, ...]:
    return (name, *(f"{name}_{number}" for number in range(2, count + 1)))


GOLFERS = (
    Told("Ivo",
         (Filmed(FACE_ON, "mark", _days("ivo_2026-04-06_face_on", 2)),
          Filmed(DOWN_THE_LINE, "a", ("ivo_2026-04-06_down_the_line",))),
         (Filmed(FACE_ON, "mark", ("ivo_2026-05-04_face_on",)),
          Filmed(DOWN_THE_LINE, "b", ("ivo_2026-05-04_down_the_line",)),
          Filmed(FACE_ON, "mark", ("ivo_2026-05-07_face_on",))),
         ("lead_knee_toward_target_percent", MomentName.TOP), True, Verdict.CHANGED),
    Told("Nell",
         (Filmed(FACE_ON, "a", ("nell_2026-04-08_face_on",)),),
         (Filmed(FACE_ON, "b", ("nell_2026-05-06_face_on",)),),
         ("pelvis_toward_target_percent", MomentName.TOP), True, Verdict.NOT_TOLD_APART),
    Told("Dara",
         (Filmed(DOWN_THE_LINE, "a", ("dara_2026-04-13_down_the_line",)),
          Filmed(FACE_ON, "mark", _days("dara_2026-04-13_face_on", 3))),
         (Filmed(DOWN_THE_LINE, "b", ("dara_2026-05-11_down_the_line",)),
          Filmed(FACE_ON, "mark", _days("dara_2026-05-11_face_on", 3))),
         ("pelvis_toward_ball_percent", MomentName.IMPACT), False, Verdict.SOMETHING_ELSE),
)  # fmt: skip


@lru_cache(maxsize=32)
def truth_of(clip: str) -> dict[str, Any]:
    """What the studio knows of a clip."""
    with gzip.open(CLIPS / f"{clip}.truth.json.gz") as file:
        told: dict[str, Any] = json.load(file)
    return told


def true_value(clip: str, key: Key) -> float:
    """What is true of a clip at a moment, between its frames; NaN where its truth does not tell."""
    truth = truth_of(clip)
    name, moment = key
    if name == "backswing_time":
        began, ended = (truth["moments"].get(each) for each in ("start", "top"))
        return float(ended["time_s"] - began["time_s"]) if began and ended else float("nan")
    at = truth["moments"].get(moment.value) if moment else None
    values = truth["measures"].get(name) or truth["turns_deg"].get(name)
    if at is None or values is None:
        return float("nan")
    times = np.array(truth["frames"]["time_s"])
    told = np.array([np.nan if value is None else value for value in values], dtype=float)
    return float(np.interp(at["time_s"], times, told))


def unit_of(name: str) -> str:
    """The unit of a measure that a truth file knows."""
    if name.endswith("_percent"):
        return "% of stature"
    return "s" if name.endswith("_time") else "°"


def stated_of(name: str) -> float:
    """± of one swing."""
    return STATED_OF.get(name, STATED[unit_of(name)])


def first_alone(filmed: Sequence[Filmed]) -> tuple[Filmed, ...]:
    """As if one swing a day had been filmed from each place."""
    return tuple(Filmed(one.view, one.spot, one.clips[:1]) for one in filmed)


def keys_of(one: Told) -> dict[str, tuple[View, Key]]:
    """The aim, and every other band that those places show and the truth tells."""
    found = {"aim": (_view_of(one), one.aim)}
    for name, band in BANDS.items():
        key = (band.measure, band.moment)
        if band.measure == one.aim[0]:
            continue
        for view in band.views:
            clips = [each.clips[0] for side in (one.before, one.after) for each in side
                     if each.view is view]  # fmt: skip
            if clips and all(np.isfinite(true_value(clip, key)) for clip in clips):
                found[f"{name}, {view.value}"] = view, key
    return found


def _view_of(one: Told) -> View:
    return next(view for band in BANDS.values() for view in band.views
                if (band.measure, band.moment) == one.aim)  # fmt: skip


def drawn(
    rng: np.random.Generator, filmed: Sequence[Filmed], key: Key, spots: dict[str, float]
) -> list[Session]:
    """Sessions of one measure, its measuring drawn; `spots` keeps what each spot does to it."""
    stated, own = stated_of(key[0]), change.OWN_VARIATION[unit_of(key[0])]
    spot = stated * np.sqrt(change.SETUP_SHARE)
    jitter = stated * np.sqrt(1 - change.SETUP_SHARE)
    day = np.sqrt(change.DAY_SHARE * (spot**2 + own**2))
    sessions = []
    for one in filmed:
        shift = spots.setdefault(one.spot, rng.normal(0, spot)) + rng.normal(0, day)
        values = [true_value(clip, key) + shift + rng.normal(0, jitter) for clip in one.clips]
        told = tuple(Uncertain(float(value), stated) for value in values)
        sessions.append(Session(one.day, one.spot, told))
    return sessions


def verdicts(one: Told, golfers: int, *, alone: bool = False) -> dict[Verdict, float]:
    """The share of draws that come to each verdict; `alone` films one swing a day."""
    rng = np.random.default_rng(611)
    keys = keys_of(one)
    sides = [first_alone(side) if alone else side for side in (one.before, one.after)]
    if alone:
        sides = [tuple({each.view: each for each in reversed(side)}.values()) for side in sides]
    found: Counter[Verdict] = Counter()
    for _ in range(golfers):
        told = {name: (*_both(rng, sides, view, key), unit_of(key[0]))
                for name, (view, key) in keys.items()}  # fmt: skip
        before, after, unit = told.pop("aim")
        aimed = compare_change(before, after, Aim(one.aim[0], one.upward), unit)
        found[compare_changes(aimed, told)[0].verdict] += 1
    return {verdict: count / golfers for verdict, count in found.items()}


def _both(
    rng: np.random.Generator, sides: Sequence[Sequence[Filmed]], view: View, key: Key
) -> tuple[list[Session], list[Session]]:
    spots: dict[str, float] = {}
    seen = [[one for one in side if one.view is view] for side in sides]
    return drawn(rng, seen[0], key, spots), drawn(rng, seen[1], key, spots)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--golfers", type=int, default=500)
    golfers = parser.parse_args().golfers
    change.MOST_SWINGS = change.MOST_DAYS = 0  # how many more would settle it is not asked here
    print("| golfer, planted | as filmed | one swing a day from each place |")
    print("|---|---|---|")
    for one in GOLFERS:
        shares = [verdicts(one, golfers, alone=way).get(one.planted, 0.0) for way in (False, True)]
        row = " | ".join(f"{100 * share:.0f} %" for share in shares)
        print(f"| {one.name}, {one.planted.value} | {row} |")


if __name__ == "__main__":
    main()
