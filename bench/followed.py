"""In how many pictures does the landmark engine follow the golfer?

`python -m bench.followed --tapes FOLDER [--only planted]` counts, over the swings that were found
in tapes, the pictures in which the engine saw somebody, and those in which that is the golfer: the
middle between the hips within a quarter of the figure's height of where it truly is. Beside it
stands how much of its length at address the shoulder line keeps at the true top, face-on: as the
engine sees it, and as it is. The nearer the two, the more real pictures and postures look to it.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bench.readings import files_of
from bench.tapes import SEEN_END, TRUTH_END, load_truth_tape
from bench.truths import Truth
from causeline.model.seen import Seen
from causeline.quantities.angle import Floats
from causeline.store.seen_file import load_seen

FACE_ON = "face-on"
NEAR = 0.25
"""Of the figure's height, ear to ankle at its largest: nobody else of a picture stands so near."""
SIDES = ("lead", "trail")
SEEN_SIDES = {False: ("left", "right"), True: ("right", "left")}
"""Lead, then trail, of right-handers and of left-handers."""


@dataclass(frozen=True, slots=True)
class Counted:
    """Pictures of found swings in one clip."""

    pictures: int
    seen: int
    golfer: int


@dataclass(frozen=True, slots=True)
class Kept:
    """Shoulder line at the top, of its length at address, both level; NaN where it was not seen."""

    seen: float
    true: float
    sound: bool


def main() -> None:
    """Count and tell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True)
    parser.add_argument("--only", default="", help="beginning of the names to take")
    given = parser.parse_args()
    files = files_of(given.tapes, given.only)
    told = [file for file in files if _seen_file(file).exists()]
    pairs = [(load_truth_tape(file), load_seen(_seen_file(file))) for file in told]
    print("\n".join(table_of(count_followed(*pair) for pair in pairs)))
    print("\n".join(shoulders_told(shoulders_kept(*pair) for pair in pairs)))
    print(f"{len(files) - len(told)} of {len(files)} clips were refused before any swing was found")


def _seen_file(file: Path) -> Path:
    return file.with_name(file.name.removesuffix(TRUTH_END) + SEEN_END)


def count_followed(truth: Truth, seen: Seen) -> Counted:
    """Over every picture of the swings that were found."""
    tracks = [swing.landmarks for swing in seen.swings]
    frames = np.concatenate([track.frames for track in tracks])
    points = [track.point(f"{side}_hip") for track in tracks for side in ("left", "right")]
    hips = np.concatenate([(a + b) / 2 for a, b in zip(points[::2], points[1::2], strict=True)])
    away = np.linalg.norm(hips - _middle(truth, "hip")[frames], axis=1)
    tall = np.nanmax(np.abs(_middle(truth, "ear") - _middle(truth, "ankle"))[:, 1])
    return Counted(
        pictures=len(frames),
        seen=int(np.isfinite(hips).all(axis=1).sum()),
        golfer=int((away < NEAR * tall).sum()),
    )


def _middle(truth: Truth, part: str) -> Floats:
    points = truth.facts["points_px"]
    pair = [np.asarray(points[f"{side}_{part}"], float) for side in SIDES]
    return np.asarray((pair[0] + pair[1]) / 2)


def table_of(counts: Iterable[Counted]) -> Iterable[str]:
    """Two lines, for a person."""
    clips = list(counts)
    pictures = sum(one.pictures for one in clips)
    for what, number in (
        ("somebody is seen", sum(one.seen for one in clips)),
        ("it is the golfer", sum(one.golfer for one in clips)),
    ):
        share = number / max(pictures, 1)
        yield f"{what}: {number:,} of {pictures:,} pictures ({share:.3%}), {len(clips)} clips"


def shoulders_kept(truth: Truth, seen: Seen) -> Kept | None:
    """None down the line, and where the truth has no top or it lies outside the swing found."""
    moments, track = truth.moments, seen.swings[-1].landmarks
    if truth.facts["file"]["view"] != FACE_ON or not {"address", "top"} <= set(moments):
        return None
    times = np.asarray(truth.facts["frames"]["time_s"])
    at = [int(np.argmin(np.abs(times - moments[name]))) for name in ("address", "top")]
    rows = [np.flatnonzero(track.frames == frame) for frame in at]
    if not all(len(row) for row in rows):
        return None
    lead, trail = SEEN_SIDES[truth.facts["hand"] == "left"]
    wide = (track.point(f"{lead}_shoulder") - track.point(f"{trail}_shoulder"))[:, 0]
    points = truth.facts["points_px"]
    true = np.asarray(points["lead_shoulder"], float) - np.asarray(points["trail_shoulder"], float)
    return Kept(
        seen=float(abs(wide[rows[1][0]] / wide[rows[0][0]])),
        true=float(abs(true[at[1], 0] / true[at[0], 0])),
        sound=not truth.facts["faults"],
    )


def shoulders_told(kept: Iterable[Kept | None]) -> Iterable[str]:
    """All golfers, and those without a fault: medians, and the median of the difference."""
    every = [one for one in kept if one is not None and np.isfinite(one.seen)]
    for what, some in (("all", every), ("sound", [one for one in every if one.sound])):
        if some:
            seen, true = np.array([(one.seen, one.true) for one in some]).T
            yield (
                f"shoulder line at the top, face-on, {what} ({len(some)} clips): seen "
                f"{np.median(seen):.2f}, true {np.median(true):.2f} of address; "
                f"difference {np.median(seen - true):+.2f}"
            )


if __name__ == "__main__":
    main()
