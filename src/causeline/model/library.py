"""What a coach's library holds: golfers, clips, readings, lessons and what came of them.

Each record is one row; `id` is 32 hexadecimal digits, made with `new_id`. A record with a `version`
is saved over the version that was loaded, never over a newer one; 0 is one that was not saved yet.
Instants have a time zone. Files are named by their key in the vault, the SHA-256 of their content.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort
from causeline.model.lesson import Golfer

Content = Mapping[str, Any]
"""Plain data, as JSON holds it."""


def new_id() -> str:
    """A name that nothing else has."""
    return uuid.uuid4().hex


class Purpose(StrEnum):
    """What a golfer, or a guardian, agrees to."""

    ANALYSIS = "analysis"
    SHARING = "sharing"
    REFERENCE = "reference"
    """Shown to other golfers as an example."""
    FACE = "face"
    """The face is shown on what is shared."""


class State(StrEnum):
    """How far a reading is."""

    WAITING = "waiting"
    WORKING = "working"
    READY = "ready"
    REFUSED = "refused"
    """The clip cannot be read, or shows no swing; trying again would say the same."""
    FAILED = "failed"
    """Something other than the clip went wrong; it may be asked for again."""


class Touch(StrEnum):
    """What a person changed of a reading."""

    RULING = "ruling"
    JOINT = "joint"
    CLUB = "club"
    MOMENT = "moment"
    CALL = "call"
    """The view or the hand."""
    PAIR = "pair"
    """Which swing from the other side is the same one, or that none is."""


class Kind(StrEnum):
    """What is attached to a clip or a lesson."""

    DRAWING = "drawing"
    TALK_THROUGH = "talk-through"
    PICTURE = "picture"


@dataclass(frozen=True, slots=True)
class Coach:
    """Who teaches."""

    id: str
    name: str
    mail: str = ""
    active: bool = True
    version: int = 0


@dataclass(frozen=True, slots=True)
class GolferEntry:
    """A golfer in a coach's care."""

    id: str
    coach: str
    golfer: Golfer
    guardian: str = ""
    """Who speaks for a junior."""
    guardian_mail: str = ""
    note: str = ""
    archived: bool = False
    since: date | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class Consent:
    """One purpose that was agreed to, and until when."""

    id: str
    golfer: str
    purpose: Purpose
    given_by: str
    given_at: datetime
    withdrawn_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ClipEntry:
    """One golfer's clip; its file is in the vault under `sha256`."""

    id: str
    golfer: str
    sha256: str
    name: str
    """The file's own name, to show; never a path."""
    size: int
    added_at: datetime
    view: View | None = None
    """None until somebody says, or a reading called it."""
    club: ClubSort | None = None
    capture_hz: float | None = None
    filmed_on: date | None = None
    said: str = ""
    """What the golfer wrote with it."""
    version: int = 0


@dataclass(frozen=True, slots=True)
class ReadingEntry:
    """One reading that was asked for: the same key is never worked on twice."""

    id: str
    key: str
    """Of the clip, the engine's versions and the settings: the same key has the same answer."""
    sha256: str
    """Of the clip."""
    settings: Content
    engine: Content
    state: State
    asked_at: datetime
    done_at: datetime | None = None
    seen_key: str | None = None
    """Of the file of what was seen, in the vault."""
    reading_key: str | None = None
    """Of the reading file, in the vault; there where the state is ready, and only then."""
    error: str = ""
    stage: str = ""
    done: int = 0
    total: int = 0
    """Steps of the stage, for who waits."""
    tries: int = 0
    claim: str = ""
    """Who works on it: host, boot, process, its start, and a token of its own."""
    beat: int = 0
    """Grows while somebody works on it; no clock is trusted for that."""
    first_look: Content | None = None
    """How the clip is filmed, as far as a first look tells; None before that."""


@dataclass(frozen=True, slots=True)
class SwingEntry:
    """One swing of a reading, for lists: the rest is in the reading file."""

    reading: str
    number: int
    """From 1."""
    first_frame: int
    last_frame: int
    rehearsal: bool
    view: View
    hand: Hand
    cause: str | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """A ruling or a correction by a person, kept whether or not it still holds."""

    id: str
    clip: str
    swing: int
    touch: Touch
    content: Content
    by: str
    made_at: datetime
    withdrawn_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class LessonEntry:
    """A lesson as it stands."""

    id: str
    golfer: str
    coach: str
    title: str
    content: Content
    made_at: datetime
    changed_at: datetime
    sent_at: datetime | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class LessonVersion:
    """A lesson as it once stood: each save keeps one."""

    lesson: str
    version: int
    title: str
    content: Content
    by: str
    saved_at: datetime


@dataclass(frozen=True, slots=True)
class Attachment:
    """Drawings, a talk-through, a picture: data, and a file where there is one."""

    id: str
    golfer: str
    kind: Kind
    content: Content
    made_at: datetime
    lesson: str | None = None
    clip: str | None = None
    file_key: str | None = None
    version: int = 0


@dataclass(frozen=True, slots=True)
class Tick:
    """One practice that was done."""

    id: str
    golfer: str
    lesson: str
    session: str
    """The practice session's uid."""
    ticked_at: datetime
    drill: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class CheckIn:
    """What a golfer sends after a lesson, and what the coach answers."""

    id: str
    golfer: str
    sent_at: datetime
    lesson: str | None = None
    clip: str | None = None
    felt: str = ""
    answer: str = ""
    answered_at: datetime | None = None
    outcome: Content | None = None
    """What its clip said of the checkpoint (`model.practice.Outcome` as plain data); None until
    the clip is read, or without one."""
    version: int = 0


@dataclass(frozen=True, slots=True)
class Reference:
    """A swing that the coach keeps to compare with."""

    id: str
    coach: str
    clip: str
    swing: int
    title: str
    added_at: datetime
    view: View | None = None
    hand: Hand | None = None
    club: ClubSort | None = None
    tags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Link:
    """A secret address of a golfer's page. Only a hash of the secret is kept."""

    id: str
    golfer: str
    made_at: datetime
    lesson: str | None = None
    withdrawn_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class AuditLine:
    """Who did what, when; ids only, so that it may outlive those it speaks of."""

    at: datetime
    who: str
    what: str
    about: str
    detail: Content = field(default_factory=dict)
    id: int = 0
    """In order; 0 until it is saved."""


@dataclass(frozen=True, slots=True)
class ClipCard:
    """A clip in a list, with how far its newest reading is."""

    entry: ClipEntry
    reading: ReadingEntry | None
    swings: tuple[SwingEntry, ...]


@dataclass(frozen=True, slots=True)
class GolferCard:
    """A golfer in a list."""

    entry: GolferEntry
    clips: int
    lessons: int
    last_clip_at: datetime | None
    waiting: int
    """Check-ins without an answer."""
