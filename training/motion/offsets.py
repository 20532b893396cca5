"""Where the engine sees each joint, against where it is, and how that follows the posture.

`python -m training.motion.offsets --tapes FOLDER --only train --prior FILE`

Never give it tapes that figures are told of.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from bench.readings import files_of
from bench.tapes import REFUSED_END, SEEN_END, TRUTH_END, load_truth_tape
from bench.truths import Truth
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from causeline.body.errors import CHANNELS
from causeline.body.shot import sample_view
from causeline.body.trust import body_size
from causeline.body.usual import STRANGE, J, figure_of
from causeline.model.clip import View
from causeline.model.motion import POINTS
from causeline.reading.doors import Settings
from causeline.reading.judging import Judging, Tracks
from causeline.store.seen_file import load_seen

Floats = NDArray[np.float64]

VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)
DOUBT = 1.0
"""Clips that a mean of 0 counts for."""
SMOOTH = 1.5
"""Samples of the clock over which means and spreads are smoothed."""
NORMAL_MAD = 1.48
"""Standard deviations of a normal distribution in a median absolute deviation."""
REACH, RIDGE = 2.0, 1e-4
"""Samples over which slopes are alike, and how strongly they are drawn to zero, statures squared a
clip: chosen by clips left out."""
FOLDS = 5
FAR, LEAST = 3.0, 0.004
"""What lies this many standard deviations off the median, but at least this share of the stature,
does not count in the mean."""


def main() -> None:
    """Read, average, add to the prior."""
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("tapes", "prior"):
        parser.add_argument(f"--{name}", type=Path, required=True)
    parser.add_argument("--only", nargs="+", default=["train"])
    parser.add_argument("--workers", type=int, default=1)
    arguments = parser.parse_args()
    files = [file for start in arguments.only for file in files_of(arguments.tapes, start)]
    found: dict[View, list[Seen]] = {view: [] for view in VIEWS}
    with ProcessPoolExecutor(arguments.workers) as pool:
        for seen in pool.map(errors_of, files):
            for one in seen:
                found[one.view].append(one)
    with np.load(arguments.prior) as kept:
        arrays: dict[str, Any] = {name: kept[name] for name in ("mean", "basis", "rest")}
    usual = [usual_errors(found[view]) for view in VIEWS]
    for name, values in zip(Usual._fields, zip(*usual, strict=True), strict=True):
        kind = np.float16 if name == "slopes" else np.float32
        arrays[name] = np.stack(values).astype(kind)
    np.savez_compressed(arguments.prior, **arrays)
    print({view.value: len(found[view]) for view in VIEWS})


class Seen(NamedTuple):
    """One clip on the clock, in statures."""

    view: View
    off: Floats
    """(P, Q, 2) by how far the engine is off."""
    said: Floats
    """(P, C, 2) its stated ±."""
    figure: Floats
    """(P, J, 2)."""


class Usual(NamedTuple):
    """What is learned of a view: as `MotionPrior` names it, without the views."""

    offsets: Floats
    figures: Floats
    figures_sd: Floats
    slopes: Floats
    spread: Floats


def errors_of(file: Path) -> list[Seen]:
    """What was seen of a swing beside its truth; view and hand must be called right."""
    stem = file.name.removesuffix(TRUTH_END)
    if not file.name.endswith(TRUTH_END) or file.with_name(stem + REFUSED_END).exists():
        return []
    truth, seen = load_truth_tape(file), load_seen(file.with_name(stem + SEEN_END))
    found = []
    job = Judging.of(seen, Settings())
    right = (truth.facts["file"]["view"], truth.facts["hand"])
    struck = truth.moments.get("impact", 0.0)
    for tracks in job.tracks:
        times, view = tracks.body.time_s, tracks.view_3d
        clock = view.times()
        if clock is None or (job.view.name, job.hand.name) != right:
            continue
        if times[0] <= struck <= times[-1]:
            shot, size = sample_view(view, clock), body_size(tracks.body.xy)
            off = (shot.xy - _true(truth, clock, tracks)) / size
            one = Seen(View(job.view.name), off, shot.sd / size, figure_of(shot.xy, size))
            found.append(one)
    return found


def usual_errors(found: Sequence[Seen]) -> Usual:
    """Mean, slopes, and spread as a share of what was stated; robust and smooth.

    The spread is of clips that the slopes were not learned from.
    """
    off, said, figure = (np.stack([one[part] for one in found]) for part in (1, 2, 3))
    middle = np.nanmedian(off, axis=0)
    apart = NORMAL_MAD * np.nanmedian(np.abs(off - middle), axis=0)
    near = np.abs(off - middle) < FAR * np.maximum(apart, LEAST)
    kept = np.where(near, off, np.nan)
    mean = np.nansum(kept, axis=0) / (np.isfinite(kept).sum(axis=0) + DOUBT)
    mean = gaussian_filter1d(mean, SMOOTH, axis=0, mode="nearest")
    usual = np.nanmedian(figure, axis=0)
    usual_sd = NORMAL_MAD * np.nanmedian(np.abs(figure - usual), axis=0)
    limit = STRANGE * np.maximum(usual_sd, LEAST)
    away = np.nan_to_num(np.clip(figure - usual, -limit, limit))
    rest = np.nan_to_num(kept - mean)[:, :, :J]
    left = off - mean
    fold = np.arange(len(found)) % FOLDS
    for part in range(FOLDS):
        slopes = _slopes(away[fold != part], rest[fold != part])
        told = np.einsum("npf,pfo->npo", _flat(away[fold == part]), slopes)
        left[fold == part, :, :J] -= told.reshape(-1, *rest.shape[1:])
    channels = np.einsum("cq,npqa->npca", CHANNELS, np.nan_to_num(left))
    ratio = NORMAL_MAD * np.nanmedian(np.abs(channels / said), axis=0)
    ratio = np.clip(np.nan_to_num(ratio, nan=1.0), 0.05, 5.0)
    spread = np.exp(gaussian_filter1d(np.log(ratio), SMOOTH, axis=0, mode="nearest"))
    return Usual(mean, usual, limit / STRANGE, _slopes(away, rest), spread)


def _slopes(away: Floats, rest: Floats) -> Floats:
    """(P, 2 J, 2 J) ridge regression at each sample, on it and those near it."""
    away, rest = _flat(away), _flat(rest)
    place = np.arange(away.shape[1])
    slopes = []
    for at in place:
        weight = np.exp(-0.5 * ((place - at) / REACH) ** 2)
        weight = np.sqrt(weight / weight.sum())[:, None]
        x, y = ((weight * part).reshape(-1, part.shape[-1]) for part in (away, rest))
        penalty = RIDGE * len(away) * np.eye(x.shape[1])
        slopes.append(np.linalg.solve(x.T @ x + penalty, x.T @ y))
    return np.stack(slopes)


def _flat(points: Floats) -> Floats:
    """(N, P, J, 2) to (N, P, 2 J)."""
    return points.reshape(*points.shape[:2], -1)


def _true(truth: Truth, clock: Floats, tracks: Tracks) -> Floats:
    times = np.asarray(truth.facts["frames"]["time_s"])
    points = np.full((len(clock), len(POINTS), 2), np.nan)
    for column, name in enumerate(POINTS):
        path = np.array(truth.facts["points_px"][name], float)
        if tracks.body.mirrored:
            path[:, 0] = truth.facts["file"]["width"] - 1 - path[:, 0]
        for axis in (0, 1):
            points[:, column, axis] = np.interp(
                clock, times, path[:, axis], left=np.nan, right=np.nan
            )
    return points


if __name__ == "__main__":
    main()
