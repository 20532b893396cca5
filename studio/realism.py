"""How real the pictures are to the landmark engine: it errs more on what looks unreal.

Draws a fixed set of swings, each golfer in two sets of clothes before two phones, and asks the
engine for landmarks. The telling figure is the shoulder line's length at the top seen face-on, over
its length at address. Run it before and after a change of the renderer: `python -m studio.realism`.
With `--motion FILE` a recorded swing is posed on the same golfers, which tells the renderer's share
from the posture's; so does the golfer who stands at the ball, seen from further and further round.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice, product
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from causeline.model.tracks import ENGINE_LANDMARKS, Landmarks, Region
from causeline.sources.detect import OpenvinoEngine
from studio.archive import load_performance, save_performance
from studio.camera import DOWN_THE_LINE, FACE_ON, Station
from studio.film import Take
from studio.performance import Floats, Performance
from studio.scene import Filming, make_take
from studio.truth import Filmed, seen_at

PARTS = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
SEEDS = (101, 102, 103, 104, 105, 106)
AROUND_DEG = (0.0, 45.0, 65.0, 80.0, 95.0)
"""How far round toward the side a standing golfer is seen from."""
EVERY_S = 1 / 15
SURE = 0.5
"""Score from which the engine says that there is a person."""
SIDES = {"lead": "left", "trail": "right"}


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """One frame: truth and answer, (12, 2) pixels in the order of `joint_names`."""

    moment: str
    truth: Floats
    answer: Floats
    found: bool
    stature_px: float


def joint_names() -> tuple[str, ...]:
    """Lead before trail, as truth names them."""
    return tuple(f"{side}_{part}" for part in PARTS for side in SIDES)


def performances(folder: Path, motion: Path | None = None) -> Iterator[tuple[int, Performance]]:
    """The fixed swings, posed once and kept; with the postures of a motion file if there is one."""
    folder.mkdir(parents=True, exist_ok=True)
    for seed in SEEDS:
        path = folder / f"realism_{seed}{'' if motion is None else '_' + motion.stem}.npz"
        if not path.exists():
            save_performance(path, _pose(seed, motion))
        yield seed, load_performance(path)


def _pose(seed: int, motion: Path | None) -> Performance:
    from studio.golfers import draw_golfer
    from studio.perform import perform
    from studio.recorded import load_swing, with_recorded

    golfer = draw_golfer(np.random.default_rng(seed), "mid iron", "skilled", {})
    swing = golfer.swing if motion is None else with_recorded(golfer.swing, load_swing(motion))
    return perform(golfer.build, swing, golfer.club, seed)


def worn(seed: int) -> Iterator[dict[str, Any]]:
    """The golfer's own clothes and phone, then other ones."""
    yield {}
    yield {"clothes": seed + 2000, "phone": seed + 1000}


def from_around(performance: Performance, seed: int, engine: OpenvinoEngine) -> list[Seen]:
    """The golfer at address, seen from each of `AROUND_DEG`; nobody swings, nothing is hidden."""
    seen: list[Seen] = []
    for angle in AROUND_DEG:
        station = Station(
            view=FACE_ON, distance_m=4.5, height_m=1.1, off_axis_deg=angle, hfov_deg=40.0,
            aim_height_m=0.54 * performance.body.stature_m, roll_deg=0.0,
        )  # fmt: skip
        filming = Filming(hand_held=False, sound=False, station=station)
        take = make_take(performance, seed, filming, f"{seed} {angle}")
        seen += look_at(take, engine, {"address": performance.moments["address"]})
    return seen


def look_at(take: Take, engine: OpenvinoEngine, moments: dict[str, float]) -> Iterator[Seen]:
    """Draw frames of a take and ask the engine."""
    stage = take.stage
    filmed = Filmed(stage.acting, stage.scenery.camera, stage.scenery.shutter, take.times_s, False)
    for moment, time_s in moments.items():
        picture = stage.frame(time_s)
        at = np.array([time_s])
        truth = np.array([seen_at(filmed, name, at)[0][0] for name in joint_names()])
        known = find_golfer(engine, picture, truth)
        answer = np.full_like(truth, np.nan) if known is None else _answers(known)
        found = known is not None and known.score > SURE
        yield Seen(moment, truth, answer, found, stature_px(filmed, time_s))


def find_golfer(
    engine: OpenvinoEngine, picture: NDArray[np.uint8], truth: Floats
) -> Landmarks | None:
    """Landmarks of the detected person nearest to the truth, looked at twice as a follower does."""
    people = engine.find_people(np.ascontiguousarray(picture))
    middle = np.nanmean(truth, axis=0)
    near = sorted(
        people,
        key=lambda person: np.hypot(person.region.x - middle[0], person.region.y - middle[1]),
    )
    if not near or abs(near[0].region.x - middle[0]) > 0.5 * np.ptp(truth[:, 1]):
        return None
    first = next(iter(engine.find_landmarks([(picture, near[0].region)])))
    if first.score < SURE:
        return first
    return next(iter(engine.find_landmarks([(picture, Region.around(first.xy))])))


def _answers(known: Landmarks) -> Floats:
    names = [f"{SIDES[name.split('_')[0]]}_{name.split('_')[1]}" for name in joint_names()]
    return known.xy[[ENGINE_LANDMARKS.index(name) for name in names]]


