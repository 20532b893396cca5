"""How often the club's yes-or-no calls are right, in swings whose true margin is not small.

What is true is worked out of the picture's own coordinates in the truth file, at the true moments.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bench import truths
from bench.truths import Truth
from causeline import CauselineError, Settings, read_clip
from causeline.measures.club_calls import measure_club_calls
from causeline.model.reading import Reading

Floats = NDArray[np.float64]

MARGIN = 3.0
"""Degrees; or per cent of stature, which is what 3° are to a club of 0.57 statures."""

LEVELS = 25
EYE = 0.93
"""Height of the nose over the ankles, in statures (Drillis and Contini 1966, from memory)."""


@dataclass(frozen=True, slots=True)
class Judged:
    """One call beside its truth."""

    measure: str
    moment: str
    margin: float
    """The true value, degrees or per cent of stature."""
    chance: float
    """Probability that the reading gives to a value above zero; NaN where it was refused."""

    @property
    def counts(self) -> bool:
        """Whether the true margin is large enough to ask for the right call."""
        return abs(self.margin) > MARGIN

    @property
    def right(self) -> bool:
        """Whether the likelier call is the true one."""
        return (self.chance >= 0.5) == (self.margin >= 0)


def main() -> int:
    """Read the clips, judge the calls, print the table; 0 when it was done."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--set", type=Path, required=True, help="folder of clips and truth files")
    parser.add_argument("--workers", type=int, default=1)
    arguments = parser.parse_args()
    files = sorted(arguments.set.glob("*.truth.json*"))
    if not files:
        print(f"no truth files in {arguments.set}: make the set first", file=sys.stderr)
        return 1
    with ProcessPoolExecutor(arguments.workers) as pool:
        judged = [call for calls in pool.map(_read_and_judge, files) for call in calls]
    print("\n".join(calls_table(judged)))
    return 0


def judge_calls(reading: Reading, truth: Truth) -> list[Judged]:
    """Every call that the truth allows, of the swing with most of its moments found."""
    swing = max(reading.swings, key=lambda one: len(one.moments.found))
    mirrored = swing.body.mirrored
    said = {(one.measure, one.moment): one.chance for one in measure_club_calls(swing.measures)}
    out = []
    for measure, moment in _asked(reading.view.name):
        margin = true_margin(truth, measure, moment, mirrored)
        if margin is not None:
            chance = next(
                (p for (name, at), p in said.items() if name == measure and (at or "") == moment),
                float("nan"),
            )
            out.append(Judged(measure, moment, margin, chance))
    return out


def true_margin(truth: Truth, measure: str, moment: str, mirrored: bool) -> float | None:
    """What the measure truly is in the picture; None where the truth lacks a moment."""
    view = _Seen(truth, mirrored)
    try:
        return MARGINS[measure](view, moment)
    except KeyError:
        return None


def calls_table(judged: Iterable[Judged]) -> list[str]:
    """Lines of a table: each call, how many count, how many were answered, how many right."""
    groups: dict[str, list[Judged]] = defaultdict(list)
    for one in judged:
        if one.counts:
            groups[f"{one.measure} {one.moment}".strip()].append(one)
            groups["all"].append(one)
    lines = [
        "| call | swings with a margin above 3 | answered | right of these |",
        "|---|---|---|---|",
    ]
    for name, calls in groups.items():
        answered = [one for one in calls if np.isfinite(one.chance)]
        right = sum(one.right for one in answered)
        share = f"{100 * right / len(answered):.0f}%" if answered else "-"
        lines.append(f"| {name} | {len(calls)} | {len(answered)} | {share} |")
    return lines


def _read_and_judge(truth_file: Path) -> list[Judged]:
    truth = truths.load(truth_file)
    try:
        result = read_clip(truth_file.parent / truth.facts["file"]["name"], Settings())
    except CauselineError as error:
        print(f"{truth_file.name}: {error}", file=sys.stderr)
        return []
    return judge_calls(result.reading, truth)


def _asked(view: str) -> list[tuple[str, str]]:
    return [
        (measure, moment)
        for measure, (seen, moments) in ASKED.items()
        if seen == view
        for moment in moments
    ]


