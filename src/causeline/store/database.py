"""The door to the database: SQLite in a file by default, PostgreSQL by a URL.

Reading goes on while somebody writes. Writers of SQLite queue for its one lock, so that a write
never fails half-way for having read first. Errors of the libraries are translated here.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import (
    ArgumentError,
    DatabaseError,
    IntegrityError,
    NoSuchModuleError,
)

from causeline.errors import OutputError, SettingError, StoreError

WAIT_S = 30.0
"""How long a writer waits for another one."""
PRAGMAS = (
    "PRAGMA journal_mode = WAL",
    # What was said to be saved outlives a power cut.
    "PRAGMA synchronous = FULL",
    "PRAGMA foreign_keys = ON",
    f"PRAGMA busy_timeout = {round(1000 * WAIT_S)}",
)
_WRITES = "causeline_writes"
_LOCK = 0x0CA05E11
"""Number of the lock of PostgreSQL under which schemas change and files leave."""
_FULL = ("disk is full", "No space left on device", "disk I/O error", "readonly database")


class Database:
    """Connections to one database; open none across a fork."""

    def __init__(self, url: str | URL) -> None:
        """Raises SettingError for a URL that names no database that is known here."""
        self.url = _checked(url)
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        try:
            self._engine = _engine(self.url, self.is_sqlite)
        except (ArgumentError, NoSuchModuleError, ImportError) as error:
            raise _no_driver(self.url, error) from error

    def __str__(self) -> str:
        return self.url.render_as_string(hide_password=True)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one state of the database from its first query to its last."""
        with _translated(self), self._engine.connect() as plain:
            level = {} if self.is_sqlite else {"isolation_level": "REPEATABLE READ"}
            connection = plain.execution_options(**level)
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection whose changes are all saved at the end, or none where anything is raised."""
        with _translated(self), self._engine.connect() as plain:
            connection = plain.execution_options(**{_WRITES: True})
            with connection.begin():
                yield connection

    @contextmanager
    def alone(self) -> Iterator[Connection]:
        """As `writing`, while nobody else is in here: for the schema, and for files that leave."""
        with self.writing() as connection:
            if not self.is_sqlite:
                connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
            yield connection

    def close(self) -> None:
        """Close all connections."""
        self._engine.dispose()


def _checked(url: str | URL) -> URL:
    try:
        made = make_url(url)
    except (ArgumentError, ValueError) as error:
        raise _not_known(str(url)) from error
    if made.get_backend_name() == "postgresql":
        return made.set(drivername="postgresql+psycopg")
    if made.get_backend_name() != "sqlite":
        raise _not_known(made.render_as_string(hide_password=True))
    return made


def _engine(url: URL, is_sqlite: bool) -> Engine:
    if not is_sqlite:
        return create_engine(url, pool_pre_ping=True)
    engine = create_engine(url, connect_args={"timeout": WAIT_S})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(raw: Any, _: Any) -> None:
    raw.isolation_level = None  # transactions are begun by `_begin`, not guessed by the driver
    for pragma in PRAGMAS:
        raw.execute(pragma)


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def _translated(database: Database) -> Iterator[None]:
    try:
        yield
    except IntegrityError as error:
        raise StoreError(
            f"the library refused a row ({_first_line(error)})",
            "rows that belong to others need those others to be there",
            "load what it belongs to once more: it may have been deleted meanwhile",
        ) from error
    except DatabaseError as error:
        raise _failure(database, error) from error


def _failure(database: Database, error: DatabaseError) -> OutputError | StoreError:
    reason = _first_line(error)
    if any(sign in reason for sign in _FULL):
        return OutputError(
            f"the library {database} could not be written: {reason}",
            "nothing of this step was saved",
            "make room on the disk, or move the library, then try again",
        )
    if "locked" in reason:
        remedy = "wait until the other program is done, then try again"
    elif "connection" in reason or "unable to open" in reason:
        remedy = "see that the database runs and that its address is right (`causeline doctor`)"
    else:
        remedy = "run `causeline verify`; where that finds damage, `causeline restore` a backup"
    return StoreError(
        f"the library {database} did not answer: {reason}", "a sound database was expected", remedy
    )


def _first_line(error: DatabaseError) -> str:
    return str(error.orig or error).strip().splitlines()[0]


def _not_known(url: str) -> SettingError:
    return SettingError(
        f"{url!r} came as the library's database",
        "a folder, or a URL that begins with sqlite:/// or postgresql://, was expected",
        "correct the address",
    )


def _no_driver(url: URL, error: Exception) -> SettingError:
    return SettingError(
        f"{url.get_backend_name()} cannot be reached from here ({error})",
        "its driver was expected",
        "install it: pip install 'causeline[postgres]'",
    )
