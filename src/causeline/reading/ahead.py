"""Work that goes on in a thread of its own while its results are used, a few of them ahead."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

AHEAD = 4
"""Results that may wait to be used: enough that neither side waits for the other's slowest."""
Thing = TypeVar("Thing")


def run_ahead(work: Iterable[Thing], most: int = AHEAD) -> Generator[Thing]:
    """The same things in the same order, each made while those before it are used.

    What `work` raises is raised here, in its turn. When no more is taken, it is left where it is.
    """
    things = iter(work)
    pool = ThreadPoolExecutor(1, "ahead")
    try:
        coming = deque(pool.submit(_following, things) for _ in range(most))
        while thing := coming.popleft().result():
            coming.append(pool.submit(_following, things))
            yield thing[0]
    finally:
        pool.shutdown(cancel_futures=True)


def _following(things: Iterator[Thing]) -> tuple[Thing] | None:
    """The next one in a tuple of its own, so that it is no end by being empty; None at the end."""
    for thing in things:
        return (thing,)
    return None
