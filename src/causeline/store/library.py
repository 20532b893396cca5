"""The library: rows in a database, files in a vault, and the promise that they agree.

A file is announced before it is kept (a row in `leaving`), and the announcement is withdrawn
together with the first row that speaks of the file. So a process may die anywhere: no row speaks of
a missing file, and what is announced but not spoken of goes when the library is next tidied.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import URL, Connection, delete, exists, or_, select

from causeline.errors import CauselineError, OutputError, SettingError
from causeline.store.database import Database
from causeline.store.migrations import save_newest_schema
from causeline.store.rows import add_absent
from causeline.store.tables import FILE_COLUMNS, LEAVING
from causeline.store.vault import Vault

DATABASE_NAME = "library.sqlite"
VAULT_NAME = "files"


@dataclass(frozen=True, slots=True)
class Address:
    """Where a library is: what another process needs to open it. Holds passwords: never log it."""

    database: URL
    vault: str


class Library:
    """An open library. Processes share one by its address, never by this object."""

    def __init__(
        self, database: Database, vault: Vault, now: Callable[[], datetime] | None = None
    ) -> None:
        self.database = database
        self.vault = vault
        self.now = now or _utc_now

    @property
    def address(self) -> Address:
        """Where it is."""
        return Address(self.database.url, self.vault.url)

    @contextmanager
    def keeping(self, content: bytes | Path) -> Iterator[tuple[Connection, str]]:
        """Keep a file, and write the rows that speak of it: both or neither.

        Gives a connection for the rows, and the file's key.
        """
        key = self.vault.key_of(content)
        with self.database.writing() as connection:
            add_absent(connection, LEAVING, [{"key": key}])
        try:
            self.vault.keep(content)
            with self.database.alone() as connection:
                if not self.vault.has(key):  # tidied away between the two steps
                    self.vault.keep(content)
                connection.execute(delete(LEAVING).where(LEAVING.c.key == key))
                yield connection, key
        except BaseException:
            with suppress(CauselineError):  # a full disk: the next tidying does it
                self._let_out(key)
            raise

    def let_go(self, connection: Connection, keys: Iterable[str | None]) -> None:
        """Note files that rows no longer speak of; `tidy` deletes those that none speaks of."""
        add_absent(connection, LEAVING, [{"key": key} for key in keys if key is not None])

    def tidy(self) -> int:
        """Delete the files that nothing speaks of any more; gives how many.

        Of a file that is being kept at this moment, `keeping` writes the content once more.
        """
        with self.database.reading() as connection:
            keys = list(connection.execute(select(LEAVING.c.key)).scalars())
        return sum(self._let_out(key) for key in keys)

    def _let_out(self, key: str) -> bool:
        with self.database.alone() as connection:
            gone = connection.execute(delete(LEAVING).where(LEAVING.c.key == key)).rowcount > 0
            if not gone or spoken_of(connection, key):
                return False
            self.vault.remove(key)
            return True

    def close(self) -> None:
        """Close the database's connections."""
        self.database.close()


def load_library(
    place: str | Path, vault: str | Path | None = None, now: Callable[[], datetime] | None = None
) -> Library:
    """Open a library, making it where there is none; its schema is brought to the newest.

    `place` is a folder, or the URL of a database; then `vault` is the folder or URL of the files.

    Raises SettingError where the address is incomplete, OutputError where the folder cannot be
    made, StoreError where the library is of a newer version.
    """
    if "://" in str(place):
        if vault is None:
            raise SettingError(
                "the URL of a database came without a place for files",
                "a folder or a URL for the files was expected beside it",
                "give the vault too",
            )
        library = Library(Database(str(place)), Vault(vault), now)
    else:
        folder = _made(Path(place).absolute())
        database = Database(URL.create("sqlite", database=str(folder / DATABASE_NAME)))
        library = Library(database, Vault(vault or folder / VAULT_NAME), now)
    try:
        save_newest_schema(library.database)
    except BaseException:
        library.close()
        raise
    return library


def load_at(address: Address) -> Library:
    """Open a library that exists, by its address, in another process."""
    return Library(Database(address.database), Vault(address.vault))


def spoken_of(connection: Connection, key: str) -> bool:
    """Whether any row speaks of a file."""
    asks = [exists().where(column == key) for column in FILE_COLUMNS]
    return bool(connection.execute(select(or_(*asks))).scalar())


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"no library can be in {folder}: {(error.strerror or str(error)).lower()}",
            "a folder that may be written was expected",
            "give another folder",
        ) from error
    return folder


def _utc_now() -> datetime:
    return datetime.now(UTC)
