"""A library of the first version with rows in every table, to be brought to today's."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, Boolean, Date, DateTime, Float, Integer, Table, select

from causeline.store.database import Database
from causeline.store.migrations import r0001_first, save_newest_schema

TABLES = list(r0001_first.METADATA.sorted_tables)
THEN = datetime(2026, 4, 6, 9, 30, tzinfo=UTC)
WORDS = {
    "hand": "left", "units": "imperial", "back": "fine", "purpose": "sharing", "view": "face-on",
    "club": "mid iron", "state": "ready", "touch": "ruling", "kind": "drawing",
}  # fmt: skip


def first_library(database: Database, many: int) -> dict[str, list[str]]:
    """Make one with so many rows in each table; gives them."""
    save_newest_schema(database, "0001")
    with database.writing() as connection:
        for number in range(many):
            for table in TABLES:
                connection.execute(table.insert().values(a_row(table, number)))
    return rows_of(database)


def a_row(table: Table, number: int) -> dict[str, Any]:
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


def rows_of(database: Database) -> dict[str, list[str]]:
    """Every row of the first version's tables, as text, by table."""
    with database.reading() as connection:
        return {
            table.name: sorted(str(tuple(row)) for row in connection.execute(select(table)))
            for table in TABLES
        }
