"""How a row leads to the golfer that it is about, by the tables' own foreign keys."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Alias, ColumnElement, FromClause, Table, exists

from causeline.store.tables import COACHES, GOLFERS, METADATA

Of = Callable[[ColumnElement[str]], ColumnElement[bool]]
"""Whether an id is of the golfer, or of the coach, that is meant."""


def leads_to_golfer(table: FromClause, mine: Of) -> ColumnElement[bool] | None:
    """Whether a row is about a golfer for whose id `mine` holds; None for tables about none."""
    if _base(table) is GOLFERS:
        return mine(table.c.id)
    return _through(table, mine, GOLFERS)


def leads_to_coach(table: FromClause, mine: Of) -> ColumnElement[bool] | None:
    """Whether a row is a coach's, by a golfer or by itself; None for tables about none."""
    if _base(table) is COACHES:
        return mine(table.c.id)
    return _through(table, mine, COACHES)


def _through(table: FromClause, mine: Of, end: Table) -> ColumnElement[bool] | None:
    """By the shortest way of foreign keys; one step deeper for each table on the way."""
    steps = [
        (column, METADATA.tables[str(key.target_fullname).split(".")[0]])
        for column in table.c
        for key in column.foreign_keys
    ]
    for column, target in steps:
        if target is end:
            return mine(column)
    for column, target in steps:
        if target is not _base(table):
            found = _step(column, target, mine, end)
            if found is not None:
                return found
    return None


def _step(
    column: ColumnElement[str], target: Table, mine: Of, end: Table
) -> ColumnElement[bool] | None:
    if target is COACHES:  # a coach's row is about no golfer
        return None
    there = target.alias()
    inner = _through(there, mine, end)
    return None if inner is None else exists().where(there.c.id == column, inner)


def _base(table: FromClause) -> object:
    return table.element if isinstance(table, Alias) else table
