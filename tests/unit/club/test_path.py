"""The cheapest path is the cheapest of all paths, tried one after another."""

from __future__ import annotations

from itertools import pairwise, product
from math import hypot, inf

import numpy as np
import pytest

from causeline.club.path import (
    DEAREST,
    LONGEST_GAP_S,
    PASSING,
    SLACK,
    _cheapest,
    _walked_back,
)
from causeline.quantities.angle import Floats

Way = tuple[int, ...]


def _cost(one: Way, ways: list[Floats], price: list[Floats], freedom: Floats, at: Floats) -> float:
    """What a path costs, as the module's first lines put it; -1 passes a frame over."""
    frames = [frame for frame, row in enumerate(one) if row >= 0]
    cost = PASSING * (len(one) - len(frames)) + sum(price[j][one[j]] for j in frames)
    for before, after in pairwise(frames):
        if at[after] - at[before] > LONGEST_GAP_S:
            return inf
        x, y = ways[after][one[after]] - ways[before][one[before]]
        free = max(freedom[before : after + 1]) * (at[after] - at[before])
        cost += min(0.5 * (hypot(x, y) / (SLACK + free)) ** 2, DEAREST)
    return float(cost)


@pytest.mark.parametrize("seed", range(30))
def test_no_path_is_cheaper(seed: int) -> None:
    rng = np.random.default_rng(seed)
    counts = rng.integers(0, 3, 7)
    at = np.cumsum(rng.uniform(0.02, 0.14, len(counts)))
    ways = [rng.normal(0, 0.7, (k, 2)) for k in counts]
    price = [rng.uniform(0.02, 3.9, k) for k in counts]
    freedom = rng.uniform(0.5, 8.0, len(counts))
    total, came = _cheapest(ways, price, freedom, at)
    found = _walked_back(total, came, ways, freedom, at)
    every = list(product(*(range(-1, k) for k in counts)))
    least = min(_cost(one, ways, price, freedom, at) for one in every if max(one) >= 0)
    mine: Way = tuple(found.chosen.tolist())
    assert _cost(mine, ways, price, freedom, at) == pytest.approx(least)
