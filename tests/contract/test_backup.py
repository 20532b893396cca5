"""A backup holds everything, is taken while the library is in use, and comes back anywhere."""

from __future__ import annotations

import io
import json
import tarfile
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from causeline.errors import OutputError, StoreError
from causeline.model.library import Attachment, CheckIn, Kind, Purpose, State, Tick, new_id
from causeline.store.backup import load_backup, save_backup
from causeline.store.database import Database
from causeline.store.library import Library, load_library
from causeline.store.library_consent import save_consent
from causeline.store.library_lessons import save_attachment, save_lesson, save_link
from causeline.store.library_people import load_golfers, save_audit
from causeline.store.library_practice import save_check_in, save_tick
from causeline.store.library_readings import ReadingBook
from causeline.store.library_removal import save_golfer_removed
from causeline.store.migrations import newest_revision
from causeline.store.tables import LEAVING, METADATA, READINGS
from causeline.store.vault import Vault
from causeline.store.verify import Problem, load_findings
from tests.databases import fresh_database
from tests.shelf import THEN, a_clip, a_golfer, a_lesson


def filled(library: Library) -> None:
    """Something in every table."""
    golfer = a_golfer(library, name="Žofie „the Owl“ 高")
    clip = a_clip(library, golfer)
    lesson = save_lesson(library, a_lesson(golfer), "coach")
    save_lesson(library, replace(lesson, title="again"), "coach")
    voice = Attachment(new_id(), golfer.id, Kind.TALK_THROUGH, {"s": 1.5}, THEN, lesson.id)
    save_attachment(library, voice, b"a voice")
    save_tick(library, Tick(new_id(), golfer.id, lesson.id, "s", THEN))
    save_check_in(library, CheckIn(new_id(), golfer.id, THEN, lesson.id, clip))
    save_consent(library, golfer.id, Purpose.SHARING, "they")
    save_link(library, golfer.id, lesson.id)
    save_audit(library, "coach", "lesson sent", lesson.id)
    ReadingBook(library).ask("0" * 64, "1" * 64, {"view": None}, {"causeline": "0.1.0"})
    ReadingBook(library).claim(ReadingBook(library).waiting(1)[0])


def restored(path: Path, url: str, vault: Path) -> None:
    """Bring a backup back."""
    database = Database(url)
    try:
        load_backup(path, database, Vault(vault))
    finally:
        database.close()


def rows(library: Library) -> dict[str, list[Any]]:
    """Every row; readings that somebody worked on wait again."""
    with library.database.reading() as connection:
        found = {
            table.name: sorted(map(str, connection.execute(select(table)).mappings()))
            for table in METADATA.sorted_tables
            if table is not LEAVING and table is not READINGS
        }
        states = connection.execute(select(READINGS.c.key, READINGS.c.state)).all()
        return {**found, "readings": [key for key, _ in states]}


@pytest.fixture(params=["sqlite", "postgresql"])
def other_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a database to bring a backup back into."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'other.sqlite'}"
    return fresh_database(request.getfixturevalue("postgres"))


def test_a_library_comes_back_in_either_database(
    library: Library, other_url: str, tmp_path: Path
) -> None:
    filled(library)
    told = save_backup(library, tmp_path / "backup.tar")
    assert told.files == len(list(library.vault.keys())) == 2
    restored(tmp_path / "backup.tar", other_url, tmp_path / "other")
    again = load_library(other_url, tmp_path / "other")
    assert rows(again) == rows(library)
    assert load_findings(again).problems == ()
    with again.database.reading() as connection:
        assert connection.execute(select(READINGS.c.state)).scalar() is State.WAITING
    line = save_audit(again, "coach", "restored", "library")
    assert line.id == 2
    again.close()


def test_a_backup_taken_while_people_work_holds_together(library: Library, tmp_path: Path) -> None:
    filled(library)
    coach_golfer, stop = load_golfers(library)[0], threading.Event()
    problems: list[Problem] = []

    def work() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            golfer = a_golfer(library, name=f"Passing {number}")
            a_clip(library, golfer, f"passing {number}".encode())
            a_clip(library, coach_golfer, f"staying {number}".encode())
            save_golfer_removed(library, golfer.id, "coach")

    worker = threading.Thread(target=work)
    worker.start()
    try:
        for number in range(3):
            path, place = tmp_path / f"{number}.tar", tmp_path / str(number)
            save_backup(library, path)
            place.mkdir()
            restored(path, f"sqlite:///{place}/library.sqlite", place / "files")
            again = load_library(place)
            problems += load_findings(again).problems
            assert coach_golfer in load_golfers(again)
            again.close()
    finally:
        stop.set()
        worker.join()
    assert problems == []


