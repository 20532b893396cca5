"""What the landmark engine makes of golfers whose joints are known: errors to train with.

    python -m training.lift.offsets --tapes FOLDER --only fit_ train_ --out DATA/offsets.npz

From tapes of the fitting and training sets (`training/pool`). Three swings of four give the errors:
what follows from the posture (a ridge regression on the figure), and what is left of each clip,
whole, so that it stays as correlated in time and between joints as it is. The fourth swing is kept
for judging: what the lifter would see of it, and its true turns.
"""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from bench.tapes import SEEN_END, TRUTH_END, load_truth_tape
from bench.truths import Truth
from numpy.typing import NDArray

from causeline.model.clip import Hand, View
from causeline.model.motion import TURNS
from causeline.reading.judging import Tracks
from causeline.sources import lift_net
from causeline.store.seen_file import load_seen

sys.path.insert(0, str(Path(__file__).parent))
from layout import JOINTS, MOMENTS, STEPS, phase_times
from view import postures

Floats = NDArray[np.float64]
VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)
KNOTS = ("address", "top", "impact", "finish")
STIFF, STIFF_PHASE, STIFF_ONE = 3.0, 6.0, 0.01
"""Ridge: how much the figure, the phase and the mean are kept from explaining."""
FOLDS = 6
HELD_EVERY = 4
CLUB = ("butt", "hosel")


@dataclass(frozen=True, slots=True)
class Watched:
    """One training clip: `true` and `seen` (STEPS, J, 2) are scaled by the truth's figure."""

    number: int
    view: int
    true: Floats
    seen: Floats
    trust: Floats
    club: Floats
    """(STEPS, 3) the shaft's error, radians; the logarithm of its length's; trust, 0 unseen."""
    lifter: Floats
    """(STEPS, features) what the shipped lifter sees, on the clock of the moments it was given."""
    turns: Floats
    """(STEPS, 3) true, on that clock."""
    where: Floats
    """True moments on that clock, samples."""


def watch(path: Path) -> Watched | None:
    """None for a clip that was refused or whose moments were not found."""
    seen_file = path.with_name(path.name.removesuffix(TRUTH_END) + SEEN_END)
    if not seen_file.exists():
        return None
    truth, seen = load_truth_tape(path), load_seen(seen_file)
    view = View(truth.facts["file"]["view"])
    tracks = Tracks(seen.clip, seen.swings[-1], view, Hand(truth.facts["hand"]))
    body, club = tracks.body, tracks.club
    knots = lift_net._knots(body, tracks.moments)
    if knots is None or any(name not in truth.moments for name in KNOTS):
        return None
    at = np.clip(phase_times([truth.moments[k] for k in KNOTS]), body.time_s[0], body.time_s[-1])
    mirror = seen.clip.width - 1.0 if body.mirrored else None
    joints, shaft = _true(truth, JOINTS, at, mirror), _true(truth, CLUB, at, mirror)
    xy, trust = lift_net._played_joints(body, at)
    root, size = lift_net._frame_of(joints)
    up = np.array([1.0, -1.0]) / size
    played = np.zeros((STEPS, 4)) if club is None else lift_net._played_shaft(body, club, at, size)
    found = lift_net._phase_times(knots)
    frames = np.asarray(truth.facts["frames"]["time_s"])
    turned = np.stack(
        [np.interp(found, frames, truth.facts["turns_deg"][turn]) for turn in TURNS], axis=1
    )
    return Watched(
        number=int(path.name.split("_")[1]),
        view=VIEWS.index(view),
        true=(joints - root) * up,
        seen=(xy - root) * up,
        trust=trust,
        club=_club_error(played, (shaft[:, 1] - shaft[:, 0]) * up),
        lifter=lift_net.see_swing(body, club, found, view),
        turns=turned,
        where=np.interp(
            [truth.moments.get(name, np.nan) for name in MOMENTS], found, np.arange(STEPS)
        ),
    )


