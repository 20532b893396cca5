"""The library's schema: from nothing and from every earlier version, whole or not at all."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Date,
    DateTime,
    Float,
    Integer,
    Table,
    inspect,
    select,
    text,
)

from causeline.errors import StoreError
from causeline.store.database import Database
from causeline.store.library import load_library
from causeline.store.migrations import (
    known_revisions,
    load_revision,
    newest_revision,
    r0001_first,
    save_newest_schema,
)
from causeline.store.tables import METADATA
from tests.databases import fresh_database

MIGRATE = """
import sys
from causeline.store.database import Database
from causeline.store.migrations import save_newest_schema
print("ready", flush=True)
save_newest_schema(Database(sys.argv[1]))
print("done", flush=True)
"""


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a database without a schema."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'library.sqlite'}"
    return fresh_database(request.getfixturevalue("postgres"))


@pytest.mark.parametrize("start", [None, *known_revisions()])
def test_every_version_comes_to_the_newest(empty_url: str, start: str | None) -> None:
    database = Database(empty_url)
    if start is not None:
        save_newest_schema(database, start)
    save_newest_schema(database)
    with database.reading() as connection:
        assert load_revision(connection) == newest_revision()
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []
    database.close()


def test_a_library_of_a_newer_version_is_refused_and_left_alone(
    database_url: str, tmp_path: Path
) -> None:
    load_library(database_url, tmp_path / "files").close()
    database = Database(database_url)
    with database.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreError, match="knows none newer than"):
        load_library(database_url, tmp_path / "files")
    with database.reading() as connection:
        assert load_revision(connection) == "9999"
    database.close()


def test_a_step_back_is_refused() -> None:
    with pytest.raises(StoreError, match="goes forward only"):
        r0001_first.downgrade()


def test_a_database_of_something_else_is_refused(empty_url: str) -> None:
    database = Database(empty_url)
    with database.writing() as connection:
        connection.execute(text("CREATE TABLE invoices (id INTEGER)"))
    with pytest.raises(StoreError, match=r"already holds other tables \(invoices\)"):
        save_newest_schema(database)
    database.close()


def test_two_programs_that_start_at_once_migrate_once(empty_url: str) -> None:
    command = [sys.executable, "-c", MIGRATE, empty_url]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE) for _ in range(2)]
    assert [one.communicate()[0] for one in both] == [b"ready\ndone\n"] * 2


@pytest.mark.parametrize("wait_s", [0.0, 0.05])
def test_killed_while_it_migrates_nothing_is_half_made(empty_url: str, wait_s: float) -> None:
    command = [sys.executable, "-c", MIGRATE, empty_url]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == b"ready\n"
        time.sleep(wait_s)
        os.kill(child.pid, signal.SIGKILL)
    database = Database(empty_url)
    with database.reading() as connection:
        made = set(inspect(connection).get_table_names()) - {"alembic_version"}
        assert made in (set(), set(METADATA.tables))
    save_newest_schema(database)
    with database.reading() as connection:
        assert load_revision(connection) == newest_revision()
    database.close()


@pytest.mark.parametrize("many", [1, 40])
def test_rows_of_the_first_schema_are_kept_as_they_were(empty_url: str, many: int) -> None:
    """A library of the first version, with rows in every table, is there after every step."""
    database = Database(empty_url)
    save_newest_schema(database, "0001")
    tables = list(r0001_first.METADATA.sorted_tables)
    with database.writing() as connection:
        for number in range(many):
            for table in tables:
                connection.execute(table.insert().values(_row(table, number)))
    before = _rows(database, tables)
    assert all(len(rows) == many for rows in before.values())
    save_newest_schema(database)
    assert _rows(database, tables) == before
    with database.reading() as connection:
        assert load_revision(connection) == newest_revision()
    database.close()


THEN = datetime(2026, 4, 6, 9, 30, tzinfo=UTC)
WORDS = {
    "hand": "left", "units": "imperial", "back": "fine", "purpose": "sharing", "view": "face-on",
    "club": "mid iron", "state": "ready", "touch": "ruling", "kind": "drawing",
}  # fmt: skip


def _row(table: Table, number: int) -> dict[str, Any]:
    """A value for every column; rows of one number belong to each other."""
    values: dict[str, Any] = {}
    for column in table.columns:
        name, kind = column.name, column.type
        if column.foreign_keys:
            values[name] = f"{number:032x}"
        elif name in WORDS:
            values[name] = WORDS[name]
        elif isinstance(kind, JSON):
            values[name] = {"ä": [1, 2.5, None]}
        elif isinstance(kind, DateTime):
            values[name] = THEN
        elif isinstance(kind, Date):
            values[name] = THEN.date()
        elif isinstance(kind, Boolean):
            values[name] = True
        elif isinstance(kind, Integer | BigInteger | Float):
            values[name] = number + 1
        else:
            values[name] = f"{number:0{getattr(kind, 'length', None) or 8}x}"[:64]
    return values


def _rows(database: Database, tables: list[Table]) -> dict[str, list[str]]:
    with database.reading() as connection:
        return {
            table.name: sorted(str(tuple(row)) for row in connection.execute(select(table)))
            for table in tables
        }
