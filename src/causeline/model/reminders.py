"""If-then reminders in the golfer's own words, and mail that somebody agreed to."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from causeline.model.lesson import Golfer

WEEKDAYS = 7
LONGEST = 200
"""Letters of a cue or of an act."""


@dataclass(frozen=True, slots=True)
class Reminder:
    """`When {cue}, then {act}.`, as the golfer worded it."""

    id: str
    golfer: str
    lesson: str
    cue: str
    """Something that happens anyway: `I get home on Tuesday`."""
    act: str
    made_at: datetime
    weekday: int | None = None
    """0 Monday to 6 Sunday; None where the cue is tied to no day."""
    at: str = ""
    """`18:30` on the golfer's clock, for a calendar; empty where none is to ring."""
    withdrawn_at: datetime | None = None
    version: int = 0

    def __post_init__(self) -> None:
        if not self.cue.strip() or not self.act.strip():
            raise ValueError(
                f"got a reminder with cue {self.cue!r} and act {self.act!r}; expected words for "
                "both: say what happens anyway, and what then is done"
            )
        if max(len(self.cue), len(self.act)) > LONGEST:
            raise ValueError(
                f"got a reminder of many words; expected {LONGEST} letters each at most"
            )
        if self.weekday is not None and not 0 <= self.weekday < WEEKDAYS:
            raise ValueError(f"got weekday {self.weekday}; expected 0 (Monday) to 6 (Sunday)")
        if self.at:
            datetime.strptime(self.at, "%H:%M")


@dataclass(frozen=True, slots=True)
class Mailing:
    """An address that may be written to about one golfer, until somebody says stop."""

    id: str
    golfer: str
    address: str
    agreed_by: str
    agreed_at: datetime
    token: str
    """What an unsubscribe link holds; it can only stop the mail."""
    stopped_at: datetime | None = None


def agreed_alone(golfer: Golfer, by: str) -> bool:
    """Whether a junior agreed without a guardian: that is no agreement."""
    return golfer.junior and by.strip().casefold() == golfer.name.strip().casefold()


@dataclass(frozen=True, slots=True)
class Letter:
    """One mail, ready to be set."""

    key: str
    """The same letter has the same key: it is sent once."""
    golfer: str
    to: str
    subject: str
    lines: tuple[str, ...]
    language: str
    stop_at: str = ""
    """Address of the page that stops the mail; empty where the coach hosts none."""
    calendar: bytes = field(default=b"", repr=False)
    """A calendar file to go with it; empty for none."""