def _true(truth: Truth, names: tuple[str, ...], at: Floats, mirror: float | None) -> Floats:
    times = np.asarray(truth.facts["frames"]["time_s"])
    paths = []
    for name in names:
        path = np.asarray(truth.facts["points_px"][name], float)
        known = np.isfinite(path).all(axis=1)
        paths.append([np.interp(at, times[known], path[known, axis]) for axis in (0, 1)])
    points = np.moveaxis(np.array(paths), 2, 0)
    if mirror is not None:
        points[..., 0] = mirror - points[..., 0]
    return points


def _club_error(played: Floats, true: Floats) -> Floats:
    length = np.linalg.norm(true, axis=1)
    wrong = np.arctan2(played[:, 1], played[:, 0]) - np.arctan2(true[:, 1], true[:, 0])
    wrong = (wrong + np.pi) % (2 * np.pi) - np.pi
    ratio = np.log(np.maximum(played[:, 2], 1e-3) / np.maximum(length, 1e-3))
    seen = played[:, 2] > 0
    return np.stack(
        [np.where(seen, wrong, 0), np.where(seen, np.clip(ratio, -1, 1), 0), played[:, 3] * seen], 1
    )


def fit_view(clips: list[Watched]) -> tuple[Floats, Floats]:
    """Weights (F, 2 J), and what a fit that never saw a clip leaves of it, (n, STEPS, J, 2)."""
    figures = postures(torch.tensor(np.stack([clip.true for clip in clips]))).numpy()
    off = np.stack([clip.seen - clip.true for clip in clips])
    left = np.zeros_like(off)
    folds = np.array([clip.number for clip in clips]) // HELD_EVERY % FOLDS
    for fold in range(FOLDS):
        out = folds == fold
        weight = _ridge(figures[~out], off[~out])
        left[out] = off[out] - (figures[out] @ weight).reshape(off[out].shape)
    return _ridge(figures, off), left


def _ridge(figures: Floats, off: Floats) -> Floats:
    x, y = figures.reshape(-1, figures.shape[2]), off.reshape(-1, off[0, 0].size)
    stiff = np.full(x.shape[1], STIFF)
    stiff[-10:] = STIFF_PHASE
    stiff[-1] = STIFF_ONE
    return np.asarray(np.linalg.solve(x.T @ x + np.diag(stiff), x.T @ y))


def main() -> None:
    """Read all, fit each view, write one file."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--only", nargs="+", default=["train_"], help="beginnings of names")
    given = parser.parse_args()
    tapes = sorted(tape for name in given.only for tape in given.tapes.glob(f"{name}*{TRUTH_END}"))
    with ProcessPoolExecutor(given.workers) as pool:
        every = [clip for clip in pool.map(watch, tapes) if clip is not None]
    fitted = [clip for clip in every if clip.number % HELD_EVERY]
    held = [clip for clip in every if clip.number % HELD_EVERY == 0]
    views = [[clip for clip in fitted if clip.view == view] for view in range(len(VIEWS))]
    weights, lefts = zip(*map(fit_view, views), strict=True)
    for clips, left in zip(views, lefts, strict=True):
        off = np.stack([clip.seen - clip.true for clip in clips])
        sizes = [np.sqrt((each**2).sum(-1).mean((0, 1))) for each in (off, left)]
        for name, one, other in zip(JOINTS, *sizes, strict=True):
            print(f"{name:16s} {100 * one:5.1f} % of the size, {100 * other:5.1f} % left")
    order = [clip for clips in views for clip in clips]
    bank = {
        "bank_view": np.array([clip.view for clip in order]),
        "bank_left": np.concatenate(lefts).astype(np.float16),
        "bank_trust": np.stack([clip.trust for clip in order]).astype(np.float16),
        "bank_club": np.stack([clip.club for clip in order]).astype(np.float16),
        "held_view": np.array([clip.view for clip in held]),
        "held_seen": np.stack([clip.lifter for clip in held]).astype(np.float32),
        "held_turns": np.stack([clip.turns for clip in held]).astype(np.float32),
        "held_where": np.stack([clip.where for clip in held]).astype(np.float32),
    }
    np.savez_compressed(given.out, weight=np.stack(weights).astype(np.float32), **bank)
    print(len(order), "clips in the bank,", len(held), "held out;", given.out.stat().st_size)


if __name__ == "__main__":
    main()
