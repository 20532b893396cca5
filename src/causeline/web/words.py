"""Words of the workbench that more than one page needs."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from causeline.model.clip import View
from causeline.model.findings import ClubSort
from causeline.model.library import ClipCard, ClipEntry, State

STATE_WORDS = {
    None: "not asked for",
    State.WAITING: "waits to be read",
    State.WORKING: "is being read",
    State.READY: "read",
    State.REFUSED: "cannot be read",
    State.FAILED: "failed",
}
VIEW_CHOICES = (
    ("", "as the pictures show"),
    (View.FACE_ON.value, "face-on"),
    (View.DOWN_THE_LINE.value, "down the line"),
)
CLUB_CHOICES = (("", "not said"), *((club.value, club.value) for club in ClubSort))


def count_of(number: int, thing: str) -> str:
    """`1 clip`, `2 clips`."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def day_words(day: date) -> str:
    """`Monday 6 April 2026`."""
    return f"{day:%A} {day.day} {day:%B %Y}"


def short_day(day: date) -> str:
    """`6 Apr 2026`."""
    return f"{day.day} {day:%b %Y}"


def clip_day(clip: ClipEntry, zone: str = "UTC") -> date:
    """When a clip was filmed; when it came, where that is not known."""
    return clip.filmed_on or local_day(clip.added_at, zone)


def local_day(instant: datetime, zone: str) -> date:
    """The day of an instant where somebody lives; in UTC where their time zone is unknown."""
    try:
        return instant.astimezone(ZoneInfo(zone)).date()
    except (KeyError, ValueError, OSError):
        return instant.date()


def state_of(card: ClipCard) -> State | None:
    """How far the newest reading of a clip is."""
    return card.reading.state if card.reading else None


def name_or_none(text: str) -> str | None:
    """A field's text; None where nothing was written."""
    return text.strip() or None
