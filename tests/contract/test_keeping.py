"""What is deleted is gone, what is exported is all there is, and nothing goes without a rule."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from datetime import timedelta
from pathlib import Path, PurePosixPath
from typing import Any

import pytest
from bench.puppet_reader import read_all
from click.testing import CliRunner
from jsonschema import Draft202012Validator, FormatChecker
from sqlalchemy import select

from causeline.cli import main
from causeline.errors import OutputError, SettingError, StoreError
from causeline.model.access import Kept, Made, Make
from causeline.model.library import (
    Attachment,
    CheckIn,
    GolferEntry,
    Kind,
    Purpose,
    Reference,
    Tick,
    new_id,
)
from causeline.store.library import Library, load_library
from causeline.store.library_access import save_invite, save_session
from causeline.store.library_clips import ClipNotes, load_clips, save_clip, save_reference
from causeline.store.library_consent import save_consent
from causeline.store.library_export import SCHEMA_FILE, save_export
from causeline.store.library_lessons import save_attachment, save_lesson, save_link
from causeline.store.library_made import save_made
from causeline.store.library_people import load_audit, load_golfers, save_audit
from causeline.store.library_practice import save_check_in, save_tick
from causeline.store.library_removal import save_golfer_removed
from causeline.store.library_retention import (
    load_due,
    load_retention,
    save_let_go,
    save_retention,
)
from causeline.store.reading_file import SCHEMA_FILE as READING_SCHEMA
from causeline.store.tables import INVITES, METADATA, SESSIONS, TAKES
from causeline.store.verify import load_findings
from tests.shelf import THEN, a_coach, a_golfer, a_lesson

NAME = "../..\\Zo\u00eb's <swing>.mov"


def full_golfer(library: Library, name: str = "Ivo Lindgard") -> tuple[GolferEntry, str]:
    """A golfer with something in every table that speaks of golfers; and a link's secret."""
    golfer = a_golfer(library, name=name)
    read_all(library, golfer, [f"a swing of {name}".encode()])
    (clip,) = load_clips(library, golfer.id)
    save_clip(library, golfer.id, f"another of {name}".encode(), ClipNotes(NAME, said="thin"))
    lesson = save_lesson(library, a_lesson(golfer), "coach")
    save_consent(library, golfer.id, Purpose.REFERENCE, "they")
    save_reference(library, Reference(new_id(), golfer.coach, clip.id, 1, "Calm", THEN))
    talk = Attachment(new_id(), golfer.id, Kind.TALK_THROUGH, {}, THEN, lesson.id)
    save_attachment(library, talk, f"film for {name}".encode())
    with library.keeping(f"voice for {name}".encode()) as (connection, key):
        take = {
            "id": new_id(), "talk": talk.id, "place": 0, "swings": "[]", "start": "{}",
            "events": "[]", "lasts_ms": 1, "voice_kind": "audio/webm", "voice_starts_ms": 0,
            "voice_key": key, "made_at": THEN, "closed": True,
        }  # fmt: skip
        connection.execute(TAKES.insert().values(take))
    made_of: tuple[tuple[Make, dict[str, Any]], ...] = (
        (Make.PROXY, {"sha256": clip.sha256}),
        (Make.FILM, {"golfer": golfer.id}),
        (Make.PAGE, {"lesson": lesson.id}),
    )
    for kind, whose in made_of:
        key = hashlib.sha256(f"{kind}{name}".encode()).hexdigest()
        made = Made(key, kind, {}, "", THEN, shared=kind is not Make.PROXY, **whose)
        save_made(library, made, f"{kind} of {name}".encode())
    save_tick(library, Tick(new_id(), golfer.id, lesson.id, "s", THEN))
    save_check_in(library, CheckIn(new_id(), golfer.id, THEN, lesson.id, clip.id, felt="easier"))
    _, secret = save_link(library, golfer.id, lesson.id)
    save_audit(library, "coach", "lesson sent", golfer.id)
    return golfer, secret


