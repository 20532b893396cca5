"""Where the engine sees each joint, against where it is, over the swing: a mean, and a spread.

`python -m training.motion.offsets --tapes FOLDER --only train --prior FILE`

Never give it tapes that figures are told of.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
from bench.readings import files_of
from bench.tapes import REFUSED_END, SEEN_END, TRUTH_END, load_truth_tape
from bench.truths import Truth
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from causeline.body.errors import CHANNELS
from causeline.body.shot import sample_view
from causeline.body.trust import body_size
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
FAR, LEAST = 3.0, 0.004
"""What lies this many standard deviations off the median, but at least this share of the stature,
does not count in the mean."""


def main() -> None:
    """Read, average, add to the prior."""
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("tapes", "prior"):
        parser.add_argument(f"--{name}", type=Path, required=True)
    parser.add_argument("--only", default="train")
    parser.add_argument("--workers", type=int, default=1)
    arguments = parser.parse_args()
    found: dict[View, list[tuple[Floats, Floats]]] = {view: [] for view in VIEWS}
    with ProcessPoolExecutor(arguments.workers) as pool:
        for errors in pool.map(errors_of, files_of(arguments.tapes, arguments.only)):
            for view, error in errors:
                found[view].append(error)
    with np.load(arguments.prior) as kept:
        arrays: dict[str, Any] = {name: kept[name] for name in ("mean", "basis", "rest")}
    usual = [usual_errors(found[view]) for view in VIEWS]
    arrays["offsets"] = np.stack([mean for mean, _ in usual]).astype(np.float32)
    arrays["spread"] = np.stack([spread for _, spread in usual]).astype(np.float32)
    np.savez_compressed(arguments.prior, **arrays)
    print({view.value: len(found[view]) for view in VIEWS})


def errors_of(file: Path) -> list[tuple[View, tuple[Floats, Floats]]]:
    """(P, Q, 2) errors and (P, C, 2) stated ±, in statures; view and hand must be called right."""
    stem = file.name.removesuffix(TRUTH_END)
    if file.with_name(stem + REFUSED_END).exists():
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
            found.append((View(job.view.name), (off, shot.sd / size)))
    return found


def usual_errors(found: list[tuple[Floats, Floats]]) -> tuple[Floats, Floats]:
    """Mean (P, Q, 2), and spread (P, C, 2) as a share of what was stated; robust and smooth."""
    off, said = (np.stack(part) for part in zip(*found, strict=True))
    middle = np.nanmedian(off, axis=0)
    apart = NORMAL_MAD * np.nanmedian(np.abs(off - middle), axis=0)
    near = np.abs(off - middle) < FAR * np.maximum(apart, LEAST)
    kept = np.where(near, off, np.nan)
    mean = np.nansum(kept, axis=0) / (np.isfinite(kept).sum(axis=0) + DOUBT)
    mean = gaussian_filter1d(mean, SMOOTH, axis=0, mode="nearest")
    channels = np.einsum("cq,npqa->npca", CHANNELS, np.nan_to_num(off - mean))
    ratio = NORMAL_MAD * np.nanmedian(np.abs(channels / said), axis=0)
    ratio = np.clip(np.nan_to_num(ratio, nan=1.0), 0.05, 5.0)
    return mean, np.exp(gaussian_filter1d(np.log(ratio), SMOOTH, axis=0, mode="nearest"))


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
