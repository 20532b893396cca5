"""One clip, from file to reading: see it, judge what was seen, keep the moments' pictures."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from causeline.model.reading import Reading
from causeline.model.seen import Seen
from causeline.reading.doors import Doors, Found, Settings
from causeline.reading.follow import Report
from causeline.reading.judging import run_judging
from causeline.reading.pair import run_pairing
from causeline.reading.seeing import Stills, run_look, run_seeing, run_stills

__all__ = [
    "Doors",
    "Found",
    "Result",
    "Settings",
    "run_judging",
    "run_reading",
    "run_seeing",
    "run_stills",
]


@dataclass(frozen=True, slots=True, eq=False)
class Result:
    """A reading, and the pictures of its moments: for each swing, frame index to frame."""

    reading: Reading
    frames: tuple[Stills, ...]
    seen: Seen
    """What the reading was judged from."""


def run_reading(
    path: Path,
    doors: Doors,
    settings: Settings,
    report: Report,
    found: Found | None = None,
    beside: Path | None = None,
) -> Result:
    """Read every swing of a clip. `found` hears of the swings before they are read closely.

    `beside` is a clip of the same golfer from the other side: the body in three dimensions is then
    solved from both (`run_pairing`).

    Raises ClipError where the file cannot be read, NoPersonFound or NoSwingFound where it shows
    nothing to read, SettingError where a setting does not fit the clip.
    """
    look = run_look(path, doors, settings, report, found)
    if beside is None or doors.prior is None:
        reading = run_judging(look.seen, settings, look.tracks, doors.prior)
    else:
        seen = run_seeing(beside, doors, None, report)
        reading = run_pairing(look.seen, seen, doors.prior, settings)
    return Result(reading, look.stills, look.seen)
