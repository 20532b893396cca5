"""Everything about one golfer, as a ZIP of open formats that needs no Causeline to be read.

readme.txt           what is in it, in words
golfer.json          every row about them, table by table (golfer.schema.json says its form)
clips/NAME           as they were sent
readings/NAME.json   reading files of the newest readings (docs/reading-file.md)
measures.csv         every measure of every swing, with its ±
lessons/NAME.json    lessons as they stand
attached/NAME        drawings, talk-throughs, pictures
shared/NAME          pages, films and prints that were made to be shared
"""

from __future__ import annotations

import base64
import contextlib
import csv
import io
import json
import os
import secrets
import shutil
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, or_, select

from causeline.errors import CauselineError, OutputError, ReadingFileError, StoreError
from causeline.model.access import Make
from causeline.model.library import ClipEntry, ReadingEntry, State
from causeline.store.leading import leads_to_golfer
from causeline.store.library import Library
from causeline.store.library_clips import load_clips
from causeline.store.library_people import load_golfer
from causeline.store.library_readings import load_reading_content
from causeline.store.rows import many
from causeline.store.tables import (
    ATTACHMENTS,
    AUDIT,
    LESSONS,
    LINKS,
    MADE,
    METADATA,
    READINGS,
    SWINGS,
    TAKES,
)
from causeline.store.vault import CHUNK

SCHEMA = "causeline.golfer/1"
SCHEMA_FILE = Path(__file__).parent / "schemas" / "golfer-1.schema.json"
SECRET = {LINKS.name: ("secret_hash",)}
"""Columns that are nobody's data, and open something."""
COLUMNS = (
    "clip", "filmed_on", "swing", "rehearsal", "moment", "measure", "value", "sd", "unit",
    "refused",
)  # fmt: skip
ALL = 1_000_000
ENDINGS = {Make.PAGE: ".html", Make.FILM: ".mp4", Make.PRINT: ".pdf"}
README = """Everything that this library holds about {name}, of {when}.

golfer.json     every row about them, table by table; golfer.schema.json says its form
clips/          {clips} clips, as they were sent
readings/       {readings} readings: moments, measures and tracks; see "schema" in each
measures.csv    {measures} measures, each with its ± (one standard deviation, column sd)
lessons/        {lessons} lessons
attached/       {attached} files that hang on lessons and clips: drawings, voices, pictures
shared/         {shared} pages, films and prints that were made to be shared

Text is UTF-8. Times have a zone. JSON, CSV, and the formats of the clips are open: no
particular program is needed. Anybody who has this file sees all of it: keep it safe.
"""


@dataclass(frozen=True, slots=True)
class Exported:
    """What an export holds."""

    clips: int
    readings: int
    measures: int
    lessons: int
    attached: int
    shared: int
    rows: int


def save_export(library: Library, golfer: str, path: Path) -> Exported:
    """Write the ZIP, whole or not at all.

    Raises StoreError for no such golfer or a damaged file, OutputError where it cannot be written.
    """
    partial = path.with_name(f".{path.name[:40]}.{secrets.token_hex(8)}.part")
    try:
        with partial.open("xb") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                told = _write(library, golfer, archive)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError as error:
        if isinstance(error, CauselineError):
            raise
        raise OutputError(
            f"the export {path} could not be written: {(error.strerror or str(error)).lower()}",
            "nothing of it was left behind",
            "make room there, or write it elsewhere",
        ) from error
    finally:
        with contextlib.suppress(OSError):
            partial.unlink()
    return told


def _write(library: Library, golfer: str, archive: zipfile.ZipFile) -> Exported:
    entry = load_golfer(library, golfer)
    clips = load_clips(library, golfer, limit=ALL)
    with library.database.reading() as connection:
        rows = _rows(connection, golfer, clips)
        readings = _newest(connection, clips)
    names = _names(clips)
    for clip in clips:
        _add_file(archive, library, f"clips/{names[clip.id]}", clip.sha256, packed=True)
    measures = _add_readings(archive, library, readings, clips, names)
    for number, lesson in enumerate(rows[LESSONS.name], 1):
        _add_json(archive, f"lessons/lesson_{number:03d}.json", lesson["content"])
    attached = _add_attached(archive, library, rows)
    shared = _add_shared(archive, library, rows)
    told = {
        "schema": SCHEMA,
        "made_at": library.now().isoformat(),
        "golfer": golfer,
        "tables": rows,
    }
    _add_json(archive, "golfer.json", told)
    archive.writestr("golfer.schema.json", SCHEMA_FILE.read_bytes())
    counts = Exported(
        clips=len(clips),
        readings=len(readings),
        measures=measures,
        lessons=len(rows[LESSONS.name]),
        attached=attached,
        shared=shared,
        rows=sum(map(len, rows.values())),
    )
    words = {name: getattr(counts, name) for name in Exported.__slots__}
    when = library.now().date().isoformat()
    archive.writestr("readme.txt", README.format(name=entry.golfer.name, when=when, **words))
    return counts


