"""How far off the shaft and the head are, frame by frame, on tapes.

`python -m bench.club_frames --tapes FOLDER --only swing` prints the tables of docs/accuracy.md.
Frames count from address to finish where the head lies inside the picture and the shaft is 40
pixels or longer; of some of these the body hides the end of the shaft, which is told apart.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, fields
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bench.readings import RATES_HZ, files_of
from bench.tapes import SEEN_END, TRUTH_END, load_truth_tape
from bench.truths import Floats, Truth, true_shaft_deg
from causeline import Settings
from causeline.model.tracks import BodyTrack, ClubTrack
from causeline.reading.judging import Judging
from causeline.store.seen_file import load_seen

SHORTEST_PX = 40.0
SURE, ANSWERED, FAR_DEG = 0.8, 0.5, 15.0
NARROW_PX = 480
LENGTHS = (0.0, 0.1, 0.15, 0.2, 0.3, 0.4, 0.9)
"""Edges of the table of lengths, in statures."""
SAID = (0.0, 0.2, 0.5, 0.8, 0.9, 0.97, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """Frames of one clip, or of many, one after the other."""

    off_deg: Floats
    head: Floats
    """Distance of the head, per cent of stature."""
    confidence: Floats
    length: Floats
    """Of the shaft as seen, statures."""
    hidden: NDArray[np.bool_]
    """Where the body hides the end of the shaft."""
    coming_down: NDArray[np.bool_]
    after: NDArray[np.bool_]
    face_on: NDArray[np.bool_]
    rate_hz: Floats
    narrow: NDArray[np.bool_]
    clip: NDArray[np.str_]

    def where(self, kept: NDArray[np.bool_]) -> Frames:
        """Some of them."""
        return Frames(**{field.name: getattr(self, field.name)[kept] for field in fields(self)})


def main() -> int:
    """Judge the tapes, print the tables; 0 when it was done."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tapes", type=Path, required=True, help="folder of tapes")
    parser.add_argument("--only", default="", help="beginning of the names of the clips to take")
    parser.add_argument("--workers", type=int, default=1)
    arguments = parser.parse_args()
    tapes = [f for f in files_of(arguments.tapes, arguments.only) if f.name.endswith(TRUTH_END)]
    with ProcessPoolExecutor(arguments.workers) as pool:
        judged = [one for one in pool.map(frames_of, tapes, chunksize=4) if one is not None]
    if not judged:
        print("no tapes with a club there", file=sys.stderr)
        return 1
    print("\n".join(tables(joined(judged))))
    return 0


def joined(parts: list[Frames]) -> Frames:
    """All frames of several clips."""
    names = [field.name for field in fields(Frames)]
    return Frames(**{name: np.concatenate([getattr(one, name) for one in parts]) for name in names})


def frames_of(tape: Path) -> Frames | None:
    """Frames of a tape's first swing; None where no club, or not the whole swing, was followed."""
    seen_file = tape.with_name(tape.name.removesuffix(TRUTH_END) + SEEN_END)
    if not seen_file.exists():
        return None
    truth = load_truth_tape(tape)
    tracks = Judging.of(load_seen(seen_file), Settings()).tracks[0]
    moments = truth.moments
    if tracks.club is None or any(n not in moments for n in ("address", "top", "impact")):
        return None
    return judged_frames(truth, tracks.body, tracks.club)


def judged_frames(truth: Truth, body: BodyTrack, club: ClubTrack) -> Frames:
    """The frames that count, of one track beside its truth."""
    rows, time, moments = body.frames, body.time_s, truth.moments
    facts = truth.facts["file"]
    butt, hosel, head = (_points(truth, name, body) for name in ("butt", "hosel", "head"))
    long = np.hypot(*(hosel - butt).T)
    stature = _stature_px(truth)[rows]
    true = true_shaft_deg(truth, body.mirrored)[rows]
    wide, high = facts["width"], facts["height"]
    inside = (head >= 0).all(1) & (head[:, 0] < wide) & (head[:, 1] < high)
    span = (time >= moments["address"]) & (time <= moments.get("finish", moments["impact"] + 0.5))
    n = len(rows)
    rate = min(RATES_HZ, key=lambda each: abs(each - facts["rate_hz"]))
    frames = Frames(
        off_deg=np.abs((club.shaft_deg() - true + 180.0) % 360.0 - 180.0),
        head=100.0 * np.hypot(*(club.head - head).T) / stature,
        confidence=club.confidence,
        length=long / stature,
        hidden=np.asarray(truth.facts["visible"]["hosel"])[rows] == 0,
        coming_down=(time >= moments["top"]) & (time <= moments["impact"]),
        after=time > moments["impact"],
        face_on=np.full(n, facts["view"] == "face-on"),
        rate_hz=np.full(n, float(rate)),
        narrow=np.full(n, min(wide, high) <= NARROW_PX),
        clip=np.full(n, facts["name"]),
    )
    return frames.where(span & inside & (long >= SHORTEST_PX) & np.isfinite(frames.off_deg))


