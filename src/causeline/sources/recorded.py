"""When a film was recorded, by the container's own word.

What is read, and on whose word:

- `com.apple.quicktime.creationdate`: the local time of recording with its distance from UTC (the
  metadata key `creationDate` of Apple's AVFoundation); it stays when a phone exports the film.
- `creation_time`: the movie header's, seconds since 1904 in UTC (ISO/IEC 14496-12, 8.2.2);
  recorders and editors write it, and some write the hour of the place instead (from memory): then
  the day is wrong by one at most, around midnight.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime

KEYS = ("com.apple.quicktime.creationdate", "creation_time")
"""The better one first."""
EARLIEST = datetime(2005, 1, 1, tzinfo=UTC)
"""A clock that was never set says 1904, 1970 or 2000; phones that film came later (judged)."""


def decode_recorded(tags: Mapping[str, str]) -> datetime | None:
    """The instant, aware of its zone; None where the file does not say, or cannot be believed."""
    for key in KEYS:
        found = _instant(tags.get(key, ""))
        if found is not None and found >= EARLIEST:
            return found
    return None


def _instant(text: str) -> datetime | None:
    try:
        found = datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    return found if found.tzinfo is not None else found.replace(tzinfo=UTC)