def test_a_backup_comes_back_only_into_an_empty_library(library: Library, tmp_path: Path) -> None:
    filled(library)
    save_backup(library, tmp_path / "backup.tar")
    before = rows(library)
    with pytest.raises(StoreError, match="already has rows in"):
        load_backup(tmp_path / "backup.tar", library.database, library.vault)
    assert rows(library) == before


def _changed(change: Callable[[dict[str, bytes]], None]) -> Callable[[bytes], bytes]:
    """A backup with other members."""

    def apply(content: bytes) -> bytes:
        with tarfile.open(fileobj=io.BytesIO(content)) as archive:
            members = {each.name: archive.extractfile(each).read() for each in archive}  # type: ignore[union-attr]
        change(members)
        whole = io.BytesIO()
        with tarfile.open(fileobj=whole, mode="w") as archive:
            for name, part in members.items():
                entry = tarfile.TarInfo(name)
                entry.size = len(part)
                archive.addfile(entry, io.BytesIO(part))
        return whole.getvalue()

    return apply


def _manifest_says(**said: Any) -> Callable[[dict[str, bytes]], None]:
    def change(members: dict[str, bytes]) -> None:
        told = json.loads(members["manifest.json"])
        members["manifest.json"] = json.dumps({**told, **said}).encode()

    return change


def _spoil_file(members: dict[str, bytes]) -> None:
    name = next(name for name in members if name.startswith("files/"))
    members[name] = members[name][:-1] + b"?"


def _lose_rows(members: dict[str, bytes]) -> None:
    members["rows/clips.jsonl"] = b""


def _lose_table(members: dict[str, bytes]) -> None:
    del members["rows/clips.jsonl"]


def _lose_end(members: dict[str, bytes]) -> None:
    del members["manifest.json"]


def _lose_file(members: dict[str, bytes]) -> None:
    del members[next(name for name in members if name.startswith("files/"))]


def _escape(members: dict[str, bytes]) -> None:
    members["files/../../../escaped"] = b"out"


@pytest.mark.parametrize(
    "spoil",
    [
        lambda content: content[:3000],
        lambda content: b"",
        lambda content: b"not a tar" * 1000,
        _changed(lambda members: members.update({"causeline-backup": b"causeline.backup/9"})),
        _changed(_manifest_says(revision="9999")),
        _changed(_manifest_says(files=7)),
        _changed(_spoil_file),
        _changed(_lose_rows),
        _changed(_escape),
        _changed(_lose_table),
        _changed(_lose_end),
        _changed(_lose_file),
    ],
    ids=[
        "cut", "empty", "no tar", "schema", "newer", "count", "spoilt", "rows", "escape", "table",
        "end", "file",
    ],
)  # fmt: skip
def test_a_broken_backup_brings_nothing_back(
    spoil: Callable[[bytes], bytes], tmp_path: Path
) -> None:
    library = load_library(tmp_path / "place")
    filled(library)
    path = tmp_path / "backup.tar"
    save_backup(library, path)
    path.write_bytes(spoil(path.read_bytes()))
    with pytest.raises(StoreError, match="could not be brought back"):
        restored(path, f"sqlite:///{tmp_path}/b.sqlite", tmp_path / "b")
    again = load_library(f"sqlite:///{tmp_path}/b.sqlite", tmp_path / "b")
    assert load_golfers(again) == ()
    assert list(again.vault.keys()) == []
    assert not list(tmp_path.parent.glob("escaped"))
    again.close()
    library.close()


def test_a_damaged_library_is_told_before_a_backup_is_trusted(tmp_path: Path) -> None:
    library = load_library(tmp_path / "place")
    filled(library)
    key = next(library.vault.keys())
    Path(library.vault.path(key)).write_bytes(b"spoilt")
    with pytest.raises(StoreError, match="Run `causeline verify`"):
        save_backup(library, tmp_path / "backup.tar")
    library.vault.remove(key)
    with pytest.raises(StoreError, match="is not there"):
        save_backup(library, tmp_path / "backup.tar")
    with pytest.raises(OutputError, match="could not be written"):
        save_backup(library, tmp_path / "nowhere" / "backup.tar")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["place"]
    library.close()


def test_a_backup_says_what_it_holds(library: Library, tmp_path: Path) -> None:
    filled(library)
    told = save_backup(library, tmp_path / "backup.tar")
    assert told.revision == newest_revision()
    assert told.rows["golfers"] == 1
    assert set(told.rows) == set(METADATA.tables) - {"leaving", "sessions", "invites"}
