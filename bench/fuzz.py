"""Clips spoilt in thousands of ways, decoded behind the fence: does the program stay up?

python -m bench.fuzz --files 10000
"""

from __future__ import annotations

import argparse
import json
import random
import re
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.clips import Recipe, ffmpeg, numbered_pictures, write_clip

from causeline.errors import ClipError
from causeline.sources.fence import Fence, FencedClips

FENCE = Fence(patience_s=20.0, computing_s=3600)


@dataclass
class Fuzzed:
    """What came of it."""

    files: int = 0
    read: int = 0
    """Spoilt, and yet read as far as they go."""
    refused: Counter[str] = field(default_factory=Counter)
    """By the kind of error."""
    ended: int = 0
    """Decoding processes that the file brought down, or that had to be ended."""
    strange: list[str] = field(default_factory=list)
    """Whatever was neither an answer nor a plain refusal."""


def fuzz(clips: Sequence[Path], files: int, seed: int, folder: Path) -> Fuzzed:
    """Decode that many spoilt copies. One process does it, as long as it lives."""
    told, rng = Fuzzed(), random.Random(seed)  # noqa: S311
    contents = [clip.read_bytes() for clip in clips]
    spoilt = folder / "spoilt.mp4"
    with FencedClips(fence=FENCE) as fenced:
        for _ in range(files):
            told.files += 1
            spoilt.write_bytes(mutated(rng.choice(contents), rng))
            _decode(fenced, spoilt, told)
        for clip in clips:
            fenced.probe(clip)
    return told


def _decode(fenced: FencedClips, path: Path, told: Fuzzed) -> None:
    try:
        clip = fenced.probe(path)
        for _ in fenced.frames(path, clip, range(0, len(clip.clock), 3), 160):
            pass
        told.read += 1
    except ClipError as error:
        told.refused[type(error).__name__] += 1
        told.ended += bool(re.search("ended with|without a sign|computing time", str(error)))
        if not error.expected or not error.remedy:
            told.strange.append(str(error))


def mutated(content: bytes, rng: random.Random) -> bytes:
    """A few bytes changed, a piece doubled, moved or lost, or the end cut off."""
    spoilt = bytearray(content)
    kind = rng.choice(["bytes", "bytes", "box", "double", "lose", "cut", "zero"])
    at, length = rng.randrange(len(spoilt)), rng.randrange(1, 2000)
    if kind == "bytes":
        for _ in range(rng.randrange(1, 40)):
            spoilt[rng.randrange(len(spoilt))] = rng.randrange(256)
    elif kind == "box":  # sizes and counts stand at the front of boxes: make some huge
        for name in (b"stsz", b"stts", b"stco", b"stsc", b"trak", b"avcC", b"elst", b"mvhd"):
            place = spoilt.find(name)
            if place > 4 and rng.random() < 0.5:
                start = place + rng.choice([-4, 4, 8, 12])
                spoilt[start : start + 4] = rng.choice(
                    [b"\xff" * 4, b"\0" * 4, b"\x7f\xff\xff\xff"]
                )
    elif kind == "double":
        spoilt[at:at] = spoilt[at : at + length]
    elif kind == "lose":
        del spoilt[at : at + length]
    elif kind == "cut":
        del spoilt[at:]
    else:
        spoilt[at : at + length] = bytes(length)
    return bytes(spoilt)


def seeds(folder: Path) -> list[Path]:
    """Short clips of the kinds that come in."""
    made = [write_clip(folder / "h264.mp4", numbered_pictures(24), Recipe(options={"g": "6"}))]
    source = ["-f", "lavfi", "-i", "testsrc=s=192x108:r=30:d=0.8"]
    for name, words in {
        "hevc.mov": ["-c:v", "libx265", "-x265-params", "log-level=none"],
        "vp9.webm": ["-c:v", "libvpx-vp9"],
        "mpeg4.avi": ["-c:v", "mpeg4"],
        "stream.ts": ["-c:v", "libx264"],
        "motion.mkv": ["-c:v", "mjpeg", "-pix_fmt", "yuvj420p"],
    }.items():
        ffmpeg(*source, *words, str(folder / name))
        made.append(folder / name)
    return made


def main() -> None:
    """Print what came of it, as JSON."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--files", type=int, default=10_000)
    words.add_argument("--seed", type=int, default=1)
    told = words.parse_args()
    with tempfile.TemporaryDirectory(prefix="fuzz-") as name:
        folder = Path(name)
        result = fuzz(seeds(folder), told.files, told.seed, folder)
    print(json.dumps({**vars(result), "refused": dict(result.refused)}))
    raise SystemExit(1 if result.strange else 0)


if __name__ == "__main__":
    main()
