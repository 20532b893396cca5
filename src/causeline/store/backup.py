"""A backup: one tar file with every row and every file, taken while the library is in use.

    causeline-backup     the schema, `causeline.backup/1`
    files/KEY            every file that a row speaks of, under its SHA-256
    rows/TABLE.jsonl     one JSON object for each row
    manifest.json        the library's revision, and what there should be

Files are copied until the rows of one instant speak of none that is not there; those rows are kept.
The file does not depend on the database that it came from: a library of SQLite comes back in
PostgreSQL, and the other way round.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import secrets
import shutil
import tarfile
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path
from typing import IO, Any

from sqlalchemy import Connection, Date, DateTime, MetaData, Table, inspect, select, text

from causeline.errors import CauselineError, OutputError, StoreError
from causeline.model.library import State
from causeline.store.database import Database
from causeline.store.library import Library, spoken_of
from causeline.store.migrations import (
    known_revisions,
    load_revision,
    newest_revision,
    save_newest_schema,
)
from causeline.store.tables import FILE_COLUMNS, INVITES, LEAVING, METADATA, READINGS, SESSIONS
from causeline.store.vault import CHUNK, Vault

SCHEMA = "causeline.backup/1"
FIRST, LAST = "causeline-backup", "manifest.json"
PASSES = 50
"""Only a file that is deleted while it is copied asks for another pass."""
ROWS_AT_ONCE = 500
MOST_MANIFEST = 1 << 20
Heard = Callable[[int, int], None]
"""(files done, files in all as far as is known)."""
_LEFT_OUT = {LEAVING.name, SESSIONS.name, INVITES.name}
"""What opens a browser's way in does not come back."""
_BROKEN = (OSError, tarfile.TarError, EOFError, ValueError, LookupError, TypeError)
"""What a file that is no sound backup raises on its way."""


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup holds."""

    revision: str
    made_at: str
    rows: dict[str, int]
    files: int
    """Of which the rows speak; files that were deleted meanwhile may lie beside them."""


def save_backup(library: Library, path: Path, heard: Heard | None = None) -> Manifest:
    """Write a backup, whole or not at all. Reading and writing in the library may go on.

    Raises OutputError where it cannot be written, StoreError where a file of the library is
    missing or damaged: see `causeline verify`.
    """
    partial = path.with_name(f".{path.name[:40]}.{secrets.token_hex(8)}.part")
    try:
        with partial.open("xb") as file:
            with tarfile.open(fileobj=file, mode="w") as archive:
                manifest = _write(library, archive, partial.parent, heard or _quiet)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError as error:
        if isinstance(error, CauselineError):
            raise
        raise _not_written(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            partial.unlink()
    return manifest


def load_backup(
    path: Path, database: Database, vault: Vault, heard: Heard | None = None
) -> Manifest:
    """Bring a backup back into an empty database and a vault; the rows whole or not at all.

    Every file is hashed on its way. A backup of an older version is brought to this one. Where it
    fails, the files that it brought go again.

    Raises StoreError for a file that is no backup, is damaged, or comes from a newer version, and
    for a database that is not empty.
    """
    _check_empty(database)
    brought: set[str] = set()
    try:
        manifest, taken = _bring(path, database, vault, brought, heard or _quiet)
    except BaseException as error:
        for key in brought:
            with contextlib.suppress(OSError, CauselineError):
                vault.remove(key)
        if isinstance(error, CauselineError) or not isinstance(error, _BROKEN):
            raise
        raise _no_backup(path, str(getattr(error, "strerror", None) or error)) from error
    save_newest_schema(database)
    with database.reading() as connection:
        for key in taken:
            if not spoken_of(connection, key):
                vault.remove(key)
    return manifest


def _bring(
    path: Path, database: Database, vault: Vault, brought: set[str], heard: Heard
) -> tuple[Manifest, set[str]]:
    """Files, then rows; `brought` names the files that were not there before."""
    with tarfile.open(path, "r:") as archive, tempfile.TemporaryDirectory() as folder:
        _check_first(archive)
        taken = _take_all(archive, vault, Path(folder), brought, heard)
        manifest = _manifest(Path(folder))
        save_newest_schema(database, manifest.revision)
        _insert(database, manifest, Path(folder), taken)
    return manifest, taken


def _write(library: Library, archive: tarfile.TarFile, beside: Path, heard: Heard) -> Manifest:
    """Files that the rows of one instant speak of, then those rows; again where one was deleted."""
    _add(archive, FIRST, SCHEMA.encode())
    copied: set[str] = set()
    for _ in range(PASSES):
        with tempfile.TemporaryDirectory(dir=beside, prefix=".backup-") as name:
            manifest, needed = _rows(library, Path(name))
            for key in sorted(needed - copied):
                if _add_file(archive, library, key):
                    copied.add(key)
                heard(len(copied), len(needed | copied))
            if needed <= copied:
                for table_name in manifest.rows:
                    archive.add(Path(name) / table_name, f"rows/{table_name}.jsonl", filter=_plain)
                _add(archive, LAST, json.dumps(asdict(manifest), indent=1).encode())
                return manifest
    raise StoreError(
        "clips were deleted from the library faster than the backup could be written",
        "a quieter library was expected",
        "take the backup again later",
    )


def _rows(library: Library, folder: Path) -> tuple[Manifest, set[str]]:
    """The rows of one instant, as files in a folder; and the keys of the files they speak of."""
    with library.database.reading() as connection:
        revision = load_revision(connection) or newest_revision()
        rows = {
            table.name: _dump(connection, table, folder)
            for table in METADATA.sorted_tables
            if table.name not in _LEFT_OUT
        }
        keys = _keys(connection)
    return Manifest(revision, library.now().isoformat(), rows, len(keys)), keys


def _dump(connection: Connection, table: Table, folder: Path) -> int:
    """Write a table's rows as lines of JSON; gives how many."""
    count = 0
    with (folder / table.name).open("w", encoding="utf-8") as file:
        for row in connection.execute(select(table)).mappings():
            file.write(json.dumps(dict(row), default=_as_text, ensure_ascii=False) + "\n")
            count += 1
    return count


