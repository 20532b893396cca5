"""The only place that builds the real doors."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from threading import Event, Thread

from causeline.errors import EngineError, NotThatClip
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.model.clip import Frame, Picture, View
from causeline.model.lesson import Lesson
from causeline.model.reading import Reading
from causeline.model.seen import Seen
from causeline.reading.follow import Report
from causeline.reading.pairing import run_fitting, run_pairing
from causeline.reading.run import Doors, Found, Result, Settings, run_reading, run_seeing
from causeline.reading.teaching import Order, Shown, run_choice, run_lesson
from causeline.render.beside import (
    BesideSheet,
    render_beside,
    render_beside_film,
    render_beside_sheet,
)
from causeline.render.beside_page import render_beside_page
from causeline.render.calendar import render_calendar
from causeline.render.club_path import render_club_still
from causeline.render.film import render_film, render_film_length
from causeline.render.film_parts import Cast, Film, Footage, Partner
from causeline.render.film_plan import RATE_HZ
from causeline.render.lesson_figures import Scene, render_figures
from causeline.render.lesson_film import render_lesson_film
from causeline.render.lesson_page import render_lesson_page, render_sheet
from causeline.render.page import PageNotes, render_page
from causeline.render.pdf import render_pdf
from causeline.render.stills import render_stills
from causeline.render.telling import MeasureText
from causeline.render.veil import render_veiled_footage, render_veils
from causeline.render.words import VIEW_WORDS
from causeline.sources.club_net import OpenvinoClubNet
from causeline.sources.detect import LandmarkModel, OpenvinoEngine
from causeline.sources.encode import encode_film
from causeline.sources.fence import FencedClips
from causeline.sources.limits import Limits
from causeline.sources.motion_prior import VERSION as BODY_VERSION
from causeline.sources.motion_prior import decode_prior
from causeline.sources.repeats import RepeatWatch
from causeline.sources.timescale import with_capture_rate
from causeline.store.drill_files import load_drills
from causeline.store.languages import load_words
from causeline.store.lesson_file import save_lesson_dict
from causeline.store.reading_back import load_reading
from causeline.store.reading_file import load_reading_dict
from causeline.store.whole_file import save_whole

LIBRARIES = ("av", "numpy", "openvino", "scipy")


def open_doors(limits: Limits | None = None, threads: int = 0) -> Doors:
    """The video library and the landmark engine of this machine.

    `threads` is how many cores each of them may keep busy; 0 means all.
    """
    scout = OpenvinoEngine(LandmarkModel.FULL, threads=threads)
    engine = OpenvinoEngine(LandmarkModel.HEAVY, threads=threads)
    club = OpenvinoClubNet(threads=threads)
    versions = {name: version(name) for name in ("causeline", *LIBRARIES)}
    return Doors(
        source=FencedClips(limits, threads),
        scout=scout,
        engine=engine,
        club=club,
        watch_repeats=RepeatWatch,
        recapture=with_capture_rate,
        versions={
            **versions,
            "landmarks": engine.version,
            "club": club.version,
            "body": BODY_VERSION,
        },
        prior=decode_prior(),
        load_ahead=lambda: _load_ahead(scout, engine, club),
    )


@contextmanager
def _opened(limits: Limits | None) -> Iterator[Doors]:
    """The doors, closed afterwards: no process is left behind."""
    doors = open_doors(limits)
    try:
        yield doors
    finally:
        if isinstance(doors.source, FencedClips):
            doors.source.close()


def _load_ahead(*networks: OpenvinoEngine | OpenvinoClubNet) -> Callable[[], None]:
    """Load one after another in a thread; gives what keeps it from beginning with the next.

    Whoever needs a network that cannot be loaded tries again and is told why.
    """
    enough = Event()

    def load() -> None:
        with suppress(EngineError):
            for network in networks:
                if not enough.is_set():
                    network.load()

    Thread(target=load).start()
    return enough.set


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
    other = None if beside is None else Path(beside)
    with _opened(limits) as doors:
        return run_reading(
            Path(path), doors, settings or Settings(), report or _quiet, found, other
        )


def see_clip(
    path: str | Path,
    settings: Settings | None = None,
    report: Report | None = None,
    limits: Limits | None = None,
    found: Found | None = None,
) -> Seen:
    """What a video file shows, for `run_judging` or a file; raises as `read_clip` does."""
    with _opened(limits) as doors:
        return run_seeing(Path(path), doors, settings, report, found)


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
    texts = measure_texts()
    club_stills = [
        render_club_still(swing, reading.clip, frames)
        for swing, frames in zip(reading.swings, result.frames, strict=True)
    ]
    return render_page(reading, stills, PageNotes(texts=texts, club_stills=club_stills))


def measure_texts() -> tuple[MeasureText, ...]:
    """What the catalogue says of each measure."""
    return tuple(
        MeasureText(spec.name, spec.title, spec.how, spec.positive) for spec in FULL_CATALOGUE
    )


def _quiet(stage: str, done: int, total: int) -> None:
    """Report nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Filmed:
    """One swing of a reading, and where its clip lies."""

    shown: Shown
    path: Path
    hide_face: bool = False
    """The golfer does not want to be known by it: the head is veiled in every picture."""


