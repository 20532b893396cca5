"""Kill -9 at random points of a schema's change: is a schema half-made, or a row lost?

python -m bench.survive_schema --kills 100

Every second time from nothing, else from the first version with rows in every table; in SQLite and
in a PostgreSQL that it starts itself, by turns.
"""

from __future__ import annotations

import argparse
import json
import random
import tempfile
import time
from dataclasses import asdict, dataclass, field
from pathlib import Path

from sqlalchemy import inspect
from tests.databases import cluster, fresh_database
from tests.first_schema import first_library, rows_of

from bench.survive import survived
from causeline.store.database import Database
from causeline.store.migrations import load_revision, newest_revision, save_newest_schema
from causeline.store.tables import METADATA

MANY = 5
"""Rows in each table of the first version."""
Rows = dict[str, list[str]]


@dataclass
class Survived:
    """What came of it."""

    kills: int = 0
    """Processes that were killed before they had ended."""
    tries: int = 0
    found: dict[str, int] = field(default_factory=dict)
    """Schemas that the killed ones left."""
    problems: list[str] = field(default_factory=list)


def survive_schema(folder: Path, kills: int, seed: int, pattern: str) -> Survived:
    """Kill so often; `pattern` is the URL of a PostgreSQL with a place for a database's name."""
    told, rng = Survived(), random.Random(seed)  # noqa: S311
    takes_s: dict[tuple[bool, bool], float] = {}
    while told.kills < kills:
        told.tries += 1
        kind = (told.tries % 2 == 0, told.tries % 4 > 1)
        from_first, in_postgres = kind
        place = folder / f"{told.tries}.sqlite"
        url = fresh_database(pattern) if in_postgres else f"sqlite:///{place}"
        rows = _first(url) if from_first else {}
        if kind not in takes_s:  # the first of each kind comes to its end, and says how long it is
            takes_s[kind] = _migrated(url, None)
        elif _migrated(url, rng.uniform(0, takes_s[kind])) < 0:
            told.kills += 1
            _look(url, rows, told)
    return told


def _first(url: str) -> Rows:
    database = Database(url)
    rows = first_library(database, MANY)
    database.close()
    return rows


def _migrated(url: str, kill_s: float | None) -> float:
    """Migrate in a process, killed after `kill_s`; gives its seconds, less than 0 where killed."""
    began = time.monotonic()
    whole = survived(lambda: save_newest_schema(Database(url)), kill_s)
    return time.monotonic() - began if whole else -1.0


def _look(url: str, rows: Rows, told: Survived) -> None:
    """The schema is the one before or today's; brought to its end, every row is there."""
    database, start = Database(url), "0001" if rows else None
    with database.reading() as connection:
        revision = load_revision(connection)
        tables = set(inspect(connection).get_table_names()) - {"alembic_version"}
    told.found[str(revision)] = told.found.get(str(revision), 0) + 1
    whole = {start: set(rows), newest_revision(): set(METADATA.tables)}
    if tables != whole.get(revision):
        told.problems.append(f"{database} says {revision} and has {sorted(tables)}")
    save_newest_schema(database)
    if rows and rows_of(database) != rows:
        told.problems.append(f"{database} has other rows than before")
    with database.reading() as connection:
        if load_revision(connection) != newest_revision():
            told.problems.append(f"{database} did not come to the newest schema")
    database.close()


def main() -> None:
    """Print what came of it, as JSON."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--kills", type=int, default=100)
    words.add_argument("--seed", type=int, default=1)
    told = words.parse_args()
    with tempfile.TemporaryDirectory(prefix="schema-") as folder, cluster() as pattern:
        result = survive_schema(Path(folder), told.kills, told.seed, pattern)
    print(json.dumps(asdict(result)))
    raise SystemExit(1 if result.problems else 0)


if __name__ == "__main__":
    main()
