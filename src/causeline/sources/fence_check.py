"""Whether this machine can decode what phones write, and shut a decoder in."""

from __future__ import annotations

from pathlib import Path

from av.codec import Codec
from av.codec.codec import UnknownCodecError

from causeline.errors import ClipError, ClipNotFound
from causeline.sources.fence import FencedClips

PHONES = ("h264", "hevc", "vp9", "av1", "mjpeg", "prores")
_NOWHERE = Path("/nowhere/swing.mp4")


def decode_missing_codecs() -> tuple[str, ...]:
    """What of `PHONES` cannot be decoded here."""
    return tuple(name for name in PHONES if not _known(name))


def decode_fence_holds() -> bool:
    """Whether a decoder has no network; raises ClipError where none can be started at all."""
    with FencedClips() as clips:
        try:
            clips.probe(_NOWHERE)
        except ClipNotFound:
            return clips.without_network()
        raise ClipError(f"{_NOWHERE} was found", "a file that is not there was expected")


def _known(name: str) -> bool:
    try:
        return Codec(name, "r") is not None
    except UnknownCodecError:
        return False
