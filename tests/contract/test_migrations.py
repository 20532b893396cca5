"""The library's schema: from nothing and from every earlier version, whole or not at all."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import inspect, text

from causeline.errors import StoreError
from causeline.store.database import Database
from causeline.store.library import load_library
from causeline.store.migrations import (
    known_revisions,
    load_revision,
    newest_revision,
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
    from causeline.store.migrations import r0001_first

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