def _rows(
    connection: Connection, golfer: str, clips: tuple[ClipEntry, ...]
) -> dict[str, list[dict[str, Any]]]:
    """Every row about the golfer, by table; a table that is added later is among them."""
    hashes = [clip.sha256 for clip in clips]
    readings = READINGS.c.sha256.in_(hashes)
    chosen: dict[Table, Any] = {
        READINGS: readings,
        SWINGS: SWINGS.c.reading.in_(select(READINGS.c.id).where(readings)),
        AUDIT: AUDIT.c.about == golfer,
    }
    for table in METADATA.sorted_tables:
        about = leads_to_golfer(table, lambda column: column == golfer)
        if about is not None and table is not MADE:
            chosen[table] = about
    lessons = select(LESSONS.c.id).where(LESSONS.c.golfer == golfer)
    chosen[MADE] = or_(
        MADE.c.golfer == golfer, MADE.c.lesson.in_(lessons), MADE.c.sha256.in_(hashes)
    )
    return {
        table.name: [
            {name: _plain(row[name]) for name in row if name not in SECRET.get(table.name, ())}
            for row in connection.execute(select(table).where(which)).mappings()
        ]
        for table, which in chosen.items()
    }


def _plain(value: Any) -> Any:
    if isinstance(value, bytes):
        return base64.b64encode(value).decode()
    if isinstance(value, tuple):
        return list(value)
    return value.isoformat() if isinstance(value, date) else value


def _newest(connection: Connection, clips: tuple[ClipEntry, ...]) -> dict[str, ReadingEntry]:
    """The newest ready reading of each clip, by the clip's content."""
    hashes = [clip.sha256 for clip in clips]
    query = (
        select(READINGS)
        .where(READINGS.c.sha256.in_(hashes), READINGS.c.state == State.READY)
        .order_by(READINGS.c.asked_at)
    )
    return {each.sha256: each for each in many(connection, ReadingEntry, query)}


def _names(clips: tuple[ClipEntry, ...]) -> dict[str, str]:
    """A name for each clip's file: its own, made plain, and never twice."""
    names: dict[str, str] = {}
    for number, clip in enumerate(clips, 1):
        plain = "".join(each if each.isalnum() or each in "._-" else "_" for each in clip.name)
        names[clip.id] = f"{number:03d}_{plain.lstrip('.')[-80:] or 'clip'}"
    return names


def _add_readings(
    archive: zipfile.ZipFile,
    library: Library,
    readings: Mapping[str, ReadingEntry],
    clips: tuple[ClipEntry, ...],
    names: Mapping[str, str],
) -> int:
    """Each reading file, and one table of all measures; gives how many these are."""
    table = io.StringIO(newline="")
    writer, count = csv.writer(table), 0
    writer.writerow(COLUMNS)
    for clip in clips:
        entry = readings.get(clip.sha256)
        if entry is None or entry.reading_key is None:
            continue
        try:
            content = load_reading_content(library, entry)
        except ReadingFileError:  # of an older version: as it is, without its measures
            _add_file(archive, library, f"readings/{names[clip.id]}.json", entry.reading_key)
            continue
        _add_json(archive, f"readings/{names[clip.id]}.json", content)
        for line in _measures(content, clip, names[clip.id]):
            writer.writerow(line)
            count += 1
    archive.writestr("measures.csv", table.getvalue().encode("utf-8-sig"))
    return count


def _measures(content: dict[str, Any], clip: ClipEntry, name: str) -> Iterator[tuple[Any, ...]]:
    day = clip.filmed_on.isoformat() if clip.filmed_on else ""
    for number, swing in enumerate(content["swings"], 1):
        for each in swing["measures"]:
            yield (
                name, day, number, swing["rehearsal"], each.get("moment") or "", each["name"],
                each.get("value", ""), each.get("sd", ""), each.get("unit", ""),
                each.get("refused", ""),
            )  # fmt: skip


def _add_attached(
    archive: zipfile.ZipFile, library: Library, rows: Mapping[str, list[dict[str, Any]]]
) -> int:
    files = [(f"{row['kind']}_{row['id'][:8]}", row["file_key"]) for row in rows[ATTACHMENTS.name]]
    files += [(f"voice_{row['id'][:8]}.webm", row["voice_key"]) for row in rows[TAKES.name]]
    there = [(name, key) for name, key in files if key]
    for name, key in there:
        _add_file(archive, library, f"attached/{name}", key)
    return len(there)


def _add_shared(
    archive: zipfile.ZipFile, library: Library, rows: Mapping[str, list[dict[str, Any]]]
) -> int:
    there = [row for row in rows[MADE.name] if row["shared"] and library.vault.has(row["file_key"])]
    for row in there:
        kind = Make(row["kind"])
        name = f"shared/{kind.value}_{row['key'][:8]}{ENDINGS.get(kind, '')}"
        _add_file(archive, library, name, row["file_key"])
    return len(there)


def _add_file(
    archive: zipfile.ZipFile, library: Library, name: str, key: str, *, packed: bool = False
) -> None:
    """A file of the vault; what is packed already is stored as it is. Raises StoreError."""
    if not library.vault.is_sound(key):
        raise StoreError(
            f"the kept file {key[:12]}… is not what was stored",
            "a library without damage was expected",
            "run `causeline verify`, mend what it finds, then export again",
        )
    info = zipfile.ZipInfo(name)
    info.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
    with library.vault.open(key) as source, archive.open(info, "w", force_zip64=True) as target:
        shutil.copyfileobj(source, target, CHUNK)


def _add_json(archive: zipfile.ZipFile, name: str, content: Any) -> None:
    text = json.dumps(content, ensure_ascii=False, indent=1, allow_nan=False, default=_plain)
    archive.writestr(name, text.encode("utf-8", "backslashreplace"))