@dataclass(frozen=True, slots=True)
class TakeAway:
    """What a golfer takes home besides page, calendar and lesson file."""

    paper: str = "a4"
    film: bool = True


def open_reading(
    path: str | Path, clips: Sequence[str | Path] = (), number: int | None = None
) -> Filmed:
    """A reading file with its clip: one of `clips`, else the file of its name that lies beside it.

    `number` chooses the swing; None takes the first that is no rehearsal. Raises ReadingFileError,
    and NotThatClip where no clip has the content that was read.
    """
    known = load_reading_dict(path)["clip"]
    beside = Path(path).parent / str(known["name"])
    found = next(
        (each for each in map(Path, [*clips, beside]) if _sha256(each) == known["sha256"]), None
    )
    if found is None:
        tried = ", ".join(str(each) for each in [*clips, beside])
        raise NotThatClip(
            f"no clip with the content that {path} was read from: {tried}",
            f"{known['name']} was expected beside the reading file, or named",
            "name the clip with --clip, or read it again",
        )
    with FencedClips() as source:
        reading = load_reading(path, source.probe(found))
    return Filmed(run_choice(reading, number), found)


def compose_lesson(
    filmed: Sequence[Filmed],
    order: Order,
    references: Sequence[Filmed] = (),
    drills: str | Path | None = None,
) -> Lesson:
    """The lesson of one swing, seen in one view or two; `drills` is a folder of the coach's own.

    Raises SettingError where two readings show one view, or for a language without a catalogue,
    LessonFileError for a drill that is broken.
    """
    shelf = load_drills(Path(drills) if drills else None)
    words = load_words(order.golfer.language)
    shown = [one.shown for one in filmed]
    beside, left_out = run_fitting(shown, [one.shown for one in references])
    lesson = run_lesson(shown, order, shelf, words, tuple(beside.values()))
    return replace(lesson, for_coach=(*lesson.for_coach, *left_out))


def write_lesson(
    lesson: Lesson,
    filmed: Sequence[Filmed],
    folder: str | Path,
    references: Sequence[Filmed] = (),
    take_away: TakeAway | None = None,
    report: Report | None = None,
) -> tuple[Path, ...]:
    """Write page, print, film, calendar and lesson file; everything is made before any is written.

    Raises OutputError where one cannot be written: each file is there whole or as it was before.
    """
    files = lesson_files(lesson, filmed, references, take_away, report)
    for name, content in files.items():
        save_whole(Path(folder) / name, content)
    return tuple(Path(folder) / name for name in sorted(files))


def lesson_files(
    lesson: Lesson,
    filmed: Sequence[Filmed],
    references: Sequence[Filmed] = (),
    take_away: TakeAway | None = None,
    report: Report | None = None,
) -> dict[str, bytes]:
    """Page, print, film, calendar and lesson file, by name."""
    take_away = take_away or TakeAway()
    scenes = _scenes(lesson, filmed, references)
    files = {
        "lesson.json": _json(lesson),
        "practice.ics": render_calendar(lesson, datetime.now(UTC)),
    }
    film = _film(lesson, scenes, report or _quiet) if take_away.film else None
    if film is not None:
        files["swing.mp4"] = film
    sheet = render_sheet(lesson, render_figures(lesson, scenes))
    files["lesson.html"] = render_lesson_page(sheet).encode()
    files["lesson.pdf"] = render_pdf(sheet, take_away.paper)
    return files