def _as_text(value: Any) -> str:
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"got {type(value).__name__}; expected plain data or a date")


def _keys(connection: Connection) -> set[str]:
    keys: set[str] = set()
    for column in FILE_COLUMNS:
        keys.update(connection.execute(select(column).where(column.is_not(None))).scalars())
    return keys


def _add(archive: tarfile.TarFile, name: str, content: bytes) -> None:
    entry = tarfile.TarInfo(name)
    entry.size = len(content)
    archive.addfile(entry, io.BytesIO(content))


def _add_file(archive: tarfile.TarFile, library: Library, key: str) -> bool:
    """Copy a file; False where it was deleted, with its rows, after the rows were read."""
    try:
        sound = library.vault.is_sound(key)
        entry = tarfile.TarInfo(f"files/{key}")
        entry.size = library.vault.size(key)
        with library.vault.open(key) as content:
            archive.addfile(entry, content)
    except StoreError:
        with library.database.reading() as connection:
            if spoken_of(connection, key):
                raise
        return False
    if not sound:
        raise StoreError(
            f"the kept file {key[:12]}… is not what was stored",
            "a library without damage was expected",
            "run `causeline verify`, mend what it finds, then take the backup again",
        )
    return True


def _plain(entry: tarfile.TarInfo) -> tarfile.TarInfo:
    """Nobody's name or number goes along."""
    plain = tarfile.TarInfo(entry.name)
    plain.size = entry.size
    return plain


def _check_first(archive: tarfile.TarFile) -> None:
    entry = archive.next()
    if entry is None or entry.name != FIRST or entry.size > MOST_MANIFEST:
        raise ValueError("it does not begin as a backup does")
    schema = _content(archive, entry).read().decode("utf-8", "replace")
    if schema != SCHEMA:
        raise ValueError(f"its schema is {schema[:80]!r}, this version reads {SCHEMA!r}")


def _manifest(folder: Path) -> Manifest:
    if not (folder / LAST).exists():
        raise ValueError("its end, the manifest, is missing")
    manifest = Manifest(**json.loads((folder / LAST).read_bytes()))
    if manifest.revision not in known_revisions():
        raise ValueError(f"it is of a newer version (revision {manifest.revision!r})")
    return manifest


