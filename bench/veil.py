"""How surely a face is hidden: `python -m bench.veil --set demo/clips`, or `--tapes FOLDER`.

The face is a circle about nose and ears, of the head's own radius (0.065 of the stature), at the
truth's place; in each frame of each swing it must lie inside the veil. Every tenth frame's veil is
also asked for as if its neighbours alone were known.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from bench.readings import Beside, beside, files_of
from causeline.render.veil import render_veils

HEAD = 0.065
"""Radius of the head in statures: half of 0.13 (Drillis and Contini 1966)."""
FACE = ("nose", "lead_ear", "trail_ear")


def margins(one: Beside) -> Iterator[float]:
    """How far inside its veil each face lies, in radii of the head; below 0 it looks out."""
    points = {name: np.asarray(one.truth.facts["points_px"][name]) for name in FACE}
    stature = _stature_px(one)
    for swing in one.reading.swings if one.reading else ():
        veils = render_veils(swing.body)
        for frame in veils.frames.tolist():
            if frame >= len(points["nose"]):
                continue
            head = np.mean([points[name][frame] for name in FACE], axis=0)
            x, y, radius = veils.at(frame)
            apart = float(np.hypot(head[0] - x, head[1] - y))
            yield (radius - apart) / (HEAD * stature) - 1.0


def _stature_px(one: Beside) -> float:
    """The golfer's height in pixels, from the true shoulder and ankle at address."""
    px = one.truth.facts["points_px"]
    metres = one.truth.facts["points_m"]
    ends = ("lead_hip", "lead_ankle")
    long_px = np.hypot(*(np.asarray(px[ends[0]][0]) - np.asarray(px[ends[1]][0])))
    long_m = np.linalg.norm(np.asarray(metres[ends[0]][0]) - np.asarray(metres[ends[1]][0]))
    return float(long_px / long_m * one.truth.facts["body"]["stature_m"])


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--set", "--tapes", dest="folder", type=Path, required=True)
    parser.add_argument("--start", default="")
    folder = parser.parse_args()
    frames, out, worst, clips = 0, 0, np.inf, 0
    for file in files_of(folder.folder, folder.start):
        one = beside(file)
        found = np.array(list(margins(one)))
        if len(found) == 0:
            continue
        clips += 1
        frames += len(found)
        out += int((found < 0).sum())
        worst = min(worst, float(found.min()))
        if (found < 0).any():
            print(
                f"{one.name}: {(found < 0).sum()} of {len(found)} faces look out, {found.min():.2f}"
            )
    print(f"{clips} clips, {frames} frames, {out} with part of the face outside; worst {worst:.2f}")


if __name__ == "__main__":
    main()
