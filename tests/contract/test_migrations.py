"""The library's schema: from nothing and from every earlier version, whole or not at all."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from bench.survive_schema import survive_schema
from sqlalchemy import text

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
from tests.first_schema import first_library, rows_of

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


def test_killed_while_it_migrates_nothing_is_half_made(postgres: str, tmp_path: Path) -> None:
    """From nothing and from the first version; the long form is `bench.survive_schema`."""
    told = survive_schema(tmp_path, kills=16, seed=1, pattern=postgres)
    assert told.problems == []
    assert told.kills == 16


@pytest.mark.parametrize("many", [1, 40])
def test_rows_of_the_first_schema_are_kept_as_they_were(empty_url: str, many: int) -> None:
    """A library of the first version, with rows in every table, is there after every step."""
    database = Database(empty_url)
    before = first_library(database, many)
    assert all(len(rows) == many for rows in before.values())
    save_newest_schema(database)
    assert rows_of(database) == before
    with database.reading() as connection:
        assert load_revision(connection) == newest_revision()
    database.close()