def _take_all(
    archive: tarfile.TarFile, vault: Vault, folder: Path, brought: set[str], heard: Heard
) -> set[str]:
    """Files to the vault, rows to the folder. Names in the archive never become paths."""
    known = {f"rows/{name}.jsonl": folder / name for name in METADATA.tables}
    known[LAST] = folder / LAST
    taken: set[str] = set()
    for entry in archive:
        if entry.name in known:
            _copy(archive, entry, known[entry.name])
        elif entry.name.startswith("files/"):
            taken.add(_take_file(archive, entry, vault, folder / "content", brought))
            heard(len(taken), len(taken))
    return taken


def _take_file(
    archive: tarfile.TarFile,
    entry: tarfile.TarInfo,
    vault: Vault,
    scratch: Path,
    brought: set[str],
) -> str:
    _copy(archive, entry, scratch)
    key = vault.key_of(scratch)
    if entry.name != f"files/{key}":
        raise ValueError(f"{entry.name[:80]} in it is not what was stored")
    if not vault.has(key):
        brought.add(key)
    return vault.keep(scratch)


def _copy(archive: tarfile.TarFile, entry: tarfile.TarInfo, path: Path) -> None:
    with path.open("wb") as target:
        shutil.copyfileobj(_content(archive, entry), target, CHUNK)


def _content(archive: tarfile.TarFile, entry: tarfile.TarInfo) -> IO[bytes]:
    content = archive.extractfile(entry) if entry.isfile() else None
    if content is None:
        raise ValueError(f"{entry.name[:80]} in it is no ordinary file")
    return content


def _check_empty(database: Database) -> None:
    with database.reading() as connection:
        there = set(inspect(connection).get_table_names())
        for table in METADATA.sorted_tables:
            if table.name in there and connection.execute(select(table).limit(1)).first():
                raise StoreError(
                    f"the library {database} already has rows in {table.name}",
                    "a backup comes back into an empty library",
                    "give another folder, or an empty database",
                )


def _insert(database: Database, manifest: Manifest, folder: Path, taken: set[str]) -> None:
    with database.alone() as connection:
        known = MetaData()
        known.reflect(connection)
        for table in known.sorted_tables:
            if table.name in manifest.rows:
                count = sum(_insert_rows(connection, table, rows) for rows in _read(folder, table))
                _check_count(table.name, count, manifest.rows[table.name])
        needed = _keys(connection)
        _check_count("files", len(needed & taken), manifest.files)
        waiting = {"state": State.WAITING, "claim": ""}
        working = READINGS.c.state == State.WORKING
        connection.execute(READINGS.update().where(working).values(waiting))
        if not database.is_sqlite:
            newest = "SELECT setval(pg_get_serial_sequence('audit', 'id'), max(id)) FROM audit"
            connection.execute(text(newest))


def _check_count(what: str, count: int, stored: int) -> None:
    if count != stored:
        raise ValueError(f"{count} of {what} are in it, and {stored} were stored")


def _read(folder: Path, table: Table) -> Iterator[list[dict[str, Any]]]:
    """A table's rows, some at a time, with dates as dates."""
    dates = {column.name: type(column.type) for column in table.columns}
    made: list[dict[str, Any]] = []
    with (folder / table.name).open(encoding="utf-8") as file:
        for line in file:
            row = json.loads(line)
            made.append({name: _as_date(value, dates[name]) for name, value in row.items()})
            if len(made) == ROWS_AT_ONCE:
                yield made
                made = []
    yield made


def _as_date(value: Any, kind: type) -> Any:
    if isinstance(value, str) and issubclass(kind, DateTime):
        return datetime.fromisoformat(value)
    if isinstance(value, str) and issubclass(kind, Date):
        return date.fromisoformat(value)
    return value


def _insert_rows(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> int:
    if rows:
        connection.execute(table.insert(), rows)
    return len(rows)


def _no_backup(path: Path, why: str) -> StoreError:
    return StoreError(
        f"{path.name} could not be brought back: {why}",
        f"a whole file of `causeline backup` was expected ({SCHEMA})",
        "nothing was changed in the library's rows; use another backup",
    )


def _not_written(path: Path, error: OSError) -> OutputError:
    reason = (error.strerror or str(error)).lower()
    return OutputError(
        f"the backup {path} could not be written: {reason}",
        "nothing of it was left behind",
        "make room there, or write it elsewhere",
    )


def _quiet(done: int, total: int) -> None:
    """Report nothing."""
