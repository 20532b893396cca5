"""Clips for the speed bench, made of a demo clip: 1080p, 240 Hz, as phones store them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import av
from av.video.frame import VideoFrame

WIDTH, HEIGHT, RATE_HZ = 1080, 1920, 240
BIT_RATE = 40_000_000
STILL_FRAMES = 40
"""Frames at the beginning in which the golfer only stands: played to and fro for waiting."""


def swing_clip(source: Path, out: Path, seconds: float = 4.0) -> Path:
    """The source's frames at 240 a second, with waiting before it up to `seconds` in all."""
    if out.exists():
        return out
    out.parent.mkdir(parents=True, exist_ok=True)
    count = round(seconds * RATE_HZ)
    frames = list(_pictures(source))
    waiting = _to_and_fro(frames[:STILL_FRAMES], max(0, count - len(frames)))
    _write(out, (frame for group in (waiting, iter(frames[:count])) for frame in group))
    return out


def _pictures(source: Path) -> Iterator[VideoFrame]:
    with av.open(str(source)) as container:
        for frame in container.decode(video=0):
            yield frame.reformat(width=WIDTH, height=HEIGHT, format="yuv420p")


def _to_and_fro(frames: list[VideoFrame], count: int) -> Iterator[VideoFrame]:
    cycle = [*frames, *frames[-2:0:-1]]
    for number in range(count):
        yield cycle[number % len(cycle)]


def _write(out: Path, frames: Iterator[VideoFrame]) -> None:
    part = out.with_suffix(".part.mp4")
    with av.open(str(part), "w") as container:
        stream = container.add_stream(
            "libx264", rate=RATE_HZ, options={"preset": "fast", "g": "240"}
        )
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        stream.bit_rate = BIT_RATE
        stream.time_base = Fraction(1, RATE_HZ)
        for number, frame in enumerate(frames):
            frame.pts, frame.time_base = number, Fraction(1, RATE_HZ)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
    part.rename(out)
