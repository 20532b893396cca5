"""Where the engine sees each joint, against where it is, over the swing: a mean to take off.

`python -m training.motion.offsets --seen FOLDER --truth FOLDER --prior FILE`

Never give it clips of the accuracy set.
"""

from __future__ import annotations

import argparse
import gzip
import json
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from causeline.body.shot import View3D, sample_view
from causeline.body.trust import body_size
from causeline.model.clip import Hand, View
from causeline.model.motion import POINTS
from causeline.model.tracks import BODY_LANDMARKS
from causeline.reading.judging import Tracks
from causeline.store.seen_file import load_seen

Floats = NDArray[np.float64]

VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)
DOUBT = 0.5
"""Clips that a mean of 0 counts for. Chosen by leaving one golfer out: 3, 1 and 0.3 left a mean
error of the shoulders at the top of 14, 12 and 12° down the line and 8, 6 and 5° face-on."""
SMOOTH = 2.0
"""Samples of the clock over which offsets are smoothed."""


def main() -> None:
    """Read, average, add to the prior."""
    parser = argparse.ArgumentParser(description=__doc__)
    for name in ("seen", "truth", "prior"):
        parser.add_argument(f"--{name}", type=Path, required=True)
    arguments = parser.parse_args()
    found: dict[View, list[Floats]] = {view: [] for view in VIEWS}
    for file in sorted(arguments.truth.glob("*.truth.json*")):
        stem = file.name.partition(".truth")[0]
        seen = arguments.seen / f"{stem}.seen.npz"
        if seen.exists():
            for view, offset in offsets_of(seen, json.loads(_unpacked(file))):
                found[view].append(offset)
    with np.load(arguments.prior) as kept:
        arrays = {name: kept[name] for name in kept.files}
    arrays["offsets"] = np.stack([_mean(found[view]) for view in VIEWS]).astype(np.float32)
    np.savez_compressed(arguments.prior, **arrays)
    print({view.value: len(found[view]) for view in VIEWS})


def offsets_of(file: Path, truth: dict[str, Any]) -> list[tuple[View, Floats]]:
    """(P, Q, 2) shares of the stature in pixels, for each swing whose moments were found."""
    seen = load_seen(file)
    view, hand = View(truth["file"]["view"]), Hand(truth["hand"])
    told = []
    for swing in seen.swings[-1:]:
        tracks = Tracks(seen.clip, swing, view, hand)
        size = (seen.clip.width, seen.clip.height)
        seen_3d = View3D(tracks.body, tracks.moments, view, size, tracks.club)
        clock = seen_3d.times()
        if clock is not None:
            off = sample_view(seen_3d, clock).xy - _true(truth, clock, tracks.body.mirrored)
            told.append((view, off / body_size(tracks.body.xy)))
    return told


def _true(truth: dict[str, Any], clock: Floats, mirrored: bool) -> Floats:
    times = np.asarray(truth["frames"]["time_s"])
    points = np.full((len(clock), len(POINTS), 2), np.nan)
    for column, name in enumerate(BODY_LANDMARKS):
        path = np.asarray(truth["points_px"][name], float)
        path = np.column_stack(
            [truth["file"]["width"] - 1 - path[:, 0] if mirrored else path[:, 0], path[:, 1]]
        )
        points[:, column] = np.stack(
            [np.interp(clock, times, path[:, a], left=np.nan, right=np.nan) for a in (0, 1)], axis=1
        )
    return points


def _mean(offsets: list[Floats]) -> Floats:
    """Shrunk to zero where few swings tell; what lies far off its neighbours counts little."""
    stacked = np.stack(offsets)
    middle = np.nanmedian(stacked, axis=0)
    near = np.linalg.norm(stacked - middle, axis=-1, keepdims=True) < 0.05
    kept = np.where(near, stacked, np.nan)
    count = np.isfinite(kept).sum(axis=0)
    mean = np.nansum(kept, axis=0) / (count + DOUBT)
    return np.asarray(gaussian_filter1d(mean, SMOOTH, axis=0, mode="nearest"))


def _unpacked(file: Path) -> bytes:
    data = file.read_bytes()
    return gzip.decompress(data) if file.suffix == ".gz" else data


if __name__ == "__main__":
    main()
