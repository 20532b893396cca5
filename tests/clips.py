"""Small video files made on the fly: frames that carry their own number, and sounds."""

from __future__ import annotations

import json
import os
import shutil
import struct
import subprocess
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

from causeline.model.clip import Picture

WIDTH, HEIGHT = 128, 96
_CELL = 32
_BITS = WIDTH * HEIGHT // _CELL**2 - 1
os.environ.setdefault("SVT_LOG", "1")
QUIET = {"libx265": {"x265-params": "log-level=none"}, "libsvtav1": {"preset": "12"}}


@dataclass(frozen=True)
class Recipe:
    """How a clip is written. `stamps` are in `time_base`; without them, one frame each tick."""

    codec: str = "libx264"
    pixels: str = "yuv420p"
    time_base: Fraction = Fraction(1, 30)
    stamps: Sequence[int] | None = None
    options: dict[str, str] = field(default_factory=dict)
    container: dict[str, str] = field(default_factory=dict)
    tags: dict[str, str] = field(default_factory=dict)
    kbps: int = 400
    turn_deg: float = 0.0
    """Counter-clockwise turn written to the display matrix."""
    mirrored: bool = False
    pixel: Fraction | None = None
    """Width of a pixel over its height."""
    colour: tuple[int, int, int] | None = None
    """Primaries, transfer and matrix of ITU-T H.273."""
    sound: NDArray[np.float32] | None = None
    sound_rate: int = 48000


