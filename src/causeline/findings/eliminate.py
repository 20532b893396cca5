"""Exact inference by bucket elimination: the marginals of every variable of a product of tables.

Each variable has a few states. The buckets form a tree: messages go up once and down once. See
Dechter 1999, Artificial Intelligence 113:41-85.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from causeline.quantities.angle import Floats

Scope = tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """A non-negative function of some variables: one axis for each name of `scope`."""

    scope: Scope
    values: Floats


@dataclass(slots=True, eq=False)
class _Bucket:
    """Everything that is summed out together with one variable."""

    name: str
    belief: Table
    message: Table
    above: str | None = None


def explain_marginals(
    sizes: Mapping[str, int], tables: Sequence[Table]
) -> tuple[dict[str, Floats], float]:
    """Each variable's marginal, (states,) summing to 1, and the logarithm of the whole's sum.

    `sizes` gives the number of states of each variable. Raises ValueError where the tables leave
    no state possible, as contradicting evidence does.
    """
    buckets, log_sum = _upward(sizes, tables)
    beliefs: dict[str, Table] = {}
    for bucket in reversed(buckets):
        belief = bucket.belief
        if bucket.above is not None:
            belief = _downward(bucket, beliefs[bucket.above], sizes)
        beliefs[bucket.name] = belief
    found = {name: _summed(belief, (name,)).values for name, belief in beliefs.items()}
    return {name: row / row.sum() for name, row in found.items()}, log_sum


def _upward(sizes: Mapping[str, int], tables: Sequence[Table]) -> tuple[list[_Bucket], float]:
    """Buckets in order of elimination, each with the product that came to it."""
    waiting: list[tuple[Table, _Bucket | None]] = [(table, None) for table in tables]
    left, buckets, log_sum = list(sizes), [], 0.0
    while left:
        name = min(left, key=lambda one: _cost(one, [table for table, _ in waiting], sizes))
        left.remove(name)
        mine = [pair for pair in waiting if name in pair[0].scope]
        waiting = [pair for pair in waiting if name not in pair[0].scope]
        belief = _product([table for table, _ in mine], name, sizes)
        message = _summed(belief, tuple(one for one in belief.scope if one != name))
        top = float(message.values.max())
        if not top > 0:
            raise ValueError(
                f"got evidence that leaves {name!r} no possible state; expected evidence that "
                "agrees with itself: a ruling contradicts another"
            )
        log_sum += float(np.log(top))
        bucket = _Bucket(name, belief, Table(message.scope, message.values / top))
        for _, below in mine:
            if below is not None:
                below.above = name
        buckets.append(bucket)
        if message.scope:
            waiting.append((bucket.message, bucket))
    return buckets, log_sum


def _cost(name: str, tables: Sequence[Table], sizes: Mapping[str, int]) -> int:
    """Size of the product that summing this variable out would make."""
    scope = {one for table in tables if name in table.scope for one in table.scope}
    return int(np.prod([sizes[one] for one in scope])) if scope else 0


def _downward(bucket: _Bucket, above: Table, sizes: Mapping[str, int]) -> Table:
    """The bucket's belief with everything that the rest of the tree knows."""
    shared = _summed(above, bucket.message.scope)
    sent = bucket.message.values
    news = np.divide(shared.values, sent, out=np.zeros_like(sent), where=sent > 0)
    table = Table(bucket.message.scope, news / max(float(news.max()), 1e-300))
    return _product([bucket.belief, table], bucket.name, sizes)


def _product(tables: Sequence[Table], name: str, sizes: Mapping[str, int]) -> Table:
    """The product of tables over all their variables, `name` among them."""
    scope = tuple(dict.fromkeys((name, *(one for table in tables for one in table.scope))))
    values = np.ones(tuple(sizes[one] for one in scope))
    for table in tables:
        values = values * _spread(table, scope)
    return Table(scope, values)


def _spread(table: Table, scope: Scope) -> Floats:
    """The table's values with an axis for each variable of a wider scope."""
    order = sorted(range(len(table.scope)), key=lambda axis: scope.index(table.scope[axis]))
    values = np.transpose(table.values, order)
    shape = [1] * len(scope)
    for axis, size in zip(order, values.shape, strict=True):
        shape[scope.index(table.scope[axis])] = size
    return values.reshape(shape)


def _summed(table: Table, kept: Scope) -> Table:
    """Summed over all but the variables of `kept`, whose order it takes."""
    axes = tuple(axis for axis, one in enumerate(table.scope) if one not in kept)
    values = table.values.sum(axis=axes)
    left = [one for one in table.scope if one in kept]
    return Table(kept, np.transpose(values, [left.index(one) for one in kept]))
