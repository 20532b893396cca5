"""One lesson in the coach's hands."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.web.contract.golfers import Choice


@dataclass(frozen=True, slots=True)
class EditLine:
    """One line, to be edited."""

    id: str
    text: str
    written: str
    """What the template wrote, where the coach changed it."""
    theirs: str
    """What somebody else saved meanwhile; empty where nobody did."""
    may_go: bool
    """It can be left out by a tick (a strength)."""


@dataclass(frozen=True, slots=True)
class EditPart:
    """One part of the lesson."""

    id: str
    title: str
    lines: tuple[EditLine, ...]


@dataclass(frozen=True, slots=True)
class DrillChoice:
    """One drill of the shelf."""

    name: str
    title: str
    purpose: str
    made_for: bool
    """It was made for this lesson's cause."""
    chosen: bool


@dataclass(frozen=True, slots=True)
class LessonFile:
    """A file that was made of the lesson."""

    at: str
    name: str
    size: str


@dataclass(frozen=True, slots=True)
class VersionLine:
    """One version as it was saved."""

    number: int
    saved: str
    by: str


@dataclass(frozen=True, slots=True)
class LinkLine:
    """A link that leads to the lesson."""

    id: str
    made: str
    open: bool


@dataclass(frozen=True, slots=True)
class LessonTalk:
    """A talk-through that is in the lesson, or may be put into it."""

    id: str
    told: str
    into: bool
    filmed: bool
    """Its film is there, of what is played now."""
    going: bool
    """Its film is being made."""


@dataclass(frozen=True, slots=True)
class LessonPage:
    """The page."""

    id: str
    version: int
    title: str
    golfer: str
    golfer_at: str
    sheet_at: str
    """The swing's sheet; empty where its clip is gone."""
    facts: str
    told: str
    """What did not go through, and what to do; empty where all is well."""
    notes: tuple[str, ...]
    """For the coach alone."""
    parts: tuple[EditPart, ...]
    drills: tuple[DrillChoice, ...]
    checks: tuple[Choice, ...]
    """Which drill's aim tells that it worked."""
    checkpoint: str
    preview_at: str
    files: tuple[LessonFile, ...]
    job: str
    """Id of the work that makes the files; empty while none goes on."""
    talk_at: str
    """The bench, to record a talk-through of this lesson; empty where the clip is gone."""
    talks: tuple[LessonTalk, ...]
    versions: tuple[VersionLine, ...]
    links: tuple[LinkLine, ...]
    sent: str
    """When it was sent; empty where it was not."""
    secret: str
    """The golfer's address, shown this once; empty otherwise."""
    beyond: bool
    """Whether others can reach that address, or this machine alone."""
