"""The little of an MP4 or MOV file's structure that the video library does not pass on.

Box layout: ISO/IEC 14496-12, section 4.2. Edit list: "Edit list atom" and "Edit list table" in
Apple's QuickTime File Format (developer.apple.com/documentation/quicktime-file-format).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

_FIRST = (b"ftyp", b"moov", b"mdat", b"wide", b"free", b"skip")
_MOST_EDITS = 4096


@dataclass(frozen=True, slots=True)
class Structure:
    """What the boxes say. All of it is empty for a file that is not made of boxes."""

    boxes: bool = False
    has_table: bool = False
    """The table of frames (`moov`) is there; a file that was cut off often lacks it."""
    edit_rates: tuple[float, ...] = ()
    """Rate of play of each edit of the picture track; 1 where nothing is slowed."""

    @property
    def slowed_by_edits(self) -> bool:
        """An edit asks for another rate than 1."""
        return any(abs(rate - 1.0) > 1e-3 for rate in self.edit_rates)


@dataclass(frozen=True, slots=True)
class _Box:
    kind: bytes
    start: int
    end: int


def decode_structure(path: Path) -> Structure:
    """Read the box structure of an MP4 or MOV file; any other file gives an empty record."""
    with path.open("rb") as file:
        size = file.seek(0, 2)
        top = list(_boxes(file, 0, size))
        if not top or top[0].kind not in _FIRST:
            return Structure()
        tables = [box for box in top if box.kind == b"moov"]
        rates = _edit_rates(file, tables[0]) if tables else ()
        return Structure(boxes=True, has_table=bool(tables), edit_rates=rates)


def _boxes(file: BinaryIO, start: int, end: int) -> Iterator[_Box]:
    while start + 8 <= end:
        file.seek(start)
        head = file.read(16)
        size, kind, begin = int.from_bytes(head[:4]), head[4:8], start + 8
        if size == 1 and len(head) == 16:
            size, begin = int.from_bytes(head[8:]), start + 16
        elif size == 0:
            size = end - start
        if size < begin - start:
            return
        yield _Box(kind, begin, min(start + size, end))
        start += size


def _inside(file: BinaryIO, box: _Box, *path: bytes) -> _Box | None:
    for kind in path:
        found = next((b for b in _boxes(file, box.start, box.end) if b.kind == kind), None)
        if found is None:
            return None
        box = found
    return box


def _edit_rates(file: BinaryIO, table: _Box) -> tuple[float, ...]:
    for track in _boxes(file, table.start, table.end):
        if track.kind != b"trak" or _handler(file, track) != b"vide":
            continue
        edits = _inside(file, track, b"edts", b"elst")
        return _rates(file, edits) if edits else ()
    return ()


def _handler(file: BinaryIO, track: _Box) -> bytes:
    box = _inside(file, track, b"mdia", b"hdlr")
    if box is None:
        return b""
    file.seek(box.start + 8)
    return file.read(4)


def _rates(file: BinaryIO, edits: _Box) -> tuple[float, ...]:
    file.seek(edits.start)
    data = file.read(min(edits.end - edits.start, 8 + 20 * _MOST_EDITS))
    wide = data[:1] == b"\x01"
    step, width = (20, 8) if wide else (12, 4)
    count = min(int.from_bytes(data[4:8]), (len(data) - 8) // step)
    rows = (data[8 + step * i : 8 + step * (i + 1)] for i in range(count))
    return tuple(
        int.from_bytes(row[2 * width :], signed=True) / 65536
        for row in rows
        if int.from_bytes(row[width : 2 * width], signed=True) != -1
    )
