"""Whose ids are: every table that leads to a coach is asked, in both databases."""

from __future__ import annotations

from sqlalchemy import select

from causeline.model.library import new_id
from causeline.store.library import Library
from causeline.store.library_owners import AT_ONCE, load_is_strangers
from causeline.store.tables import METADATA
from tests.contract.test_keeping import full_golfer
from tests.shelf import a_coach

NOBODY_S = {"audit", "accounts", "coaches"}
"""Rows without an id of that form, or of the coach themself."""


def test_every_row_of_another_coach_is_a_stranger_s(library: Library) -> None:
    mine, _ = full_golfer(library, "Nell Tarrow")
    theirs, _ = full_golfer(library, "Ivo Lindgard")
    asked = 0
    with library.database.reading() as connection:
        for table in METADATA.sorted_tables:
            if "id" not in table.c or table.name in NOBODY_S:
                continue
            for row in connection.execute(select(table)).mappings():
                owners = [
                    load_is_strangers(library, each.coach, [str(row["id"])])
                    for each in (mine, theirs)
                ]
                assert sorted(owners) == [False, True], table.name
                asked += 1
    assert asked > 20


def test_nobody_s_ids_are_nobody_s_and_many_are_asked_at_once(library: Library) -> None:
    golfer, _ = full_golfer(library)
    other = a_coach(library, "Tam Birk")
    many = [new_id() for _ in range(2 * AT_ONCE)]
    assert not load_is_strangers(library, other.id, many)
    assert load_is_strangers(library, other.id, [*many, golfer.id])
    assert not load_is_strangers(library, golfer.coach, [*many, golfer.id])
    assert load_is_strangers(library, other.id, [golfer.coach])
    assert not load_is_strangers(library, other.id, [])
