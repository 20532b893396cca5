"""What a coach's library holds: golfers, their clips, what was read, said and practised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any


@dataclass(frozen=True, slots=True)
class Consent:
    """What a golfer, or the guardian of a minor, agreed to. Nothing until it is said."""

    analysis: bool = False
    """Clips may be read and kept."""
    sharing: bool = False
    """The golfer's page may be opened by a secret link."""
    reference: bool = False
    """Their swing may be shown to other golfers as a reference."""
    face: bool = False
    """Their face may be seen on what is shared."""
    minor: bool = False
    guardian: str = ""
    """Who agreed for a minor."""

    @property
    def shows_face(self) -> bool:
        """Whether name and face may be shown: for a minor only where a guardian agreed."""
        return self.face and (not self.minor or bool(self.guardian))


@dataclass(frozen=True, slots=True)
class Golfer:
    """Somebody who is taught."""

    id: str
    name: str
    hand: str | None = None
    """"right" or "left"; None where it is left to the clips."""
    stature_cm: float | None = None
    notes: str = ""
    consent: Consent = field(default_factory=Consent)
    created_at: datetime | None = None
    archived_at: datetime | None = None
    version: int = 1
    """Counts the changes: who saves over a newer one is refused."""


class ClipRole(StrEnum):
    """What a clip was sent for."""

    LESSON = "lesson"
    CHECK_IN = "check-in"
    REFERENCE = "reference"


@dataclass(frozen=True, slots=True)
class KeptClip:
    """A clip in the library; its content is in the vault under its checksum."""

    id: str
    golfer_id: str | None
    """None for a reference that belongs to nobody who is taught."""
    sha256: str
    name: str
    """As it came; never used as a path."""
    size: int
    role: ClipRole = ClipRole.LESSON
    view: str | None = None
    filmed_on: date | None = None
    spot: str = ""
    club: str = ""
    said: str = ""
    """What the golfer said with it."""
    created_at: datetime | None = None


class WorkState(StrEnum):
    """How far a reading has come."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Work:
    """One reading, asked for or done. Same key, same answer: it is never made twice."""

    key: str
    """Checksum of the clip's checksum, the engine's versions and the settings."""
    clip_sha256: str
    settings: Mapping[str, Any]
    state: WorkState
    reading_blob: str | None = None
    seen_blob: str | None = None
    error: str = ""
    attempts: int = 0
    created_at: datetime | None = None
    finished_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class KeptLesson:
    """A lesson as data, draft or sent."""

    id: str
    golfer_id: str
    clip_ids: tuple[str, ...]
    body: Mapping[str, Any]
    """Of schema `causeline.lesson/1`, with the coach's edits and rulings."""
    created_at: datetime | None = None
    sent_at: datetime | None = None
    version: int = 1


@dataclass(frozen=True, slots=True)
class Tick:
    """Practice that a golfer says was done."""

    id: str
    lesson_id: str
    drill: str
    day: date
    count: int = 0
    felt: str = ""


@dataclass(frozen=True, slots=True)
class CheckIn:
    """A golfer's clip after a lesson, with the checkpoint's answer and the coach's word."""

    id: str
    lesson_id: str
    clip_id: str
    day: date
    note: str = ""
    answer: Mapping[str, Any] = field(default_factory=dict)
    reply: str = ""
    created_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something in a library that is not as it should be, found by verifying it."""

    what: str
    """"missing", "damaged", "nobody's" or "dangling"."""
    subject: str
    detail: str
