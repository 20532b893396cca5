"""Clips on their way in."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import BaseModel, ConfigDict

from causeline.web.contract.golfers import Choice


class SwingTold(BaseModel):
    """One swing of a clip that is read."""

    model_config = ConfigDict(frozen=True)

    at: str
    words: str
    cause: str


class ClipTold(BaseModel):
    """One clip, and how far its reading is."""

    model_config = ConfigDict(frozen=True)

    id: str
    name: str
    golfer: str
    golfer_at: str
    picture: str
    state: str
    state_words: str
    stage: str
    done: int
    total: int
    why: str
    swings: tuple[SwingTold, ...]
    advice: tuple[str, ...]
    """How to film better, as far as the file alone tells, or a first look; while it is read."""


class ArrivalsTold(BaseModel):
    """The clips that came last."""

    model_config = ConfigDict(frozen=True)

    clips: tuple[ClipTold, ...]


class CameTold(BaseModel):
    """What became of one file that was sent."""

    model_config = ConfigDict(frozen=True)

    clip: ClipTold
    same: bool
    """It was here before, byte for byte: nothing was added."""


@dataclass(frozen=True, slots=True)
class Lost:
    """A file that was not taken, and why."""

    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Arrived:
    """A file that was taken."""

    name: str
    note: str


@dataclass(frozen=True, slots=True)
class IntakePage:
    """Where clips come in."""

    golfers: tuple[Choice, ...]
    views: tuple[Choice, ...]
    clubs: tuple[Choice, ...]
    today: str
    arrivals: tuple[ClipTold, ...]
    lost: tuple[Lost, ...]
    arrived: tuple[Arrived, ...]
    phone: str
    """The address that a phone opens; empty while none is open."""
    phone_for: str
    """Whose clips the phone sends."""


@dataclass(frozen=True, slots=True)
class PhonePage:
    """The one page that a phone opens."""

    to: str
    style: str
    token: str
    golfer: str
    """First name: the page is all that a stranger with the code would see."""
    lost: tuple[Lost, ...]
    arrived: tuple[Arrived, ...]
