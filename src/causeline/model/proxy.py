"""A swing's pictures made ready to be shown one by one, and which frames of the clip they are."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from causeline.model.library import Content

PROXY_FORMAT = "causeline.proxy/1"


@dataclass(frozen=True, slots=True)
class Proxy:
    """A film of one swing in which each frame stands by itself, in display orientation.

    The frame at place k of the film is frame `frames[k]` of the clip, taken at `stamps[k]` of the
    clip's own `time_base`. Frames that do not decode are not there.
    """

    sha256: str
    """Of the clip."""
    first_frame: int
    last_frame: int
    width: int
    height: int
    """Of the film; of the clip's pictures it shows all but, where a side is odd, its last line."""
    places_hz: int
    """Frames in a second of the film: place k has the stamp k / `places_hz` seconds."""
    frames: tuple[int, ...]
    stamps: tuple[int, ...]
    time_base: Fraction

    def __post_init__(self) -> None:
        rises = all(later > earlier for earlier, later in pairwise(self.frames))
        if not self.frames or len(self.frames) != len(self.stamps) or not rises:
            raise ValueError(
                f"got {len(self.frames)} frames and {len(self.stamps)} stamps; expected as many of "
                "both, at least one, rising"
            )

    def plain(self) -> Content:
        """As JSON keeps it."""
        return {
            "format": PROXY_FORMAT,
            "sha256": self.sha256,
            "first_frame": self.first_frame,
            "last_frame": self.last_frame,
            "width": self.width,
            "height": self.height,
            "places_hz": self.places_hz,
            "frames": list(self.frames),
            "stamps": list(self.stamps),
            "time_base": str(self.time_base),
        }

    @classmethod
    def of(cls, plain: Content) -> Proxy:
        """From what JSON kept. Raises ValueError or KeyError for what is none."""
        if plain["format"] != PROXY_FORMAT:
            raise ValueError(f"got a proxy of format {plain['format']!r}; expected {PROXY_FORMAT}")
        return cls(
            sha256=plain["sha256"],
            first_frame=plain["first_frame"],
            last_frame=plain["last_frame"],
            width=plain["width"],
            height=plain["height"],
            places_hz=plain["places_hz"],
            frames=tuple(plain["frames"]),
            stamps=tuple(plain["stamps"]),
            time_base=Fraction(plain["time_base"]),
        )
