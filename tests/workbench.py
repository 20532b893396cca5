"""The workbench for tests: the scenario's library, read; the app on it; a browser's way to it.

Seeing the clips takes a minute or two, so what was seen is kept in .cache/workbench for as long as
the networks stay the same; what is judged from it is judged anew when a room has changed.
"""

from __future__ import annotations

import fcntl
import hashlib
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
import uvicorn
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import delete
from tools.demo_library import fill_library

from causeline.model.library import ClipEntry, Coach, GolferEntry, ReadingEntry
from causeline.store.library import Library, load_library
from causeline.store.library_clips import load_clips
from causeline.store.library_people import load_coaches, load_golfers
from causeline.store.library_readings import ReadingBook
from causeline.store.tables import READINGS
from causeline.web.app import serve_app
from causeline.web.asking import clip_settings
from causeline.web.both import serve_together
from causeline.web.desk import Desk
from causeline.web.guard import COOKIE, HEADER
from causeline.wiring_web import Reader, open_desk
from causeline.wiring_work import ask_reading, judge_waiting, read_waiting

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "causeline"
CACHE = ROOT / ".cache" / "workbench"
FILES = (
    "clips/ivo_2026-04-06_face_on.mp4",
    "clips/ivo_2026-04-06_down_the_line.mp4",
    "clips/ivo_2026-05-04_down_the_line.mp4",
    "clips/reference_mid_iron_down_the_line.mp4",
    "clips/reference_mid_iron_face_on.mp4",
    "clips/nell_2026-04-08_face_on.mp4",
)
"""Ivo's first swing from both places and his later one, the coach's own two, and Nell's."""
JUDGES = (
    "body",
    "club",
    "findings",
    "measures",
    "moments",
    "reading/judging.py",
    "reading/pair.py",
    "store/migrations",
    "store/reading_file.py",
    "store/tables.py",
)
TOKEN = "t" * 43


def scenario_library(folder: Path) -> Path:
    """A library with the scenario, every reading ready; made once, then copied from the cache."""
    CACHE.mkdir(parents=True, exist_ok=True)
    with (CACHE / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        judged = CACHE / f"judged-{_mark()}"
        if not judged.is_dir():
            _judge(judged)
        shutil.copytree(judged, folder, dirs_exist_ok=True)
    return folder


def _judge(judged: Path) -> None:
    """Judge what was seen; clips that were not seen by these networks yet are seen first."""
    for old in CACHE.glob("judged-*"):
        shutil.rmtree(old)
    seen, half = CACHE / f"seen-{_clips()}", CACHE / "half"
    for old in CACHE.glob("seen*"):
        if old != seen:
            shutil.rmtree(old)
    with _opened(seen) as library:
        for clip in fill_library(library, FILES):
            _ask(library, clip)
        read_waiting(library, workers=1)
    shutil.rmtree(half, ignore_errors=True)
    shutil.copytree(seen, half)
    with _opened(half) as library:
        with library.database.writing() as connection:
            connection.execute(delete(READINGS))
        for golfer in load_golfers(library):
            for clip in load_clips(library, golfer.id):
                judge_waiting(library, _ask(library, clip))
        _solve_both(library)
    half.rename(judged)


def _solve_both(library: Library) -> None:
    """One body for each swing that was filmed from both sides, as the workbench keeps it."""
    desk = open_desk(library)
    for golfer in load_golfers(library):
        for clip in load_clips(library, golfer.id):
            serve_together(desk, ReadingBook(library).get(_ask(library, clip).id))
    desk.jobs.start("the last", lambda _: None, "last")
    while desk.jobs.going("last"):
        time.sleep(0.05)
    desk.jobs.stop()


def _ask(library: Library, clip: ClipEntry) -> ReadingEntry:
    golfer = next(one for one in load_golfers(library) if one.id == clip.golfer)
    return ask_reading(library, clip.sha256, clip_settings(golfer.golfer, clip))


def _clips() -> str:
    """Of the clips' content."""
    told = hashlib.sha256()
    for file in FILES:
        told.update((ROOT / "demo" / file).read_bytes())
    return told.hexdigest()[:16]


def _mark() -> str:
    """Of all code in those folders and files, and of the clips."""
    told = hashlib.sha256(f"6{_clips()}".encode())
    for part in JUDGES:
        place = SOURCE / part
        for path in sorted(place.rglob("*.py")) if place.is_dir() else [place]:
            told.update(path.read_bytes())
    return told.hexdigest()[:16]


@contextmanager
def _opened(folder: Path) -> Iterator[Library]:
    library = load_library(folder)
    try:
        yield library
    finally:
        library.close()


def coach_of(desk: Desk) -> Coach:
    """The scenario's coach."""
    return load_coaches(desk.library)[0]


def golfer_of(desk: Desk, name: str = "Ivo Lindgard") -> GolferEntry:
    """A golfer of the scenario."""
    return next(one for one in load_golfers(desk.library) if one.golfer.name == name)


def clip_of(desk: Desk, name: str) -> ClipEntry:
    """The scenario's clip whose file name begins so."""
    everybody = load_golfers(desk.library)
    clips = [clip for one in everybody for clip in load_clips(desk.library, one.id)]
    return next(clip for clip in clips if clip.name.startswith(name))


@pytest.fixture(scope="session")
def scenario_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the scenario's library: copy it, do not write to it."""
    return scenario_library(tmp_path_factory.mktemp("scenario") / "library")


@pytest.fixture
def scenario_desk(scenario_template: Path, tmp_path: Path) -> Iterator[Desk]:
    """A desk of its own on the scenario; readings that are asked for wait, nobody reads them."""
    folder = tmp_path / "library"
    shutil.copytree(scenario_template, folder)
    with _opened(folder) as library:
        desk = open_desk(library)
        yield desk
        desk.jobs.stop()


@pytest.fixture
def empty_desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk on a library with nobody in it."""
    with _opened(tmp_path / "library") as library:
        desk = open_desk(library)
        yield desk
        desk.jobs.stop()


def asking(app: FastAPI) -> TestClient:
    """A client as a browser on a page of the app is: it has the token; it follows no redirects."""
    return TestClient(
        app,
        base_url="http://127.0.0.1",
        headers={HEADER: TOKEN, "accept": "text/html"},
        cookies={COOKIE: TOKEN},
        follow_redirects=False,
    )


@pytest.fixture
def web(scenario_desk: Desk) -> Iterator[TestClient]:
    """A client of the app on the scenario."""
    with asking(serve_app(scenario_desk)) as client:
        yield client


@contextmanager
def serving(desk: Desk, *, read: bool = False, port: int = 0) -> Iterator[str]:
    """A real server, on a free port; gives its address without the last slash. `read` reads too."""
    reader = desk.readings if read and isinstance(desk.readings, Reader) else None
    if reader is not None:
        reader.start()
    listening = socket.create_server(("127.0.0.1", port))
    config = uvicorn.Config(serve_app(desk), log_level="warning", timeout_graceful_shutdown=1)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
    thread.start()
    try:
        while not server.started and thread.is_alive():
            time.sleep(0.01)
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(60)
        with suppress(OSError):
            listening.close()
        if reader is not None:
            reader.stop()


@pytest.fixture
def workbench(scenario_desk: Desk) -> Iterator[str]:
    """Address of a real server on the scenario."""
    with serving(scenario_desk) as address:
        yield address


@pytest.fixture
def empty_web(empty_desk: Desk) -> Iterator[TestClient]:
    """A client of the app on an empty library."""
    with asking(serve_app(empty_desk)) as client:
        yield client
