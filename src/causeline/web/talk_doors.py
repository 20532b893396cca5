"""What only the wiring can build for the film of a talk-through."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from causeline.model.clip import Picture, Sound


@dataclass(frozen=True, slots=True)
class TalkDoors:
    """Sound in, film out."""

    voice: Callable[[Path], Sound]
    """The samples of a recorded voice, decoded behind the fence; raises ClipError."""
    encode: Callable[[Iterator[tuple[int, Picture]], int, Sound | None], bytes]
    """Pictures with their milliseconds, how long all lasts, and the voice, as a film."""
