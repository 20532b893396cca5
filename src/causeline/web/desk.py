"""What the web room is given: the open library, and what only the wiring can build."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Protocol

from fastapi import Depends, Request

from causeline.model.clip import Clip, Frame
from causeline.model.lesson import Lesson
from causeline.model.library import Coach, ReadingEntry, new_id
from causeline.model.motion import MotionPrior
from causeline.reading.doors import Settings
from causeline.reading.proxies import ProxyDoors
from causeline.reading.teaching import Shown
from causeline.render.telling import Texts
from causeline.store.library import Library
from causeline.store.library_access import SignedIn
from causeline.store.library_people import load_coaches, save_coach
from causeline.web.gate import SIGNED
from causeline.web.jobs import Jobs, Report
from causeline.web.made import Workshop
from causeline.web.phone_door import PhoneDoor
from causeline.web.progress_doors import ProgressDoors
from causeline.web.talk_doors import TalkDoors

SOMEBODY = "Coach"
"""Name of the coach of a library that nobody has put a name to yet."""


class Readings(Protocol):
    """Readings of the library's clips, done in processes of their own while pages are served."""

    def ask(self, sha256: str, settings: Settings) -> ReadingEntry:
        """Ask for the reading of a kept clip; it is begun at once where a hand is free."""

    def judge(self, sha256: str, settings: Settings) -> ReadingEntry:
        """As `ask`, and judged at once in this process where the clip was seen before."""

    def wake(self) -> None:
        """Look for readings that wait, now."""


@dataclass(frozen=True, slots=True, eq=False)
class OnFile:
    """A swing of a reading with its clip as a file."""

    shown: Shown
    path: Path
    hide_face: bool
    """The golfer is not to be known by it."""


class LessonFiles(Protocol):
    """Makes what a golfer takes home."""

    def __call__(
        self,
        lesson: Lesson,
        views: Sequence[OnFile],
        references: Sequence[OnFile],
        report: Report,
        *,
        film: bool,
    ) -> Mapping[str, bytes]:
        """Page, print, calendar and lesson file by name, and the film where it is asked for."""


SolveBoth = Callable[
    [tuple[str, str], tuple[Settings, Settings], Mapping[int, int]], tuple[bytes, bytes]
]
"""From what was seen of two clips (keys in the vault), how each is read, and which swing of the
first goes with which of the second: both reading files, the body of each pair solved as one."""
Footage = Callable[[Path, Clip, Sequence[int], int | None], Iterator[Frame]]
"""The wanted frames of a clip's file in order, no longer than so many pixels."""


@dataclass(frozen=True, slots=True, eq=False)
class Desk:
    """Everything that routes may use. A part that needs more brings a record of its own."""

    library: Library
    made: Workshop
    """Makes stills, films and pages of what the library holds, each once."""
    jobs: Jobs
    """Long work of this process: a film, a backup."""
    readings: Readings
    probe: Callable[[Path], Clip]
    """Reads a file's stamps behind the fence; raises ClipError where it is no clip."""
    footage: Footage
    lesson_files: LessonFiles
    solve_both: SolveBoth
    phone: PhoneDoor
    """Lets a phone on the same network send clips; closed until the coach opens it."""
    texts: Texts
    """What the catalogue says of each measure."""
    proxies: ProxyDoors
    """What makes a swing's frames ready to be shown one by one."""
    talks: TalkDoors
    """Voices in, films of talk-throughs out."""
    progress: ProgressDoors
    """Where golfers stand, and ways to change a plan that was sent."""
    prior: MotionPrior | None = None
    """What `run_judging` needs for the body in three dimensions."""


def the_desk(request: Request) -> Desk:
    """The desk of the app that answers."""
    desk: Desk = request.app.state.desk
    return desk


OfDesk = Annotated[Desk, Depends(the_desk)]


def who(request: Request, desk: OfDesk) -> Coach:
    """Who asks: who is signed in, as the gate found; where there is no lock, the first coach.

    A library without any coach gets one.
    """
    signed: SignedIn | None = getattr(request.state, SIGNED, None)
    if signed is not None:
        request.state.coach = signed.coach.name
        return signed.coach
    coaches = [coach for coach in load_coaches(desk.library) if coach.active]
    coach = coaches[0] if coaches else save_coach(desk.library, Coach(new_id(), SOMEBODY))
    request.state.coach = coach.name
    return coach


Who = Annotated[Coach, Depends(who)]
