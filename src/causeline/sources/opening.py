"""Opening a file so that nothing but this file is read."""

from __future__ import annotations

import hashlib
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from av.container import InputContainer
from av.stream import Disposition
from av.video.stream import VideoStream
from numpy.typing import NDArray

from causeline.errors import ClipTooLarge, ClipUnreadable, NotAVideo
from causeline.sources.boxes import Structure, decode_structure
from causeline.sources.faults import RESEND, WANTED, decode_faults
from causeline.sources.limits import Limits

_CONTAINERS = "mov,matroska,avi,mpegts,mpeg,flv,asf,ogg"
"""Containers that hold their frames themselves: no playlists, no lists of other files."""


@dataclass(frozen=True, slots=True)
class Film:
    """An open file and the stream of pictures in it."""

    container: InputContainer
    stream: VideoStream
    structure: Structure

    @property
    def indexed(self) -> bool:
        """The container keeps a stamp for each frame and can be entered at a key frame."""
        return self.container.format.name.startswith(("mov", "matroska"))

    def keys(self) -> NDArray[np.int64]:
        """Stamps at which key frames are decoded, as far as the container's index is known yet.

        They are shown then, or a few frames later.
        """
        entries = self.stream.index_entries
        return np.array([one.timestamp for one in entries if one.is_keyframe], dtype=np.int64)


def decode_name(path: Path) -> str:
    """The file's own name, safe to print: control characters and bytes beyond UTF-8 become �."""
    name = path.name or str(path)
    return "".join(letter if letter.isprintable() else "�" for letter in name)


def decode_checksum(path: Path) -> str:
    """SHA-256 of the file, read in pieces."""
    with decode_faults(decode_name(path)), path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@contextmanager
def decode_open(path: Path, limits: Limits) -> Iterator[Film]:
    """Open a file for decoding; every error inside comes out as the package's own."""
    name = decode_name(path)
    with decode_faults(name):
        _check_file(path, name, limits)
        structure = _structure(path, name)
        options = {
            "protocol_whitelist": "file",
            "format_whitelist": _CONTAINERS,
            "ignore_editlist": str(int(structure.slowed_by_edits)),
        }
        # An absolute path is never taken for the name of a protocol, as "data:x.mp4" would be.
        with av.open(
            str(path.absolute()), mode="r", options=options, metadata_errors="replace"
        ) as container:
            yield Film(container, _picture_stream(container, name), structure)


def _check_file(path: Path, name: str, limits: Limits) -> None:
    status = path.stat()
    if not stat.S_ISREG(status.st_mode):
        kind = "a folder" if stat.S_ISDIR(status.st_mode) else "not an ordinary file"
        raise ClipUnreadable(f"{name} is {kind}", WANTED, "give the path of the clip itself")
    if status.st_size == 0:
        raise NotAVideo(f"{name} is empty (0 bytes)", WANTED, RESEND)
    if status.st_size > limits.bytes:
        raise ClipTooLarge(
            f"{name} has {status.st_size} bytes",
            f"the limit is {limits.bytes}",
            "cut the clip to the swing, or raise the limit",
        )


def _structure(path: Path, name: str) -> Structure:
    structure = decode_structure(path)
    if structure.boxes and not structure.has_table:
        raise NotAVideo(
            f"{name} was cut off: the table of its frames (moov) is missing",
            "a complete MP4 or MOV file is expected",
            "copy it from the camera once more and wait until the copy is complete",
        )
    return structure


def _picture_stream(container: InputContainer, name: str) -> VideoStream:
    stream = container.streams.best("video")
    if not isinstance(stream, VideoStream) or stream.disposition & Disposition.attached_pic:
        held = "sound only" if container.streams.audio else "no pictures"
        raise NotAVideo(f"{name} holds {held}", WANTED, "send the film, not its sound")
    if stream.codec_context is None:
        raise NotAVideo(
            f"{name} holds pictures in a coding that this program cannot decode", WANTED, RESEND
        )
    return stream