def _points(truth: Truth, name: str, body: BodyTrack) -> Floats:
    points = np.asarray(truth.facts["points_px"][name], float)[body.frames].copy()
    if body.mirrored:
        points[:, 0] = body.width - 1 - points[:, 0]
    return points


def _stature_px(truth: Truth) -> Floats:
    """(frames,) the golfer's height as large as it looks at the hands."""
    camera = truth.facts["camera"]
    away = np.asarray(truth.facts["points_m"]["butt"], float) - np.asarray(camera["position"])
    return np.asarray(camera["focal_px"] / np.linalg.norm(away, axis=1) * truth.stature_m)


def tables(every: Frames) -> Iterator[str]:
    """All tables."""
    clips = len(set(every.clip))
    yield f"{clips} clips, {len(every.off_deg)} frames, {every.hidden.mean():.1%} of them hidden"
    yield ""
    yield (
        "| frames | number | median | 95th | answered | 95th of these | head, % of stature "
        "| over 15° off, of those surer than 0.8 |"
    )
    yield "|---|---|---|---|---|---|---|---|"
    for name, kept in _groups(every):
        if kept.any():
            yield _row(name, every.where(kept))
    yield ""
    yield "| said | frames | mean said | within 5° |"
    yield "|---|---|---|---|"
    for low, high in pairwise(SAID):
        kept = (every.confidence >= low) & (every.confidence < high + (high == 1.0))
        if kept.any():
            some = every.where(kept)
            right = float((some.off_deg < 5.0).mean())
            yield f"| {low} to {high} | {kept.sum()} | {some.confidence.mean():.2f} | {right:.2f} |"
    yield ""
    wrong = every.where((every.off_deg > FAR_DEG) & (every.confidence > SURE))
    yield "confidently wrong: " + ", ".join(
        f"{name} {number}"
        for name, number in zip(*np.unique(wrong.clip, return_counts=True), strict=True)
    )


def _groups(every: Frames) -> Iterator[tuple[str, NDArray[np.bool_]]]:
    seen, down, face_on = ~every.hidden, every.coming_down, every.face_on
    yield "all", seen | True
    yield "all, not hidden", seen
    yield "face-on", face_on
    yield "face-on, not hidden", face_on & seen
    yield "down the line", ~face_on
    yield "down the line, not hidden", ~face_on & seen
    yield "downswing", down
    yield "downswing, not hidden", down & seen
    yield "downswing face-on", down & face_on
    yield "downswing down the line", down & ~face_on
    yield "downswing down the line, not hidden", down & ~face_on & seen
    yield "after impact", every.after
    for rate in RATES_HZ:
        yield f"{rate} Hz", every.rate_hz == rate
    yield f"{NARROW_PX} px wide", every.narrow
    for low, high in pairwise(LENGTHS):
        within = (every.length >= low) & (every.length < high)
        yield f"shaft {low} to {high} statures", within
        yield f"shaft {low} to {high} statures, not hidden", within & seen


def _row(name: str, some: Frames) -> str:
    answered = some.where(some.confidence >= ANSWERED)
    sure = some.off_deg[some.confidence > SURE]
    middle, most = np.percentile(some.off_deg, [50, 95])
    told = f"{np.percentile(answered.off_deg, 95):.1f}°" if len(answered.off_deg) else "-"
    share = len(answered.off_deg) / len(some.off_deg)
    wrong = int((sure > FAR_DEG).sum())
    return (
        f"| {name} | {len(some.off_deg)} | {middle:.2f}° | {most:.1f}° | {share:.1%} | {told} "
        f"| {np.median(some.head):.2f} | {wrong} of {len(sure)} ({wrong / max(len(sure), 1):.2%}) |"
    )


if __name__ == "__main__":
    sys.exit(main())
