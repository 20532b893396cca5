"""Is the library whole? Every file hashed again, every row held against the files it speaks of."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import Connection, delete, select, text, update

from causeline.errors import ReadingFileError, StoreError
from causeline.model.library import State
from causeline.store.library import Library, spoken_of
from causeline.store.reading_file import load_reading_bytes
from causeline.store.tables import CLIPS, FILE_COLUMNS, LEAVING, MADE, READINGS, STAGES

SETTLED_S = 3600.0
"""A half-written file this old is nobody's work any more."""
Heard = Callable[[int, int], None]
"""(files looked at, files in all)."""


class Trouble(StrEnum):
    """What can be wrong."""

    DATABASE = "the database is damaged"
    MISSING = "a file is missing"
    DAMAGED = "a file is not what was stored"
    UNREADABLE = "a reading file cannot be read"
    ORPHAN = "a file that nothing speaks of"
    HALF = "a half-written file"


MENDED_BY = {
    Trouble.DATABASE: "restore a backup",
    Trouble.MISSING: "`causeline verify --mend` has what can be made again made again; a clip is "
    "added again, or a backup restored",
    Trouble.DAMAGED: "`causeline verify --mend` has what can be made again made again; a clip is "
    "added again, or a backup restored",
    Trouble.UNREADABLE: "`causeline verify --mend` has the clip read again",
    Trouble.ORPHAN: "`causeline verify --mend` deletes it",
    Trouble.HALF: "`causeline verify --mend` deletes it",
}


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong."""

    trouble: Trouble
    about: str
    """The file's key or place, or the database's own words."""
    needed_for: tuple[str, ...] = ()
    """The tables and columns that speak of it."""

    def __str__(self) -> str:
        needed = f" (for {', '.join(self.needed_for)})" if self.needed_for else ""
        return f"{self.trouble}: {self.about}{needed}; {MENDED_BY[self.trouble]}"


@dataclass(frozen=True, slots=True)
class Findings:
    """What a check found."""

    files: int
    bytes: int
    rows: int
    """Rows that speak of a file."""
    problems: tuple[Problem, ...]


def load_findings(library: Library, heard: Heard | None = None) -> Findings:
    """Check everything. Reads every file of the vault; nothing is changed.

    Files that are kept or deleted while this goes on are no problems.
    """
    problems = _of_database(library)
    with library.database.reading() as connection:
        spoken = _spoken(connection)
    kept = sorted(library.vault.keys())
    total = 0
    for number, key in enumerate(kept, 1):
        problem, size = _of_file(library, key, spoken)
        total += size
        problems += [problem] if problem else []
        if heard is not None:
            heard(number, len(kept))
    problems += _missing(library, spoken, set(kept))
    problems += [Problem(Trouble.HALF, place) for place in _half(library)]
    return Findings(len(kept), total, sum(map(len, spoken.values())), tuple(problems))


def save_mended(library: Library, found: Findings) -> int:
    """Mend what can be mended without a backup; gives how many problems that were.

    What nothing speaks of is deleted. What was read from a clip that is there is read again.
    """
    mended = 0
    for problem in found.problems:
        if problem.trouble is Trouble.ORPHAN:
            mended += _let_out(library, problem.about)
        elif problem.trouble is Trouble.HALF:
            library.vault.fs.rm_file(problem.about)
            mended += 1
        elif problem.trouble is not Trouble.DATABASE:
            mended += _asked_again(library, problem.about)
    return mended


def _of_database(library: Library) -> list[Problem]:
    """What the database itself can tell; PostgreSQL checks as it reads."""
    if not library.database.is_sqlite:
        return []
    with library.database.reading() as connection:
        told = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check"))]
        strays = connection.execute(text("PRAGMA foreign_key_check")).all()
    problems = [Problem(Trouble.DATABASE, line) for line in told if line != "ok"]
    return problems + [Problem(Trouble.DATABASE, f"a stray row in {row[0]}") for row in strays]


def _spoken(connection: Connection) -> dict[str, list[str]]:
    """Every file that a row speaks of, with the columns that do."""
    spoken: dict[str, list[str]] = {}
    for column in FILE_COLUMNS:
        keys = connection.execute(select(column).where(column.is_not(None)).distinct()).scalars()
        for key in keys:
            spoken.setdefault(key, []).append(f"{column.table.name}.{column.name}")
    return spoken


def _of_file(
    library: Library, key: str, spoken: dict[str, list[str]]
) -> tuple[Problem | None, int]:
    by = tuple(spoken.get(key, ()))
    try:
        if not by and not _announced(library, key):
            return Problem(Trouble.ORPHAN, key), library.vault.size(key)
        if not library.vault.is_sound(key):
            return Problem(Trouble.DAMAGED, key, by), library.vault.size(key)
        if "readings.reading_key" in by:
            load_reading_bytes(library.vault.read(key), key)
        return None, library.vault.size(key)
    except ReadingFileError:
        return Problem(Trouble.UNREADABLE, key, by), library.vault.size(key)
    except StoreError:  # deleted meanwhile; if a row still speaks of it, `_missing` says so
        return None, 0


def _announced(library: Library, key: str) -> bool:
    """Whether it is just being kept or let go, or was spoken of since the rows were read."""
    with library.database.reading() as connection:
        found = connection.execute(select(LEAVING.c.key).where(LEAVING.c.key == key)).first()
        return found is not None or spoken_of(connection, key)


def _missing(library: Library, spoken: dict[str, list[str]], kept: set[str]) -> list[Problem]:
    problems = []
    for key in sorted(set(spoken) - kept):
        with library.database.reading() as connection:
            still = spoken_of(connection, key)
        if still and not library.vault.has(key):
            problems.append(Problem(Trouble.MISSING, key, tuple(spoken[key])))
    return problems


def _half(library: Library) -> list[str]:
    """Half-written files that nobody can be writing any more."""
    old = []
    for place in library.vault.leftovers():
        try:
            written = library.vault.fs.modified(place).timestamp()
        except (OSError, NotImplementedError):
            continue
        if time.time() - written > SETTLED_S:
            old.append(place)
    return old


def _let_out(library: Library, key: str) -> bool:
    with library.database.writing() as connection:
        library.let_go(connection, [key])
    return library.tidy() > 0


def _asked_again(library: Library, key: str) -> bool:
    """Have what was read, or made, from a sound clip made again; a clip itself cannot be."""
    lost = (READINGS.c.reading_key == key) | (READINGS.c.seen_key == key)
    with library.database.alone() as connection:
        if connection.execute(select(CLIPS.c.id).where(CLIPS.c.sha256 == key)).first():
            return False
        connection.execute(delete(STAGES).where(STAGES.c.file_key == key))
        unmade = connection.execute(delete(MADE).where(MADE.c.file_key == key)).rowcount
        again = {
            "state": State.WAITING, "reading_key": None, "seen_key": None, "tries": 0, "claim": "",
        }  # fmt: skip
        rows = connection.execute(update(READINGS).where(lost).values(again)).rowcount
        if not spoken_of(connection, key):
            library.let_go(connection, [key])
    library.tidy()
    return rows + unmade > 0
