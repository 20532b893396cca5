"""Proxies: a swing's frames made ready to be shown one by one, once for each clip and window.

A phone's clip may be 10-bit HEVC, seconds from key frame to key frame, turned, of uneven rate: no
browser steps through that exactly. The original stays; this is what the bench looks at.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Protocol

from causeline.errors import NoFrames, OutputError
from causeline.model.clip import Clip, Picture
from causeline.model.proxy import PROXY_FORMAT, Proxy
from causeline.model.seams import ClipSource
from causeline.reading.follow import Report

LONGEST_SIDE = 1920
"""Pixels of a proxy's longer side at most: more than a coach's screen shows of a swing."""


class ProxyShelf(Protocol):
    """Where clips are, and where proxies are kept; see `store.library_proxies`."""

    def clip(self, sha256: str) -> AbstractContextManager[Path]:
        """The clip as a file."""

    def proxy(self, key: str) -> Proxy | None:
        """The proxy of that recipe; None where it was not made, or its file is gone."""

    def keep_proxy(self, key: str, proxy: Proxy, film: Path) -> None:
        """Keep a proxy with its film. Raises OutputError where there is no room."""


@dataclass(frozen=True, slots=True)
class ProxyDoors:
    """What decodes, and what writes the film: (pictures, path) → (count, width, height)."""

    source: Callable[[], AbstractContextManager[ClipSource]]
    encode: Callable[[Iterator[Picture], Path], tuple[int, int, int]]
    places_hz: int


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which frames of which clip: both ends belong to the swing's window."""

    sha256: str
    first_frame: int
    last_frame: int

    @property
    def key(self) -> str:
        """The same recipe has the same key."""
        parts = [PROXY_FORMAT, self.sha256, self.first_frame, self.last_frame, LONGEST_SIDE]
        return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


def run_proxy(
    shelf: ProxyShelf, doors: ProxyDoors, wanted: Wanted, report: Report | None = None
) -> Proxy:
    """The proxy of one swing: the kept one, or one that is made now and kept.

    Raises ClipError where the clip cannot be read, NoFrames where none of the window decodes,
    OutputError where there is no room.
    """
    known = shelf.proxy(wanted.key)
    if known is not None:
        return known
    with (
        shelf.clip(wanted.sha256) as path,
        TemporaryDirectory(prefix="causeline-") as folder,
        doors.source() as source,
    ):
        film = Path(folder) / "proxy.mp4"
        proxy = _made((path, film), doors, source, wanted, report or _quiet)
        shelf.keep_proxy(wanted.key, proxy, film)
    return proxy


def _made(
    paths: tuple[Path, Path],
    doors: ProxyDoors,
    source: ClipSource,
    wanted: Wanted,
    report: Report,
) -> Proxy:
    """From the clip to the film, at these paths."""
    path, film = paths
    clip = source.probe(path)
    window = range(wanted.first_frame, wanted.last_frame + 1)
    came: list[int] = []

    def pictures() -> Iterator[Picture]:
        for frame in source.frames(path, clip, window, LONGEST_SIDE):
            came.append(frame.index)
            report("Making the pictures ready", len(came), len(window))
            yield frame.picture

    try:
        _, width, height = doors.encode(pictures(), film)
    except ValueError as error:
        raise NoFrames(
            f"no frame from {window.start} to {window.stop - 1} of {clip.name} decodes",
            "a swing's frames were expected",
            "send the clip again",
        ) from error
    except OSError as error:
        raise OutputError(
            f"the pictures of {clip.name} could not be written: {(error.strerror or '').lower()}",
            "nothing of them was kept",
            "make room, then open the swing again",
        ) from error
    return _proxy(clip, wanted, came, (width, height), doors.places_hz)


def _proxy(
    clip: Clip, wanted: Wanted, came: list[int], size: tuple[int, int], places_hz: int
) -> Proxy:
    return Proxy(
        wanted.sha256,
        wanted.first_frame,
        wanted.last_frame,
        *size,
        places_hz,
        frames=tuple(came),
        stamps=tuple(int(clip.clock.stamps[index]) for index in came),
        time_base=clip.clock.time_base,
    )


def _quiet(stage: str, done: int, total: int) -> None:
    """Report nothing."""
