"""Who may sign in and do what, how long things are kept, and what was made to be shown or shared.

Secrets are never in these records: of a password a slow hash is kept, of a session or an invitation
a hash of its random secret, of a passkey the public half.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from causeline.model.library import Content


class Role(StrEnum):
    """What a coach may see and do; each holds what stands above it."""

    OWN = "own golfers"
    ALL = "all golfers"
    ADMINISTRATION = "administration"
    """Coaches, retention and the audit too."""


@dataclass(frozen=True, slots=True)
class Account:
    """How a coach signs in."""

    coach: str
    role: Role
    secret: str
    """The password's hash, in the form of the Argon2 reference; empty where there is none."""
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class Passkey:
    """A key that a coach's own device holds; only its public half is here."""

    id: str
    coach: str
    credential: str
    """The key's name, base64url."""
    public_key: str
    """COSE, base64url."""
    sign_count: int
    name: str
    made_at: datetime
    used_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Session:
    """One browser that is signed in."""

    id: str
    coach: str
    made_at: datetime
    seen_at: datetime
    rotated_at: datetime
    ends_at: datetime


@dataclass(frozen=True, slots=True)
class Invite:
    """A link, good once, by which a coach sets a password."""

    id: str
    coach: str
    made_at: datetime
    ends_at: datetime
    used_at: datetime | None = None


class Kept(StrEnum):
    """What a rule of retention speaks of."""

    CLIP = "clips"
    READING = "readings"
    LESSON = "lessons"
    PRACTICE = "practice"
    """Ticks and check-ins."""
    GOLFER = "golfers"
    """With everything about them, counted from the last thing that happened."""
    AUDIT = "audit"


@dataclass(frozen=True, slots=True)
class Retention:
    """How many days something is kept."""

    kind: Kept
    days: int
    set_at: datetime
    set_by: str


class Make(StrEnum):
    """What was made of a clip or a lesson, and can be made again."""

    PROXY = "proxy"
    STILL = "still"
    FILM = "film"
    PAGE = "page"
    PRINT = "print"
    MEASURES = "measures"
    """Of a reading, without its tracks."""
    READING = "reading"
    """Of a clip, its body solved together with another clip's."""


@dataclass(frozen=True, slots=True)
class Made:
    """A file that was made of a clip or for a lesson; deleting what it was made of deletes it."""

    key: str
    """Of how it was made: the same recipe is made once. 64 hexadecimal digits."""
    kind: Make
    content: Content
    """Whatever belongs to it, such as the table of stamps."""
    file_key: str
    made_at: datetime
    sha256: str | None = None
    """Of the clip that it shows."""
    golfer: str | None = None
    lesson: str | None = None
    shared: bool = False
    """It leaves the coach's desk: it goes when sharing is withdrawn."""
    face: bool = True
    """It may show a face: it goes, if shared, when that is withdrawn."""