def test_a_deleted_golfer_leaves_no_row_and_no_file(library: Library) -> None:
    """Every table and every file of the vault is looked at; `verify` finds the library whole."""
    stays, _ = full_golfer(library, "Nell Tarrow")
    kept = set(library.vault.keys())
    golfer, _ = full_golfer(library)
    # Nine files each; the puppet's reading, and what was seen of it, are the same for both.
    assert len(set(library.vault.keys()) - kept) == 7
    save_golfer_removed(library, golfer.id, "coach")
    assert set(library.vault.keys()) == kept
    assert load_findings(library).problems == ()
    with library.database.reading() as connection:
        for table in METADATA.sorted_tables:
            rows = str(connection.execute(select(table)).mappings().all())
            assert golfer.id not in rows or table.name == "audit", table.name
            assert "Ivo Lindgard" not in rows, table.name
    for file in Path(library.vault.root).rglob("*"):
        assert file.is_dir() or b"Ivo Lindgard" not in file.read_bytes()
    assert [each.id for each in load_golfers(library)] == [stays.id]


def test_an_export_is_everything_about_one_golfer_and_nothing_of_another(
    library: Library, tmp_path: Path
) -> None:
    other, _ = full_golfer(library, "Nell Tarrow")
    golfer, secret = full_golfer(library)
    told = save_export(library, golfer.id, tmp_path / "ivo.zip")
    with zipfile.ZipFile(tmp_path / "ivo.zip") as archive:
        assert archive.testzip() is None
        files = {name: archive.read(name) for name in archive.namelist()}
    assert all(len(PurePosixPath(name).parts) <= 2 and ".." not in name for name in files)
    whole = json.loads(files["golfer.json"])
    schema = json.loads(SCHEMA_FILE.read_text())
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema, format_checker=FormatChecker()).validate(whole)
    empty = {name for name, rows in whole["tables"].items() if not rows}
    assert empty <= {"judgements", "mailings", "posted", "reminders", "take_parts"}
    text = b"".join(v for n, v in files.items() if "schema" not in n).decode("utf-8", "replace")
    for foreign in ("Nell Tarrow", other.id, secret, "secret_hash"):
        assert foreign not in text
    clips = {hashlib.sha256(v).hexdigest() for n, v in files.items() if n.startswith("clips/")}
    assert clips == {each["sha256"] for each in whole["tables"]["clips"]}
    assert (told.clips, told.readings, told.lessons, told.attached, told.shared) == (2, 1, 1, 2, 2)
    assert "readme.txt" in files
    assert f"{told.measures} measures" in files["readme.txt"].decode()


def test_an_export_s_readings_and_measures_are_those_of_the_reading_file(
    library: Library, tmp_path: Path
) -> None:
    golfer, _ = full_golfer(library)
    told = save_export(library, golfer.id, tmp_path / "ivo.zip")
    with zipfile.ZipFile(tmp_path / "ivo.zip") as archive:
        (name,) = [each for each in archive.namelist() if each.startswith("readings/")]
        reading = json.loads(archive.read(name))
        lines = list(csv.DictReader(io.StringIO(archive.read("measures.csv").decode("utf-8-sig"))))
    Draft202012Validator(json.loads(READING_SCHEMA.read_text())).validate(reading)
    swings = reading["swings"]
    assert len(lines) == told.measures == sum(len(swing["measures"]) for swing in swings)
    first = next(each for each in swings[0]["measures"] if "value" in each)
    line = next(each for each in lines if each["value"] and each["measure"] == first["name"]
                and each["moment"] == (first["moment"] or ""))  # fmt: skip
    assert (float(line["value"]), float(line["sd"]), line["unit"]) == (
        first["value"], first["sd"], first["unit"],
    )  # fmt: skip
    assert all(bool(each["value"]) != bool(each["refused"]) for each in lines)


def test_an_export_that_cannot_be_whole_is_not_there(library: Library, tmp_path: Path) -> None:
    golfer, _ = full_golfer(library)
    with pytest.raises(StoreError, match="no row"):
        save_export(library, "nobody", tmp_path / "x.zip")
    with pytest.raises(OutputError, match="could not be written"):
        save_export(library, golfer.id, tmp_path / "nowhere" / "x.zip")
    clip = load_clips(library, golfer.id)[0]
    Path(library.vault.path(clip.sha256)).write_bytes(b"spoilt")
    with pytest.raises(StoreError, match="Run `causeline verify`"):
        save_export(library, golfer.id, tmp_path / "x.zip")
    assert not [each for each in tmp_path.iterdir() if "zip" in each.name]


