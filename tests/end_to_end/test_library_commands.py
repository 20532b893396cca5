"""The library's commands from end to end: in, read, checked, backed up, brought back, deleted."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from bench.puppet_reader import Here, puppet_doors
from click.testing import CliRunner, Result

from causeline.cli import main
from causeline.model.library import State
from causeline.reading.work import Crew, run_claimed, run_waiting
from causeline.store.library import Library, load_library
from causeline.store.library_claims import is_dead
from causeline.store.library_people import load_golfers
from causeline.store.library_readings import ReadingBook
from causeline.store.verify import load_findings
from causeline.wiring import open_doors
from tests.clips import Recipe, numbered_pictures, write_clip

DEMO = Path(__file__).parents[2] / "demo" / "clips" / "ivo_2026-04-06_face_on.mp4"
Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command on the library in `tmp_path`; readings are a puppet's."""
    monkeypatch.setenv("CAUSELINE_LIBRARY", str(tmp_path / "library"))
    monkeypatch.setattr(sys.modules["causeline.cli.batch"], "read_waiting", _read_puppets)
    return lambda *words: CliRunner().invoke(main, [str(word) for word in words])


def _read_puppets(library: Library, workers: int, watch: Any, cluster: str) -> None:
    doors = replace(puppet_doors(), versions=open_doors().versions)
    task = partial(run_claimed, ReadingBook(library), open_doors=lambda: doors)
    run_waiting(ReadingBook(library), Crew(1, Here, task), watch)


@pytest.fixture
def catalogue(tmp_path: Path) -> Path:
    """Two golfers' folders: three clips, a broken one, notes, and links to elsewhere."""
    folder = tmp_path / "catalogue"
    for number, name in enumerate(["Ivo Brandt/a.mp4", "Ivo Brandt/b.MP4", "Nell/2026/c.mp4"]):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        recipe = Recipe(options={"g": "4"}, kbps=300 + number)
        write_clip((folder / name).with_suffix(".mp4"), numbered_pictures(6 + number), recipe)
        (folder / name).with_suffix(".mp4").rename(folder / name)
    (folder / "Nell" / "broken.mov").write_bytes(b"no clip")
    (folder / "Nell" / "notes.txt").write_text("bring the wedge")
    outside = tmp_path / "outside"
    outside.mkdir()
    shutil.copy(folder / "Ivo Brandt" / "a.mp4", outside / "private.mp4")
    (folder / "Nell" / "link.mp4").symlink_to(outside / "private.mp4")
    (folder / "Linked").symlink_to(outside)
    return folder


def test_a_back_catalogue_from_folder_to_readings(run: Run, catalogue: Path) -> None:
    first = run("batch", catalogue)
    assert first.exit_code == 1
    assert "broken.mov is broken, or is not a video" in first.output.replace("\n", " ")
    assert "3 read; 1 could not be read" in first.output
    again = run("batch", catalogue)
    assert "3 read; 1 could not be read" in again.output
    assert run("batch").exit_code == 0
    listed = run("library", "list").output
    assert listed.count("ready") == 3
    assert "private" not in listed
    assert "link" not in listed


def test_checked_backed_up_brought_back_and_deleted(
    run: Run, catalogue: Path, tmp_path: Path
) -> None:
    run("batch", catalogue)
    # Three clips; a puppet looks the same in all of them, and what is the same is kept once.
    assert "5 files" in run("verify").output
    assert "5 files are in" in run("backup", tmp_path / "b.tar").output
    full = run("restore", tmp_path / "b.tar")
    assert (full.exit_code, "already has rows" in full.stderr.replace("\n", " ")) == (8, True)
    assert (
        "5 files are back"
        in run("restore", tmp_path / "b.tar", "--library", tmp_path / "two").output
    )
    again = load_library(tmp_path / "two")
    assert [who.golfer.name for who in load_golfers(again)] == ["Ivo Brandt", "Nell"]
    assert load_findings(again).problems == ()
    again.close()
    assert "Delete Nell, 1 clips" in run("library", "remove", "Nell").output
    assert run("library", "remove", "Nell", "--yes").output == "Nell is deleted.\n"
    assert "4 files" in run("verify").output
    assert run("library", "remove", "Nell", "--yes").exit_code == 2


