"""What the talk-through's routes take and give. Swings go by the names that pages have for them."""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, ConfigDict, Field

from causeline.model.moments import MomentName
from causeline.model.talk import Event, Piece, Screen


class _Told(BaseModel):
    model_config = ConfigDict(frozen=True)


class VoiceTold(_Told):
    """The sound of a take."""

    kind: str
    starts_ms: int
    """Of the take's clock: when its first sample was spoken."""
    at: str
    """Its address."""


class TakeTold(_Told):
    """What was recorded in one go."""

    id: str
    swings: tuple[str, ...]
    """Empty where a swing is not there any more."""
    start: Screen
    events: tuple[Event, ...]
    lasts_ms: int
    voice: VoiceTold | None


class GoingTold(_Told):
    """A take that is being recorded, or was cut off."""

    id: str
    parts: int
    ends_ms: int
    made_at: datetime


class StretchTold(_Told):
    """Where a moment of a swing is shown, in milliseconds of the talk-through."""

    swing: str
    moment: MomentName
    start_ms: int
    stop_ms: int


class TalkTold(_Told):
    """A talk-through."""

    id: str
    version: int
    title: str
    lesson: str | None
    takes: tuple[TakeTold, ...]
    pieces: tuple[Piece, ...]
    going: tuple[GoingTold, ...]
    stretches: tuple[StretchTold, ...]
    film: str
    """Address of the film of exactly this; empty where it was not made yet."""


class TalkLine(_Told):
    """A talk-through in a list."""

    id: str
    title: str
    made_at: datetime
    lasts_ms: int
    lesson: str | None
    check_in: str
    """The check-in that it answers; empty where it is of the lesson itself."""
    here: bool
    """It was begun on the clip that is asked for."""


class TalkBegun(_Told):
    """What a talk-through is about."""

    swing: str = Field(max_length=80)
    """Whose golfer it is for."""
    lesson: str | None = Field(default=None, max_length=40)
    check_in: str = Field(default="", max_length=40)
    """The check-in that it answers; empty for one of the lesson itself."""
    title: str = Field(default="", max_length=200)


class TakeClosed(_Told):
    """How a take ended."""

    parts: int | None = Field(default=None, ge=0)
    """How many were recorded; None takes those that came."""
    starts_ms: int | None = None
    """Where the sound begins, if that is known better now."""


class PiecesWanted(_Told):
    """What is to be played."""

    version: int
    """That was edited."""
    pieces: tuple[Piece, ...] = Field(max_length=2000)
    title: str = Field(max_length=200)


class TakePlaced(_Told):
    """Where a take goes: in the place of a passage, or at the end where nothing is said."""

    version: int = 0
    """Of the talk-through that the passage was chosen in; in another one, the end it is."""
    start_ms: int = Field(default=0, ge=0)
    stop_ms: int = Field(default=0, ge=0)


class PassageCut(_Told):
    """A passage to leave out, or to keep alone."""

    version: int
    start_ms: int = Field(ge=0)
    stop_ms: int = Field(ge=0)
    keep: bool = False
