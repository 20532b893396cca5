"""The check finds what is wrong, names it, and mends what can be mended."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest
from bench.puppet_reader import read_all, the_golfer

from causeline.model.access import Made, Make
from causeline.model.library import State
from causeline.store.library import Library, load_library
from causeline.store.library_clips import load_clips
from causeline.store.library_made import load_made, save_made
from causeline.store.library_readings import load_reading_content, load_reading_of
from causeline.store.tables import LEAVING
from causeline.store.verify import Trouble, load_findings, save_mended


@pytest.fixture
def read_one(library: Library) -> Library:
    """A library with one clip that is read."""
    read_all(library, the_golfer(library), [b"a swing"])
    return library


def _keys(library: Library) -> tuple[str, str, str]:
    """Of the clip, of what was seen, of the reading."""
    entry = load_reading_of(library, load_clips(library, the_golfer(library).id)[0].sha256)
    assert entry is not None
    assert entry.seen_key
    assert entry.reading_key
    return entry.sha256, entry.seen_key, entry.reading_key


def _spoil(library: Library, key: str) -> None:
    path = Path(library.vault.path(key))
    path.write_bytes(path.read_bytes()[:-1] + b"?")


def test_a_whole_library_has_no_problems(read_one: Library) -> None:
    heard: list[tuple[int, int]] = []
    found = load_findings(read_one, lambda done, total: heard.append((done, total)))
    assert (found.files, found.problems) == (3, ())
    assert found.bytes == sum(map(read_one.vault.size, read_one.vault.keys()))
    assert heard[-1] == (3, 3)


def test_what_is_wrong_is_named_and_mended(read_one: Library) -> None:
    library = read_one
    clip, seen, reading = _keys(library)
    stray = library.vault.keep(b"nobody's")
    half = Path(library.vault.path(stray)).with_name(".x.part")
    half.write_bytes(b"half")
    os.utime(half, (0, 0))
    _spoil(library, reading)
    library.vault.remove(seen)
    found = load_findings(library)
    assert {(each.trouble, each.about) for each in found.problems} == {
        (Trouble.ORPHAN, stray),
        (Trouble.HALF, str(half)),
        (Trouble.DAMAGED, reading),
        (Trouble.MISSING, seen),
    }
    assert all("causeline" in str(each) or "backup" in str(each) for each in found.problems)
    save_mended(library, found)
    entry = load_reading_of(library, clip)
    assert entry is not None
    assert (entry.state, entry.reading_key) == (State.WAITING, None)
    read_all(library, the_golfer(library), [])
    assert _keys(library) == (clip, seen, reading)
    assert load_findings(library).problems == ()
    assert load_reading_content(library, load_reading_of(library, clip) or entry)


def test_a_lost_clip_is_told_and_comes_back_by_adding_it_again(read_one: Library) -> None:
    library = read_one
    clip, _, _ = _keys(library)
    _spoil(library, clip)
    (problem,) = load_findings(library).problems
    assert (problem.trouble, problem.needed_for) == (Trouble.DAMAGED, ("clips.sha256",))
    assert "a clip is added again" in str(problem)
    assert save_mended(library, load_findings(library)) == 0
    read_all(library, the_golfer(library), [b"a swing"])
    assert load_findings(library).problems == ()


def test_a_reading_file_that_is_none_is_read_again(read_one: Library) -> None:
    library = read_one
    _, _, reading = _keys(library)
    with library.keeping(b"{}") as (connection, key):
        from causeline.store.tables import READINGS

        connection.execute(READINGS.update().values(reading_key=key))
        library.let_go(connection, [reading])
    library.tidy()
    (problem,) = load_findings(library).problems
    assert problem.trouble is Trouble.UNREADABLE
    assert save_mended(library, load_findings(library)) == 1
    assert load_findings(library).problems == ()


def test_a_file_being_kept_is_no_orphan(library: Library) -> None:
    key = library.vault.keep(b"just coming in")
    with library.database.writing() as connection:
        connection.execute(LEAVING.insert().values(key=key))
    assert load_findings(library).problems == ()


def test_a_damaged_database_is_told(tmp_path: Path) -> None:
    library = load_library(tmp_path / "place")
    the_golfer(library)
    with sqlite3.connect(tmp_path / "place" / "library.sqlite") as raw:
        raw.execute("PRAGMA foreign_keys = OFF")
        raw.execute("DELETE FROM coaches")
    raw.close()
    (problem,) = load_findings(library).problems
    assert problem.trouble is Trouble.DATABASE
    assert "golfers" in str(problem)
    library.close()


def test_what_was_made_and_is_lost_is_made_again_when_it_is_wanted(library: Library) -> None:
    the_golfer(library)
    made = save_made(library, Made("a" * 64, Make.STILL, {}, "", library.now()), b"a picture")
    library.vault.remove(made.file_key)
    (problem,) = load_findings(library).problems
    assert problem.needed_for == ("made.file_key",)
    assert save_mended(library, load_findings(library)) == 1
    assert load_findings(library).problems == ()
    assert load_made(library, "a" * 64) is None
