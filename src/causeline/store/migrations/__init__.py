"""The library's schema through the versions: each file `rNNNN_…` is one step forward.

A library goes forward only. What an older version can read again is a backup made by it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect

from causeline.errors import StoreError
from causeline.store.database import Database
from causeline.store.tables import METADATA

HERE = Path(__file__).parent


def save_newest_schema(database: Database, revision: str = "head") -> None:
    """Bring the database to the newest schema, or to `revision`; whole or not at all.

    Raises StoreError for a database of a newer version, or one that is not a library's.
    """
    with database.alone() as connection:
        before = load_revision(connection)
        _check_known(database, connection, before)
        target = newest_revision() if revision == "head" else revision
        if before != target:
            _upgrade(connection, target)


def load_revision(connection: Connection) -> str | None:
    """The schema that the database has; None for an empty one."""
    return MigrationContext.configure(connection).get_current_revision()


def newest_revision() -> str:
    """The schema that this version works with."""
    return str(_scripts().get_current_head())


def known_revisions() -> list[str]:
    """Every schema there ever was, the oldest first."""
    return [step.revision for step in _scripts().walk_revisions()][::-1]


def _upgrade(connection: Connection, target: str) -> None:
    scripts = _scripts()
    with EnvironmentContext(
        Config(), scripts, fn=lambda now, _: scripts._upgrade_revs(target, now)
    ) as run:
        run.configure(connection=connection, target_metadata=METADATA, transactional_ddl=True)
        with run.begin_transaction():
            run.run_migrations()


@cache
def _scripts() -> ScriptDirectory:
    """The steps, loaded once: every library that is opened asks for them."""
    return ScriptDirectory(str(HERE), version_locations=[str(HERE)])


def _check_known(database: Database, connection: Connection, before: str | None) -> None:
    if before is not None and before not in known_revisions():
        raise StoreError(
            f"the library {database} has schema {before!r}",
            f"this version of Causeline knows none newer than {newest_revision()!r}",
            "use the version that wrote it, or restore a backup that was made before",
        )
    tables = set(inspect(connection).get_table_names()) - {"alembic_version"}
    if before is None and tables:
        raise StoreError(
            f"the database {database} already holds other tables ({', '.join(sorted(tables)[:3])})",
            "an empty database, or a library, was expected",
            "make a database for the library alone",
        )
