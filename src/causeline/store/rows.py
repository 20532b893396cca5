"""Records to rows and back, for tables whose columns bear the names of a record's fields."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, replace
from typing import Any, ClassVar, Protocol, TypeVar

from sqlalchemy import ColumnElement, Connection, RowMapping, Select, Table, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite

from causeline.errors import Outdated, StoreError


class Dataclass(Protocol):
    """Any record."""

    __dataclass_fields__: ClassVar[dict[str, Any]]


class Versioned(Protocol):
    """A record that is saved over the version that was loaded, and over no other."""

    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def id(self) -> str:
        """Its name."""

    @property
    def version(self) -> int:
        """As it was loaded; 0 before it is saved."""


Record = TypeVar("Record", bound=Dataclass)
Kept = TypeVar("Kept", bound=Versioned)
Values = dict[str, Any]


def values_of(record: Dataclass) -> Values:
    """A record's fields by name."""
    return {field.name: getattr(record, field.name) for field in fields(record)}


def record_of(kind: type[Record], row: RowMapping) -> Record:
    """The record in a row, which may have more columns than the record has fields."""
    return kind(**{field.name: row[field.name] for field in fields(kind)})


def one(connection: Connection, kind: type[Record], query: Select[Any]) -> Record | None:
    """The first record that a query gives, or None."""
    row = connection.execute(query).mappings().first()
    return None if row is None else record_of(kind, row)


def many(connection: Connection, kind: type[Record], query: Select[Any]) -> tuple[Record, ...]:
    """Every record that a query gives."""
    return tuple(record_of(kind, row) for row in connection.execute(query).mappings())


def needed(connection: Connection, kind: type[Record], table: Table, name: str) -> Record:
    """The record of that id. Raises StoreError where there is none."""
    found = one(connection, kind, select(table).where(table.c.id == name))
    if found is None:
        raise missing(table, name)
    return found


def missing(table: Table, name: str) -> StoreError:
    """What to say of a row that is not there."""
    return StoreError(
        f"no row {name[:40]!r} is in {table.name}",
        "the id of one that is there was expected",
        "it may have been deleted meanwhile; look at the list again",
    )


def add(connection: Connection, table: Table, record: Dataclass) -> None:
    """Write a record as a new row."""
    connection.execute(insert(table).values(values_of(record)))


def add_absent(connection: Connection, table: Table, rows: Iterable[Values]) -> None:
    """Write rows, passing over those whose key is there already."""
    known = sqlite if connection.dialect.name == "sqlite" else postgresql
    for row in rows:
        connection.execute(known.insert(table).values(row).on_conflict_do_nothing())


def save_version(connection: Connection, table: Table, record: Kept, values: Values) -> Kept:
    """Write a record over the version that it was loaded as; gives it with its new version.

    Raises Outdated where somebody saved a newer one meanwhile, StoreError where it is gone.
    """
    saved: Kept = replace(record, version=record.version + 1)
    changed = {**values, "version": saved.version}
    if record.version == 0:
        connection.execute(insert(table).values(changed))
        return saved
    same = (table.c.id == record.id, table.c.version == record.version)
    if connection.execute(update(table).where(*same).values(changed)).rowcount == 0:
        raise _overtaken(connection, table, record)
    return saved


def _overtaken(connection: Connection, table: Table, record: Versioned) -> StoreError:
    there: ColumnElement[bool] = table.c.id == record.id
    version = connection.execute(select(table.c.version).where(there)).scalar()
    if version is None:
        return missing(table, record.id)
    return Outdated(
        f"version {record.version} of a row in {table.name} came to be saved",
        f"version {version} is there, saved by somebody else meanwhile; nothing was overwritten",
        "load it again, carry your change over, and save that",
    )
