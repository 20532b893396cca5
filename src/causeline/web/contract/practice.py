"""The golfer's own page: what its template shows, and what phone and app tell each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Name = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
"""Made by the phone, so that what comes twice is kept once."""
MOST_WORDS = 2000


@dataclass(frozen=True, slots=True)
class Picture:
    """A frame of the golfer's own swing."""

    src: str
    alt: str
    caption: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Passage:
    """A sentence, with its frame where it has one."""

    text: str
    picture: Picture | None
    quiet: bool = False
    evidence: bool = False


@dataclass(frozen=True, slots=True)
class Stage:
    """One rung of a drill."""

    name: str
    how: str
    move_on: str


@dataclass(frozen=True, slots=True)
class DrillCard:
    """One drill, ready for the range."""

    name: str
    title: str
    purpose: str
    svg: str
    caption: str
    cue: str
    feel: str
    equipment: str
    setup: tuple[str, ...]
    steps: tuple[str, ...]
    stages: tuple[Stage, ...]
    slips: tuple[tuple[str, str], ...]
    """What goes wrong, and what to do instead."""
    cautions: tuple[str, ...]
    sets: int
    repeats: int
    minutes: int


@dataclass(frozen=True, slots=True)
class PlanDay:
    """One practice of the plan; script or no script, it can be read."""

    day: str
    time: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Spot:
    """How to film from one place."""

    view: str
    """`face-on` or `down-the-line`."""
    words: tuple[str, ...]
    outline: str
    """The golfer as the camera should see them, an SVG that is laid over the picture."""
    above: str
    """Golfer and phone from above, an SVG."""


@dataclass(frozen=True, slots=True)
class Talk:
    """The coach talking over the golfer's swing."""

    src: str
    title: str


@dataclass(frozen=True, slots=True)
class PracticePage:
    """Everything on the golfer's page."""

    language: str
    root: str
    """Address of the page, with its last slash."""
    title: str
    to: str
    headline: str
    opening: tuple[str, ...]
    lead: Picture | None
    """The frame that shows the one thing best."""
    strengths: tuple[Passage, ...]
    proof: tuple[Passage, ...]
    effects: tuple[Passage, ...]
    after: tuple[Passage, ...]
    answer: tuple[Passage, ...]
    drills: tuple[DrillCard, ...]
    later: tuple[str, ...]
    checkpoint: str
    """Drawn, an SVG; empty where there is none."""
    check_words: tuple[str, ...]
    days: tuple[PlanDay, ...]
    film_again: str
    plan: tuple[str, ...]
    spots: tuple[Spot, ...]
    film_words: tuple[str, ...]
    talks: tuple[Talk, ...]
    expect: tuple[str, ...]
    care: tuple[str, ...]
    closing: tuple[str, ...]
    drawing: bool
    """Whether the pictures are still being drawn."""
    data: Mapping[str, object]
    """What the script needs: labels, practices, the state as it was when the page was made."""
    labels: Mapping[str, str]
    lesson: Mapping[str, str]
    """The lesson's own labels."""
    script: str
    """Address of the page's script."""
    style: str
    """The page's rules themselves."""


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """What is shown in place of a page that is not there any more."""

    style: str


class _Told(BaseModel):
    model_config = ConfigDict(frozen=True)


class TickIn(_Told):
    """A practice that was ticked."""

    id: Name
    session: str = Field(max_length=80)
    at: datetime
    note: str = Field("", max_length=MOST_WORDS)


class WordsIn(_Told):
    """How it felt, without a clip."""

    id: Name
    at: datetime
    felt: str = Field(min_length=1, max_length=MOST_WORDS)


class ClipIn(_Told):
    """What comes with a clip."""

    at: datetime
    felt: str = Field("", max_length=MOST_WORDS)
    filmed: date | None = None
    """The day of the file, as the phone has it, or as the golfer says."""
    said: bool = False
    """Whether the golfer said that day; else the film's own container is asked first."""
    file: str = Field("clip", max_length=255)
    """The file's own name."""


class TickOut(_Told):
    """A tick that is kept."""

    id: str
    session: str
    at: datetime


class CheckInOut(_Told):
    """One check-in as the golfer sees it."""

    id: str
    at: datetime
    felt: str
    clip: bool
    reading: bool
    """Whether the clip is still being read."""
    word: str
    """`there`, `nearly`, `not yet` or `could not be seen`; empty where nothing is told."""
    lines: tuple[str, ...]
    picture: str
    """Its address; empty where there is none."""
    not_me: bool
    answer: str
    answered: datetime | None
    talk: str
    """Address of the coach's talk-through; empty where there is none."""


class SessionOut(_Told):
    """One practice of the plan."""

    uid: str
    day: str
    """ISO, on the golfer's own clock."""
    told: str
    """The day in words."""
    minutes: int
    drills: tuple[str, ...]
    note: str


class StateOut(_Told):
    """Everything on the page that changes."""

    lesson: str
    version: int
    """Of the lesson: another one means that the page is to be loaded again."""
    drawn: bool
    """Whether the page's pictures are ready."""
    film_again: str
    sessions: tuple[SessionOut, ...]
    ticks: tuple[TickOut, ...]
    check_ins: tuple[CheckInOut, ...]
    change: tuple[str, ...]
    """Whether it has changed for good, in sentences; empty until something was filmed since."""


class KeptOut(_Told):
    """What the phone keeps so that the page opens without a network."""

    mark: str
    """Changes when any of it does."""
    addresses: tuple[str, ...]