def test_nothing_goes_without_a_rule_and_a_dry_run_changes_nothing(library: Library) -> None:
    full_golfer(library)
    before = set(library.vault.keys())
    assert load_due(library) == ()
    assert save_let_go(library, "coach") == ()
    library.now = lambda: THEN + timedelta(days=4000)
    assert load_due(library) == ()
    save_retention(library, Kept.CLIP, 365, "coach")
    (due,) = load_due(library)
    assert (due.kind, due.count) == (Kept.CLIP, 1), "one is kept to compare with"
    assert set(library.vault.keys()) == before
    with pytest.raises(SettingError, match="At least 7"):
        save_retention(library, Kept.CLIP, 1, "coach")
    save_retention(library, Kept.CLIP, None, "coach")
    assert load_retention(library) == ()


@pytest.mark.parametrize(
    ("kind", "rows", "files"),
    [
        (Kept.CLIP, {"clips": 1}, 8),
        (Kept.READING, {"readings": 0, "stages": 0, "made": 2, "clips": 2}, 6),
        (Kept.LESSON, {"lessons": 0, "lesson_versions": 0, "attachments": 0, "takes": 0, "ticks": 0,
                       "links": 0, "made": 2, "check_ins": 1}, 6),
        (Kept.PRACTICE, {"ticks": 0, "check_ins": 0, "clips": 2}, 9),
        (Kept.GOLFER, {"golfers": 0, "clips": 0, "lessons": 0, "readings": 0, "made": 0}, 0),
        (Kept.AUDIT, {"audit": 1}, 9),
    ],
)  # fmt: skip
def test_each_rule_lets_go_of_its_kind_and_of_its_files(
    library: Library, kind: Kept, rows: dict[str, int], files: int
) -> None:
    full_golfer(library)
    library.now = lambda: THEN + timedelta(days=4000)
    save_retention(library, kind, 3000, "coach")
    gone = save_let_go(library, "coach")
    assert [each.kind for each in gone] == [kind]
    with library.database.reading() as connection:
        for table in METADATA.sorted_tables:
            if table.name in rows and table.name != "audit":
                found = connection.execute(select(table)).all()
                assert len(found) == rows[table.name], table.name
    assert len(list(library.vault.keys())) == files
    assert load_findings(library).problems == ()
    assert load_due(library) == ()
    if kind is Kept.AUDIT:
        assert [each.what for each in load_audit(library)] == ["audit let go", "kept: audit"]


def test_what_is_over_goes_with_every_tidying(library: Library) -> None:
    coach = a_coach(library)
    save_session(library, coach.id)
    save_invite(library, coach.id)
    library.now = lambda: THEN + timedelta(days=4000)
    save_let_go(library, "coach")
    with library.database.reading() as connection:
        for table in (SESSIONS, INVITES):
            assert connection.execute(select(table)).all() == []


def test_export_and_tidy_from_the_command_line(tmp_path: Path) -> None:
    place = tmp_path / "place"
    library = load_library(place)
    golfer, _ = full_golfer(library)
    library.close()
    at, run = ["--library", str(place)], CliRunner().invoke
    told = run(main, ["export", "Ivo Lindgard", "--out", str(tmp_path / "ivo.zip"), *at])
    assert told.exit_code == 0, told.output
    assert "2 clips, 1 readings" in told.output
    assert zipfile.is_zipfile(tmp_path / "ivo.zip")
    assert run(main, ["export", "Nobody", *at]).exit_code == 2
    told = run(main, ["tidy", "--keep", "golfers=7d", "--keep", "clips=3y", *at])
    assert "1096 days" in told.output
    assert "ever" in told.output
    for wrong in ("clips=3", "swings=3y", "clips", "clips=1d"):
        assert run(main, ["tidy", "--keep", wrong, *at]).exit_code == 2
    assert "0 let go of" in run(main, ["tidy", "--keep", "golfers=ever", "--yes", *at]).output
    library = load_library(place)
    assert [each.id for each in load_golfers(library)] == [golfer.id]
    assert load_audit(library, golfer.id)[0].what == "exported"
    library.close()
