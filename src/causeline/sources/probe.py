"""What a clip is: its stamps, size and turn, with no more than one picture decoded."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import numpy as np
from av.video.frame import VideoFrame

from causeline.errors import ClipTooLarge, NoFrames, NotAVideo
from causeline.model.clip import Clip
from causeline.quantities.clock import Clock
from causeline.sources.faults import RESEND, WANTED
from causeline.sources.limits import Limits
from causeline.sources.opening import Film, decode_checksum, decode_name, decode_open
from causeline.sources.packets import decode_packet, decode_packets, decode_whole_frames
from causeline.sources.recorded import decode_recorded
from causeline.sources.stamps import decode_stamps
from causeline.sources.timescale import decode_time_scale
from causeline.sources.turning import decode_turn

_INTERLACED = (2, 3, 4, 5)
"""Field orders of the library (`AVFieldOrder`) in which a frame is two fields."""
_ODDEST_PIXEL = 4
"""A pixel more than this many times as long as wide is a slip of the file, and taken as square."""
_CUT = "cut the clip to the swing, or raise the limit"


@dataclass(slots=True)
class _Found:
    """What one pass over the packets shows."""

    stamps: list[int | None] = field(default_factory=list)
    first: VideoFrame | None = None
    damaged: int = 0


def decode_clip(path: Path, limits: Limits) -> Clip:
    """Read what a clip is. Cheap: the packets are walked, and only the first picture decoded.

    Containers without a stamp for each frame (AVI, MPEG-TS) and interlaced films are decoded
    once, so that there too the stamps are those of the frames that come later.
    """
    name = decode_name(path)
    with decode_open(path, limits) as film:
        _check_size(film, name, limits)
        interlaced = film.stream.codec_context.field_order in _INTERLACED
        counted = film.indexed and not interlaced
        found = _walk(film) if counted else _decode_all(film, name, limits)
        _check_found(found, film, name, limits)
        return _clip(film, found, path)


def _walk(film: Film) -> _Found:
    found, read, broken = _Found(), 0, 0
    for packet in decode_packets(film):
        read += 1
        broken += packet.is_corrupt
        if not packet.is_corrupt and not packet.is_discard:
            found.stamps.append(packet.pts)
        if found.first is None and not packet.is_corrupt:
            found.first = next(iter(decode_packet(film, packet) or ()), None)
    if found.first is None:
        found.first = next(iter(decode_packet(film, None) or ()), None)
    cut = broken or read < len(film.stream.index_entries)
    found.damaged = max(broken, _beyond_the_end(film)) if cut else 0
    found.stamps.sort(key=lambda stamp: (stamp is None, stamp or 0))
    return found


def _beyond_the_end(film: Film) -> int:
    """Frames that the index places where the file no longer is."""
    size = film.container.size
    return sum(entry.pos + entry.size > size for entry in film.stream.index_entries)


def _decode_all(film: Film, name: str, limits: Limits) -> _Found:
    found = _Found()
    for frame in decode_whole_frames(film):
        if found.first is None:
            found.first = frame
            _check_pixels(frame.width, frame.height, name, limits)
        found.stamps.append(frame.pts)
    return found


def _check_size(film: Film, name: str, limits: Limits) -> None:
    _check_pixels(film.stream.width, film.stream.height, name, limits)
    _check_length((film.container.duration or 0) / 1e6, name, limits)


def _check_pixels(width: int, height: int, name: str, limits: Limits) -> None:
    if width * height > limits.pixels:
        raise ClipTooLarge(
            f"{name} has frames of {width} × {height} pixels",
            f"the limit is {limits.pixels} pixels",
            "export it at 4K or smaller, or raise the limit",
        )


def _check_length(seconds: float, name: str, limits: Limits) -> None:
    if seconds > limits.seconds:
        raise ClipTooLarge(
            f"{name} plays for {seconds:.0f} s", f"the limit is {limits.seconds:.0f} s", _CUT
        )


def _check_found(found: _Found, film: Film, name: str, limits: Limits) -> None:
    if found.first is None or not found.stamps:
        raise NoFrames(
            f"{name} holds a film of which not one frame can be decoded"
            f" ({film.stream.codec_context.name}, {len(found.stamps)} frames listed)",
            WANTED,
            RESEND,
        )
    _check_pixels(found.first.width, found.first.height, name, limits)
    if len(found.stamps) == 1:
        raise NotAVideo(
            f"{name} holds a single still picture", WANTED, "send the film, not a photo of it"
        )
    known = [stamp for stamp in found.stamps if stamp is not None]
    span = (max(known, default=0) - min(known, default=0)) * (film.stream.time_base or 0)
    _check_length(float(span), name, limits)


def _clip(film: Film, found: _Found, path: Path) -> Clip:
    assert found.first is not None  # noqa: S101 - `_check_found` refuses it
    mended = decode_stamps(found.stamps)
    clock = Clock(mended.stamps, film.stream.time_base or Fraction(1, 1000))
    tags = {**film.stream.metadata, **film.container.metadata}
    scale, scale_from = decode_time_scale(tags, clock.file_rate_hz, film.structure.slowed_by_edits)
    width, height = _upright_size(found.first, film)
    return Clip(
        name=decode_name(path),
        sha256=decode_checksum(path),
        width=width,
        height=height,
        clock=clock.scaled(scale),
        rotation_deg=decode_turn(found.first).clockwise_deg,
        codec=film.stream.codec_context.codec.canonical_name,
        time_scale_from=scale_from,
        repeated=np.zeros(len(clock), dtype=bool),
        damaged=found.damaged,
        has_audio=any(sound.codec_context is not None for sound in film.container.streams.audio),
        mended=mended.mended,
        recorded_at=decode_recorded(tags),
    )


def _upright_size(frame: VideoFrame, film: Film) -> tuple[int, int]:
    """Width and height in square pixels after the turn; oblong pixels change the width."""
    pixel = film.stream.sample_aspect_ratio or Fraction(1)
    if not Fraction(1, _ODDEST_PIXEL) <= pixel <= _ODDEST_PIXEL:
        pixel = Fraction(1)
    size = (max(1, round(frame.width * pixel)), frame.height)
    return size[::-1] if decode_turn(frame).exchanged else size