def stature_px(filmed: Filmed, time_s: float) -> float:
    """The golfer's stature in pixels where the hips are."""
    hips = filmed.acting.point("lead_hip", time_s)
    away = float(np.linalg.norm(hips - filmed.camera.position))
    return filmed.camera.focal_px / away * filmed.acting.performance.body.stature_m


def frames_of(performance: Performance) -> dict[str, float]:
    """The ten moments, and frames between them."""
    first, last = performance.moments["address"], performance.moments["finish"]
    grid = {f"at {t:.3f}": float(t) for t in np.arange(first, last, EVERY_S)}
    return {**performance.moments, **grid}


def across(seen: Seen, part: str, of_truth: bool) -> float:
    """Level distance from trail to lead joint, of stature; negative when they have crossed."""
    points = seen.truth if of_truth else seen.answer
    lead = joint_names().index(f"lead_{part}")
    return float(points[lead, 0] - points[lead + 1, 0]) / seen.stature_px


def swapped(seen: Seen) -> bool:
    """Whether shoulders and hips fit the truth much better with left and right exchanged."""
    rows = [joint_names().index(f"lead_{part}") for part in ("shoulder", "hip")]
    lead, trail = np.array(rows), np.array(rows) + 1
    both = np.concatenate([lead, trail])
    crossed = np.concatenate([trail, lead])
    straight = np.linalg.norm(seen.answer[both] - seen.truth[both], axis=1).mean()
    other = np.linalg.norm(seen.answer[crossed] - seen.truth[both], axis=1).mean()
    return bool(other < 0.6 * straight and straight > 0.03 * seen.stature_px)


def report(views: dict[str, list[list[Seen]]]) -> list[str]:
    """Lines for a person: one figure each."""
    lines = []
    every = [seen for swings in views.values() for swing in swings for seen in swing]
    lines.append(
        f"person found: {100 * np.mean([seen.found for seen in every]):.2f} % of {len(every)}"
    )
    for view, swings in views.items():
        frames = [seen for swing in swings for seen in swing if seen.found]
        errors = np.array(
            [np.linalg.norm(s.answer - s.truth, axis=1) / s.stature_px for s in frames]
        )
        lines.append(
            f"{view}: error {100 * np.nanmedian(errors):.1f} % of stature, 90th "
            f"{100 * np.nanpercentile(errors, 90):.1f} %; swapped "
            f"{100 * np.mean([swapped(s) for s in frames]):.1f} %"
        )
        by_part = {
            part: 100 * float(np.nanmedian(errors[:, 2 * i : 2 * i + 2]))
            for i, part in enumerate(PARTS)
        }
        lines.append("   " + ", ".join(f"{part} {value:.1f}" for part, value in by_part.items()))
    return [*lines, *(_at_top(views[FACE_ON], part) for part in ("shoulder", "hip"))]


def _at_top(swings: list[list[Seen]], part: str) -> str:
    ratios = []
    for swing in swings:
        at = {seen.moment: seen for seen in swing}
        ends = [
            [across(at[moment], part, of_truth) for moment in ("top", "address")]
            for of_truth in (True, False)
        ]
        ratios.append([abs(top / address) for top, address in ends])
    truth, answer = np.array(ratios).T
    each = ", ".join(f"{a:.2f} ({t:.2f})" for a, t in zip(answer, truth, strict=True))
    means = f"{answer.mean():.2f} (truth {truth.mean():.2f})"
    return f"{part} line at the top, of address: {means}; {each}"


def _at_address(around: list[list[Seen]]) -> str:
    lines = []
    for of_truth in (False, True):
        widths = np.array([[across(s, "shoulder", of_truth) for s in golfer] for golfer in around])
        means = (widths / widths[:, :1]).mean(0)
        lines.append(", ".join(f"{mean:.2f}" for mean in means))
    angles = ", ".join(f"{angle:.0f}" for angle in AROUND_DEG)
    return f"standing, seen from {angles} degrees: {lines[0]} (truth {lines[1]})"


def main(arguments: list[str] | None = None) -> int:
    """Draw, ask, report."""
    parser = argparse.ArgumentParser(prog="studio realism", description=__doc__)
    parser.add_argument("--folder", type=Path, default=Path("out/realism"))
    parser.add_argument("--swings", type=int, default=len(SEEDS))
    parser.add_argument("--place", default=None)
    parser.add_argument("--motion", type=Path, default=None, help="a BVH file of a swing")
    parser.add_argument("--moments-only", action="store_true", help="not the frames between")
    wanted = parser.parse_args(arguments)
    engine = OpenvinoEngine(threads=1)
    views: dict[str, list[list[Seen]]] = {FACE_ON: [], DOWN_THE_LINE: []}
    around = []
    for seed, performance in islice(performances(wanted.folder, wanted.motion), wanted.swings):
        times = performance.moments if wanted.moments_only else frames_of(performance)
        around.append(from_around(performance, seed, engine))
        for view, other in product(views, worn(seed)):
            filming = Filming(view=view, hand_held=False, sound=False, place=wanted.place, **other)
            take = make_take(performance, seed, filming, f"{seed} {view}")
            views[view].append(list(look_at(take, engine, times)))
    print("\n".join([*report(views), _at_address(around)]))
    return 0


if __name__ == "__main__":
    sys.exit(main())
