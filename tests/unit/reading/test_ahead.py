"""Work done ahead in another thread: the same things, in order, and errors where they belong."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest

from causeline.reading.ahead import run_ahead


@pytest.mark.parametrize("most", [1, 4, 100])
def test_all_come_in_order_also_those_that_are_empty(most: int) -> None:
    things = [0, None, "", 3, ()] * 5
    assert list(run_ahead(iter(things), most)) == things
    assert list(run_ahead([], most)) == []


def test_it_works_in_another_thread_and_not_too_far_ahead() -> None:
    made: list[int] = []

    def work() -> Iterator[threading.Thread]:
        for number in range(50):
            made.append(number)
            yield threading.current_thread()

    coming = run_ahead(work(), 3)
    assert next(coming) is not threading.current_thread()
    for _ in range(5):
        next(coming)
    assert len(made) <= 6 + 3
    coming.close()
    assert len(made) <= 6 + 3


def test_what_fails_fails_in_its_turn() -> None:
    def work() -> Iterator[int]:
        yield 1
        yield 2
        raise LookupError("the third")

    coming = run_ahead(work())
    assert [next(coming), next(coming)] == [1, 2]
    with pytest.raises(LookupError, match="the third"):
        next(coming)