def test_what_checks_or_copies_a_library_makes_none(run: Run, tmp_path: Path) -> None:
    (tmp_path / "good.tar").write_bytes(b"a good one")
    for words in (["verify"], ["backup", tmp_path / "good.tar"], ["tidy"], ["export", "Nell"]):
        told = run(*words)
        assert (told.exit_code, "there is no library at" in told.stderr) == (2, True)
    assert not (tmp_path / "library").exists()
    assert (tmp_path / "good.tar").read_bytes() == b"a good one"


def test_damage_is_told_and_mended(run: Run, catalogue: Path, tmp_path: Path) -> None:
    run("batch", catalogue)
    library = load_library(tmp_path / "library")
    entry = ReadingBook(library).get(_first_ready(library))
    assert entry.reading_key
    Path(library.vault.path(entry.reading_key)).write_bytes(b"spoilt")
    library.close()
    told = run("verify")
    assert told.exit_code == 8
    assert "is not what was stored" in told.output
    assert "1 mended" in run("verify", "--mend").output
    assert "3 read" in run("batch").output
    assert run("verify").exit_code == 0


def _first_ready(library: Library) -> str:
    from sqlalchemy import select

    from causeline.store.tables import READINGS

    with library.database.reading() as connection:
        return str(connection.execute(select(READINGS.c.id)).scalars().first())


def test_clips_one_by_one(run: Run, catalogue: Path) -> None:
    clip = catalogue / "Ivo Brandt" / "a.mp4"
    words = ("--golfer", "Žofie", "--view", "face-on", "--club", "iron", "--filmed", "2026-04-06")
    added = run("library", "add", clip, catalogue / "Nell" / "broken.mov", clip, *words)
    assert added.exit_code == 3
    assert added.output.count("a.mp4 added for Žofie") == 2
    listed = run("library", "list").output
    assert listed.count("a.mp4") == 1
    assert "2026-04-06" in listed
    assert run("library", "add", clip.parent / "nowhere.mp4", *words).exit_code == 3


def test_clips_that_are_nobody_s_are_told(run: Run, catalogue: Path) -> None:
    told = run("batch", catalogue / "Ivo Brandt")
    assert told.exit_code == 2
    assert "--golfer" in told.stderr
    assert run("batch", catalogue / "Ivo Brandt", "--golfer", "Ivo").exit_code == 0


def test_a_doctor_finds_this_machine_well(run: Run, tmp_path: Path) -> None:
    well = run("doctor")
    assert well.exit_code == 0, well.output
    assert "WRONG" not in well.output
    wrong = run(
        "doctor", "--library", "postgresql://127.0.0.1:9/library", "--files", tmp_path / "f"
    )
    assert wrong.exit_code == 8
    assert "see that the database runs" in wrong.output.replace("\n", " ").lower()


def test_a_real_batch_is_killed_and_goes_on(tmp_path: Path) -> None:
    """The whole of it: a real clip, real networks, the program and its worker killed at once."""
    folder = tmp_path / "catalogue"
    folder.mkdir()
    shutil.copy(DEMO, folder)
    command = [sys.executable, "-c", "from causeline.cli import main; main()", "batch", str(folder)]
    command += ["--golfer", "Ivo Brandt", "--library", str(tmp_path / "library")]
    with subprocess.Popen(command, start_new_session=True, stderr=subprocess.DEVNULL) as program:
        library = load_library(tmp_path / "library")
        book = ReadingBook(library)
        while not any(entry.beat for entry in book.working()):
            assert program.poll() is None
            time.sleep(0.1)
        (entry,) = book.working()
        os.kill(program.pid, signal.SIGKILL)
    # The worker goes by itself soon after the program.
    while not is_dead(entry.claim):
        time.sleep(0.1)
    assert book.get(entry.id).state is State.WORKING
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "1 read; 0 could not be read" in done.stdout
    assert (book.get(entry.id).state, book.get(entry.id).tries) == (State.READY, 2)
    assert load_findings(library).problems == ()
    library.close()