def numbered(number: int) -> Picture:
    """A picture of 4 × 3 cells: a red one first, then the number's bits in white and black."""
    picture = np.zeros((HEIGHT, WIDTH, 3), dtype=np.uint8)
    for cell in range(_BITS + 1):
        row, column = divmod(cell, WIDTH // _CELL)
        area = np.s_[row * _CELL : (row + 1) * _CELL, column * _CELL : (column + 1) * _CELL]
        picture[area] = (220, 20, 20) if cell == 0 else 235 * (number >> (cell - 1) & 1)
    return picture


def number_of(picture: Picture) -> int:
    """The number that a decoded picture carries, at any size; -1 when the red cell is not first."""
    rows, columns = HEIGHT // _CELL, WIDTH // _CELL
    high, wide = picture.shape[0] / rows, picture.shape[1] / columns
    cells = [
        picture[int((r + 0.5) * high), int((c + 0.5) * wide)].astype(int)
        for r in range(rows)
        for c in range(columns)
    ]
    if not (cells[0][0] > 120 and cells[0][1] < 100):
        return -1
    return sum(1 << i for i, cell in enumerate(cells[1:]) if cell.mean() > 110)


def numbered_pictures(count: int) -> list[Picture]:
    return [numbered(i) for i in range(count)]


def write_clip(path: Path, pictures: Sequence[Picture], recipe: Recipe | None = None) -> Path:
    """Write a clip; the container follows the suffix of the path."""
    recipe = recipe or Recipe()
    stamps = recipe.stamps if recipe.stamps is not None else range(len(pictures))
    with _ordinary_priority(), av.open(str(path), "w", options=recipe.container) as container:
        container.metadata.update(recipe.tags)
        stream = _add_pictures(container, pictures[0], recipe)
        hum = _add_sound(container, recipe)
        for picture, stamp in zip(pictures, stamps, strict=True):
            container.mux(stream.encode(_frame(picture, stamp, recipe)))
        container.mux(stream.encode(None))
        hum()
    return path


@contextmanager
def _ordinary_priority() -> Iterator[None]:
    """SVT-AV1, run by root, turns its caller into a real-time process: all others would starve."""
    policy, parameters = os.sched_getscheduler(0), os.sched_getparam(0)
    try:
        yield
    finally:
        os.sched_setscheduler(0, policy, parameters)


def _add_pictures(container: Any, picture: Picture, recipe: Recipe) -> VideoStream:
    stream: VideoStream = container.add_stream(recipe.codec, rate=round(1 / recipe.time_base))
    stream.height, stream.width = picture.shape[:2]
    stream.pix_fmt = recipe.pixels
    stream.time_base = recipe.time_base
    stream.codec_context.time_base = recipe.time_base
    stream.bit_rate = recipe.kbps * 1000
    stream.options = {**QUIET.get(recipe.codec, {}), **recipe.options}
    if recipe.pixel:
        stream.codec_context.sample_aspect_ratio = recipe.pixel
    if recipe.colour:
        context = stream.codec_context
        context.color_primaries, context.color_trc, context.colorspace = recipe.colour
    if recipe.turn_deg or recipe.mirrored:
        stream.set_display_rotation(recipe.turn_deg, hflip=recipe.mirrored)
    return stream


def _frame(picture: Picture, stamp: int, recipe: Recipe) -> VideoFrame:
    frame = VideoFrame.from_ndarray(picture, format="rgb24").reformat(
        format=recipe.pixels, dst_colorspace=recipe.colour[2] if recipe.colour else None
    )
    if recipe.colour:
        frame.color_primaries, frame.color_trc, frame.colorspace = recipe.colour
    frame.pts, frame.time_base = stamp, recipe.time_base
    return frame


def _add_sound(container: Any, recipe: Recipe) -> Callable[[], None]:
    """Add a sound stream; what comes back writes it."""
    if recipe.sound is None:
        return lambda: None
    opus = container.format.name in ("webm", "matroska")
    stream = container.add_stream("libopus" if opus else "aac", rate=recipe.sound_rate)
    stream.layout = "mono"
    samples = recipe.sound.reshape(1, -1)

    def write() -> None:
        for start in range(0, samples.shape[1], 1024):
            block = av.AudioFrame.from_ndarray(
                np.ascontiguousarray(samples[:, start : start + 1024]), format="fltp", layout="mono"
            )
            block.sample_rate, block.pts = recipe.sound_rate, start
            container.mux(stream.encode(block))
        container.mux(stream.encode(None))

    return write


def ffmpeg(*words: str) -> None:
    """Run the ffmpeg command, the outside reference; its absence fails the test in plain words."""
    _run("ffmpeg", "-v", "error", "-y", *words)


def ffprobe_stamps(path: Path) -> list[int]:
    """Presentation stamps of the frames that ffprobe decodes."""
    words = ("-show_frames", "-show_entries", "frame=pts", "-of", "json", "-select_streams", "v:0")
    frames = json.loads(_run("ffprobe", "-v", "error", *words, str(path)))["frames"]
    return [int(frame["pts"]) for frame in frames]


def _run(program: str, *words: str) -> bytes:
    if shutil.which(program) is None:
        raise AssertionError(
            f"the {program} command is missing, and this test compares with it: install ffmpeg"
            " (make test does)"
        )
    return subprocess.run([program, *words], capture_output=True, check=True).stdout


def ffmpeg_pictures(path: Path, width: int, height: int) -> NDArray[np.uint8]:
    """All frames as the ffmpeg command shows them, (n, height, width, 3), turned as it turns."""
    words = ("-i", str(path), "-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", "rgb24")
    raw = _run("ffmpeg", "-v", "error", *words, "-")
    return np.frombuffer(raw, dtype=np.uint8).reshape(-1, height, width, 3)


def set_edit_rates(path: Path, rate: float) -> None:
    """Write another media rate into each entry of the first edit list of an MP4 or MOV file."""
    data = bytearray(path.read_bytes())
    start = data.index(b"elst") + 4
    version, count = data[start], struct.unpack_from(">I", data, start + 4)[0]
    step = 20 if version else 12
    for entry in range(count):
        at = start + 8 + step * (entry + 1) - 4
        struct.pack_into(">i", data, at, round(rate * 65536))
    path.write_bytes(bytes(data))


def cut_off(path: Path, share: float) -> Path:
    """The same file, without its end."""
    data = path.read_bytes()
    path.write_bytes(data[: int(share * len(data))])
    return path


def blot(path: Path, packet: int, length: int = 400) -> Path:
    """Overwrite the middle of one picture packet with zeros."""
    with av.open(str(path)) as container:
        packets = [p for p in container.demux(video=0) if p.size]
        place, size = packets[packet].pos or 0, packets[packet].size
    data = bytearray(path.read_bytes())
    begin = place + min(8, size // 4)
    end = min(place + size, begin + length)
    data[begin:end] = bytes(end - begin)
    path.write_bytes(bytes(data))
    return path
