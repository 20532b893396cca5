"""Signing in, one's own account, the coaches, and what was done."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import BaseModel, ConfigDict


@dataclass(frozen=True, slots=True)
class SignIn:
    """The page that asks who comes."""

    to: str
    """Where it goes on to; an address here."""
    name: str
    wrong: str
    """What went wrong, in a sentence; empty at first."""


@dataclass(frozen=True, slots=True)
class Welcome:
    """Where an invited coach sets a password."""

    at: str
    name: str
    shortest: int
    wrong: str


@dataclass(frozen=True, slots=True)
class KeyLine:
    """One passkey."""

    id: str
    name: str
    made: str
    used: str


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One browser that is signed in."""

    since: str
    seen: str
    this: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several, and whether it is taken."""

    value: str
    name: str
    taken: bool


@dataclass(frozen=True, slots=True)
class Me:
    """One's own account."""

    name: str
    mail: str
    version: int
    role: str
    locked: bool
    """Whether this library asks who comes."""
    has_password: bool
    shortest: int
    keys: tuple[KeyLine, ...]
    may_have_keys: bool
    """Browsers allow passkeys only where the address is a name, by https or on this machine."""
    sessions: tuple[SessionLine, ...]
    stands: tuple[Choice, ...]
    """For whom one may be at work; empty for who sees only their own golfers."""
    administers: bool
    said: str
    wrong: str


@dataclass(frozen=True, slots=True)
class CoachLine:
    """One coach of the academy."""

    id: str
    name: str
    mail: str
    active: bool
    signs_in: str
    """How, in words."""
    golfers: int
    roles: tuple[Choice, ...]
    me: bool


@dataclass(frozen=True, slots=True)
class Coaches:
    """Every coach."""

    lines: tuple[CoachLine, ...]
    invited: str
    """Name of who was invited just now; empty where nobody was."""
    link: str
    """The invitation's address, shown this once."""
    wrong: str


@dataclass(frozen=True, slots=True)
class DoneLine:
    """One thing that was done."""

    at: str
    who: str
    what: str
    about: str


@dataclass(frozen=True, slots=True)
class Done:
    """What was done, the newest first."""

    lines: tuple[DoneLine, ...]
    more: bool


class PasskeyAnswer(BaseModel):
    """What a browser's authenticator gave, as the web platform's `toJSON` has it."""

    model_config = ConfigDict(frozen=True)
    credential: dict[str, object]
    name: str = ""


class PasskeyOptions(BaseModel):
    """What the browser's authenticator is asked, as the web platform reads it from JSON."""

    model_config = ConfigDict(frozen=True)
    options: dict[str, object]


class GoOn(BaseModel):
    """Where the browser goes next."""

    model_config = ConfigDict(frozen=True)
    to: str
