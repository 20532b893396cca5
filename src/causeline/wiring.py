"""The only place that builds the real doors."""

from __future__ import annotations

from contextlib import suppress
from importlib.metadata import version
from pathlib import Path
from threading import Thread

from causeline.errors import EngineError
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.model.reading import Reading
from causeline.model.seen import Seen
from causeline.reading.follow import Report
from causeline.reading.run import Doors, Found, Result, Settings, run_reading, run_seeing
from causeline.render.club_path import render_club_still
from causeline.render.page import PageNotes, render_page
from causeline.render.stills import render_stills
from causeline.render.telling import MeasureText
from causeline.sources.club_net import OpenvinoClubNet
from causeline.sources.decode import PyavClips
from causeline.sources.detect import LandmarkModel, OpenvinoEngine
from causeline.sources.limits import Limits
from causeline.sources.motion_prior import decode_prior
from causeline.sources.repeats import RepeatWatch
from causeline.sources.timescale import with_capture_rate
from causeline.store.whole_file import save_whole

LIBRARIES = ("av", "numpy", "openvino", "scipy")


def open_doors(limits: Limits | None = None) -> Doors:
    """The video library and the landmark engine of this machine."""
    engine = OpenvinoEngine(LandmarkModel.HEAVY)
    club = OpenvinoClubNet()
    versions = {name: version(name) for name in ("causeline", *LIBRARIES)}
    return Doors(
        source=PyavClips(limits),
        scout=OpenvinoEngine(LandmarkModel.FULL),
        engine=engine,
        club=club,
        watch_repeats=RepeatWatch,
        recapture=with_capture_rate,
        versions={**versions, "landmarks": engine.version, "club": club.version},
        prior=decode_prior(),
        load_ahead=lambda: Thread(target=_load, args=(engine, club)).start(),
    )


def _load(engine: OpenvinoEngine, club: OpenvinoClubNet) -> None:
    """Whoever needs a network that cannot be loaded tries again and is told why."""
    with suppress(EngineError):
        engine.load()
        club.load()


def read_clip(
    path: str | Path,
    settings: Settings | None = None,
    report: Report | None = None,
    limits: Limits | None = None,
    found: Found | None = None,
    beside: str | Path | None = None,
) -> Result:
    """Read every swing of a video file.

    `report` hears how far the work is, `found` where the swings are, before they are read closely.
    `beside` is a clip of the same golfer from the other side.

    Raises ClipError where the file cannot be read, NoPersonFound or NoSwingFound where it shows
    nothing to read, SettingError where a setting does not fit the clip, EngineError where the
    landmark engine is missing.
    """
    doors = open_doors(limits)
    other = None if beside is None else Path(beside)
    return run_reading(Path(path), doors, settings or Settings(), report or _quiet, found, other)


def see_clip(
    path: str | Path,
    settings: Settings | None = None,
    report: Report | None = None,
    limits: Limits | None = None,
    found: Found | None = None,
) -> Seen:
    """What a video file shows, for `run_judging` or a file; raises as `read_clip` does."""
    return run_seeing(Path(path), open_doors(limits), settings, report, found)


def write_page(result: Result, path: str | Path) -> None:
    """Write the page for the golfer, one self-contained HTML file. Raises OutputError."""
    save_whole(Path(path), page_of(result).encode())


def page_of(result: Result) -> str:
    """The page for the golfer as HTML."""
    reading: Reading = result.reading
    stills = [
        render_stills(swing, reading.clip, frames)
        for swing, frames in zip(reading.swings, result.frames, strict=True)
    ]
    texts = tuple(
        MeasureText(spec.name, spec.title, spec.how, spec.positive) for spec in FULL_CATALOGUE
    )
    club_stills = [
        render_club_still(swing, reading.clip, frames)
        for swing, frames in zip(reading.swings, result.frames, strict=True)
    ]
    return render_page(reading, stills, PageNotes(texts=texts, club_stills=club_stills))


def _quiet(stage: str, done: int, total: int) -> None:
    """Report nothing."""