def _json(lesson: Lesson) -> bytes:
    text = json.dumps(save_lesson_dict(lesson), allow_nan=False, ensure_ascii=False, indent=1)
    return (text + "\n").encode("utf-8", "backslashreplace")


def _film(lesson: Lesson, scenes: Mapping[View, Scene], report: Report) -> bytes | None:
    film = render_lesson_film(lesson, scenes)
    return None if film is None else _encoded(film, report)


def _encoded(film: Film, report: Report) -> bytes:
    count = render_film_length(film)

    def counted(pictures: Iterator[Picture]) -> Iterator[Picture]:
        for place, picture in enumerate(pictures, start=1):
            yield picture
            report("Drawing the film", place, count)

    return encode_film(counted(render_film(film)), count, RATE_HZ)


def _scenes(
    lesson: Lesson, filmed: Sequence[Filmed], references: Sequence[Filmed]
) -> dict[View, Scene]:
    """Each view of the swing, with the first reference from there that can stand beside it."""
    beside, _ = run_fitting([one.shown for one in filmed], [one.shown for one in references])
    scenes: dict[View, Scene] = {}
    for one in filmed:
        cast = open_cast(one, lesson.label("swing.yours"))
        other = next((ref for ref in references if ref.shown is beside.get(one.shown.view)), None)
        partner = open_partner(one, other, lesson.label("swing.reference")) if other else None
        scenes[one.shown.view] = Scene(cast, partner)
    return scenes


def open_cast(filmed: Filmed, name: str) -> Cast:
    """A golfer's swing with its pictures, called `name` beneath them."""
    clip = filmed.shown.reading.clip

    def footage(wanted: Sequence[int], longest: int) -> Iterator[Frame]:
        with FencedClips() as source:
            yield from source.frames(filmed.path, clip, wanted, longest)

    shown: Footage = footage
    if filmed.hide_face:
        shown = render_veiled_footage(footage, render_veils(filmed.shown.swing.body))
    return Cast(filmed.shown.swing, clip, shown, name, filmed.shown.view)


def open_partner(filmed: Filmed, other: Filmed, name: str, mirrored: bool | None = None) -> Partner:
    """Another swing laid on the first, in place and in time. Raises SettingError, as pairing."""
    paired = run_pairing(filmed.shown, other.shown, mirrored)
    times = paired.times
    return Partner(open_cast(other, name), paired.fit, lambda time_s: float(times.to_b(time_s)))


@dataclass(frozen=True, slots=True, eq=False)
class Both:
    """Two swings set beside each other."""

    cast: Cast
    partner: Partner
    sheet: BesideSheet


def open_swing(
    path: str | Path,
    clip: str | Path | None = None,
    number: int | None = None,
    report: Report | None = None,
) -> Filmed:
    """A swing of a reading file, or of a clip that is read now. Raises as either does."""
    if Path(path).suffix.lower() == ".json":
        return open_reading(path, [clip] if clip else [], number)
    return Filmed(run_choice(read_clip(path, report=report).reading, number), Path(path))


def compare_swings(
    a: Filmed, b: Filmed, names: tuple[str, str], mirrored: bool | None = None
) -> Both:
    """Swing B beside swing A, under these names. Raises SettingError as pairing does."""
    paired = run_pairing(a.shown, b.shown, mirrored)
    cast, partner = open_cast(a, names[0]), open_partner(a, b, names[1], mirrored)
    texts = {one.name: one for one in measure_texts()}
    view = VIEW_WORDS[a.shown.view]
    return Both(cast, partner, render_beside(cast, partner, paired.comparison, texts, view))


def write_comparison(
    both: Both, folder: str | Path, film: bool = False, report: Report | None = None
) -> tuple[Path, ...]:
    """Write page and picture, and the film where asked. Raises OutputError."""
    files = {
        "beside.html": render_beside_page(both.sheet).encode(),
        "beside.jpg": render_beside_sheet(both.cast, both.partner),
    }
    if film:
        made = render_beside_film(both.cast, both.partner, both.sheet)
        files["beside.mp4"] = _encoded(made, report or _quiet)
    for name, content in files.items():
        save_whole(Path(folder) / name, content)
    return tuple(Path(folder) / name for name in sorted(files))


def _sha256(path: Path) -> str:
    """Of a file's content; empty where it is not there."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""