class _Seen:
    """The truth in one picture, right-handed: x to the right, y down, pixels."""

    def __init__(self, truth: Truth, mirrored: bool) -> None:
        self.truth, self.mirrored = truth, mirrored
        self.times = np.asarray(truth.facts["frames"]["time_s"], float)

    def path(self, name: str) -> Floats:
        """(n, 2)."""
        raw = self.truth.facts["points_px"][name]
        path = np.array([(np.nan, np.nan) if p is None else tuple(p) for p in raw], float)
        if self.mirrored:
            path[:, 0] = self.truth.facts["file"]["width"] - 1 - path[:, 0]
        return path

    def at(self, name: str, moment: str) -> Floats:
        """(2,) between frames."""
        time, path = self.truth.moments[moment], self.path(name)
        return np.array([np.interp(time, self.times, path[:, axis]) for axis in (0, 1)])

    def shaft(self, moment: str) -> Floats:
        """(2,) from butt to hosel."""
        return self.at("hosel", moment) - self.at("butt", moment)

    def percent(self, pixels: float) -> float:
        """Of the stature, as tall as nose over ankles is at address."""
        ankles = (self.at("lead_ankle", "address") + self.at("trail_ankle", "address")) / 2
        tall = np.hypot(*(self.at("nose", "address") - ankles)) / EYE
        return float(100.0 * pixels / tall)


def _wrap(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0


def _slope(along: Floats) -> float:
    """0 to the left, 90 up."""
    return float(np.degrees(np.arctan2(-along[1], -along[0])))


def _outside(seen: _Seen, moment: str) -> float:
    return seen.percent((seen.at("head", moment) - seen.at("butt", moment))[0])


def _above_forearm(seen: _Seen, moment: str) -> float:
    forearm = seen.at("trail_elbow", moment) - seen.at("trail_wrist", moment)
    return _wrap(_slope(seen.shaft(moment)) - _slope(forearm))


def _steepening(seen: _Seen, moment: str) -> float:
    return _wrap(_slope(seen.shaft(moment)) - _slope(seen.shaft("arm_level_back")))


def _against_address(seen: _Seen, moment: str) -> float:
    return _wrap(_slope(seen.shaft(moment)) - _slope(-seen.shaft("address")))


def _off_plane(seen: _Seen, moment: str) -> float:
    """Toward the right of, so above, the line that rises to the left from the hands."""
    along = -seen.shaft("address") / np.hypot(*seen.shaft("address"))
    out = seen.at("head", moment) - seen.at("butt", moment)
    return seen.percent(along[0] * out[1] - along[1] * out[0])


def _loop(names: tuple[str, ...], first: str, last: str) -> Callable[[_Seen, str], float]:
    def margin(seen: _Seen, _: str) -> float:
        path = np.mean([seen.path(name) for name in names], axis=0)
        begin, top, end = (seen.truth.moments[moment] for moment in (first, "top", last))
        up = _rising(path[(seen.times >= begin) & (seen.times <= top)])
        down = _rising(path[(seen.times >= top) & (seen.times <= end)][::-1])
        if not len(up) or not len(down):
            raise KeyError(first)
        low, high = min(up[0, 1], down[0, 1]), max(up[-1, 1], down[-1, 1])
        if low <= high:
            raise KeyError(first)
        at = -np.linspace(low, high, LEVELS)
        apart = np.interp(at, -down[:, 1], down[:, 0]) - np.interp(at, -up[:, 1], up[:, 0])
        return seen.percent(float(apart[np.argmax(np.abs(apart))]))

    return margin


def _rising(path: Floats) -> Floats:
    part = path[int(np.argmax(path[:, 1])) : int(np.argmin(path[:, 1])) + 1]
    highest = np.minimum.accumulate(part[:, 1])
    return np.asarray(part[np.diff(highest, prepend=np.inf) < 0])


def _lean(seen: _Seen, moment: str) -> float:
    shaft = seen.shaft(moment)
    return float(np.degrees(np.arctan2(-shaft[0], shaft[1])))


MARGINS: dict[str, Callable[[_Seen, str], float]] = {
    "head_outside_hands": _outside,
    "head_off_plane": _off_plane,
    "shaft_above_forearm": _above_forearm,
    "shaft_steepening": _steepening,
    "shaft_against_address": _against_address,
    "hands_loop": _loop(("lead_wrist", "trail_wrist"), "start", "impact"),
    "head_loop": _loop(("head",), "shaft_level_back", "shaft_level_down"),
    "shaft_lean": _lean,
}

ASKED: dict[str, tuple[str, tuple[str, ...]]] = {
    "head_outside_hands": ("down-the-line", ("shaft_level_back",)),
    "head_off_plane": ("down-the-line", ("shaft_level_back", "arm_level_back", "arm_level_down")),
    "shaft_above_forearm": ("down-the-line", ("shaft_level_back", "arm_level_back", "top")),
    "shaft_steepening": ("down-the-line", ("arm_level_down",)),
    "shaft_against_address": ("down-the-line", ("arm_level_back", "arm_level_down")),
    "hands_loop": ("down-the-line", ("",)),
    "head_loop": ("down-the-line", ("",)),
    "shaft_lean": ("face-on", ("impact",)),
}
"""View and moments of each call; the empty moment is the whole swing."""


if __name__ == "__main__":
    sys.exit(main())
