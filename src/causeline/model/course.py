"""One golfer's way with their lessons, and what they ask of a coach's morning."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from causeline.model.lesson import Lesson
from causeline.model.library import CheckIn, ClipEntry, GolferEntry, Tick
from causeline.model.progress import NextCause, Standing, Swung


@dataclass(frozen=True, slots=True)
class Case:
    """One lesson, with everything that is known of what came before it and since."""

    lesson_id: str
    """Its entry in the library."""
    title: str
    lesson: Lesson
    swings: tuple[Swung, ...]
    """All of the golfer, in any order."""
    ticks: tuple[Tick, ...]
    """Those for this lesson."""
    now: datetime
    since: date | None = None
    """Day of the lesson before: what was filmed up to then is another golfer's swing by now."""


@dataclass(frozen=True, slots=True)
class Course:
    """One golfer on their way: each lesson that was sent, and everything since."""

    entry: GolferEntry
    now: datetime
    cases: tuple[Case, ...]
    """One for each lesson, the newest first."""
    standings: tuple[Standing, ...]
    check_ins: tuple[CheckIn, ...]
    """The newest first."""
    ticks: tuple[Tick, ...]
    clips: tuple[ClipEntry, ...]
    drafts: int = 0
    """Lessons that were made and not sent."""
    next_cause: NextCause | None = None
    """What comes first now; looked for only where the newest lesson is done with."""

    @property
    def standing(self) -> Standing | None:
        """With the newest lesson; None where none was sent."""
        return self.standings[0] if self.standings else None

    @property
    def today(self) -> date:
        """As the golfer's clock has it."""
        return self.now.astimezone(self.zone).date()

    @property
    def zone(self) -> ZoneInfo:
        """The golfer's."""
        return ZoneInfo(self.entry.golfer.time_zone)

    @property
    def last_sign(self) -> date | None:
        """Day of the golfer's newest tick, check-in or clip."""
        at = [
            *(tick.ticked_at for tick in self.ticks),
            *(one.sent_at for one in self.check_ins),
            *(clip.added_at for clip in self.clips),
        ]
        return max(at).astimezone(self.zone).date() if at else None


class Matter(StrEnum):
    """What a golfer asks of the coach's morning, the most pressing first."""

    ANSWER = "checked in"
    MOVE_ON = "ready to move on"
    REAL = "really changed"
    OTHERWISE = "changed otherwise"
    QUIET = "gone quiet"
    DUE = "due"
    UNSURE = "not told apart"
    GOING = "practising"


@dataclass(frozen=True, slots=True)
class Item:
    """One matter of one golfer."""

    matter: Matter
    course: Course
    days: int = 0
    """How long it has been so; of a day to come, negative."""
    check_in: CheckIn | None = None
    next_cause: NextCause | None = None
