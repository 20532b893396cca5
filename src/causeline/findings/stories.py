"""Stories: which faults a swing has, which of them began and which led to which, and how likely.

A story is a set of faults and, for each, what it came of: itself, or one of the causes that are
there. The chance of a set is that of a noisy-or over the graph: a fault is there when it came of
itself (its prior) or when a cause that is there brought it about (the arrow's strength), each
independently (Pearl 1988, Probabilistic Reasoning in Intelligent Systems, 4.3.2). Causes and prior
share the credit by their strengths. Along a story severities are normal: a beginning has one of its
own, an effect a share of its cause's. So the measures' chance under a story is normal, too, and the
stories are weighed by it (`likelihood`).

Summed are all sets that matter: from the likeliest, one fault more or one fault less, for as long
as that finds sets that are likely enough beside the best. Faults of which nothing is known, and
that lead to nothing that was told, are in no set: what they lead to comes of itself a little
oftener, and their own odds follow from the sets.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from causeline.findings.graph import explain_effects_first
from causeline.findings.likelihood import Heard
from causeline.findings.spec import Arrow, Fault
from causeline.quantities.angle import Floats

BEGINS = (0.65, 0.2)
"""Severity of a fault that comes of itself: mean and standard deviation."""
HANDED, HANDED_SD = 0.75, 0.22
"""Of a cause's severity, what its effect has; and the standard deviation about that."""
FOLLOWED, COUNTED = 5.0, 8.0
"""Sets less likely than the best by more (in nats) are not followed, are not counted."""
WIDE, LARGEST, WAYS, ROUNDS = 16, 8, 12, 40
"""Sets followed at a time; faults in a set, beside those that were told; stories of a set;
rounds at most: values that no swing shows would be searched for minutes."""

Members = tuple[int, ...]
"""Faults by their places in the graph, causes first."""
Places = NDArray[np.int64]
Way = tuple[int, ...]
"""What each member came of, by its place in the set; -1 for itself."""


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """What the stories say together."""

    odds: Mapping[str, float]
    led: Mapping[str, Mapping[str, float]]
    """Effect → cause → the chance that the effect is there and came of it."""
    under: Mapping[str, Mapping[str, float]]
    """Fault → everything that is there and goes back to it, itself too → the chance."""
    begins: Mapping[str, float]
    """How many faults are there because this one came of itself, itself too, in expectation."""


class Graph:
    """Faults, causes first, and arrows, as arrays."""

    def __init__(self, faults: Sequence[Fault], arrows: Sequence[Arrow]) -> None:
        ordered = list(reversed(explain_effects_first(faults, arrows)))
        self.names = tuple(fault.name for fault in ordered)
        self.place = {name: k for k, name in enumerate(self.names)}
        self.prior = np.array([fault.prior for fault in ordered])
        self.strength = np.zeros((len(ordered), len(ordered)))
        """From cause (row) to effect (column)."""
        for arrow in arrows:
            self.strength[self.place[arrow.cause], self.place[arrow.effect]] = arrow.strength
        self.causes = [np.flatnonzero(column).tolist() for column in self.strength.T]
        self.spared = np.log1p(-self.strength)

    def log_absent(self, there: Floats, outside: Floats) -> Floats:
        """Logarithm of each fault's chance not to come, (n, faults), given which are there (1, 0).

        `outside` (faults,): the odds of those that are in no set.
        """
        unknown = np.log1p(-outside[:, None] * self.strength).sum(axis=0)
        return np.asarray(np.log1p(-self.prior) + unknown + there @ self.spared)

    def ways(self, members: Members) -> list[tuple[Way, float]]:
        """The likeliest ways in which a set came about, and the logarithm of the share of each."""
        options = []
        for fault in members:
            shares = [(-1, float(self.prior[fault]))]
            shares += [
                (place, float(self.strength[cause, fault]))
                for place, cause in enumerate(members)
                if self.strength[cause, fault]
            ]
            whole = sum(share for _, share in shares)
            options.append([(place, math.log(share / whole)) for place, share in shares])
        ways: list[tuple[Way, float]] = [((), 0.0)]
        for choices in options:  # shares are independent, so the likeliest beginnings are enough
            longer = [((*way, k), sum_ + own) for way, sum_ in ways for k, own in choices]
            ways = sorted(longer, key=lambda pair: -pair[1])[:WAYS]
        return ways


Weights = Mapping[Members, Sequence[tuple[Way, float]]]
"""Set → its stories, each with the logarithm of its chance."""


def explain_stories(graph: Graph, heard: Heard, ruled: Mapping[str, bool]) -> Told:
    """Everything that is there to be said of one swing: `ruled` faults are pinned or struck."""
    rules = {graph.place[name]: there for name, there in ruled.items()}
    inside = {graph.place[name] for name in heard.faults} | _above(graph, rules)
    search = _Search(graph, heard, rules, sorted(inside))
    return _told(search, search.run())


def _above(graph: Graph, told: Iterable[int]) -> set[int]:
    """Those that were told, and everything that can lead to them."""
    found, front = set(told), list(told)
    while front:
        front = [cause for fault in front for cause in graph.causes[fault] if cause not in found]
        found.update(front)
    return found


class _Search:
    """From the likeliest set to those near it."""

    def __init__(
        self, graph: Graph, heard: Heard, rules: Mapping[int, bool], inside: Sequence[int]
    ) -> None:
        self.graph, self.heard, self.rules, self.inside = graph, heard, rules, inside
        self.rows = np.array([heard.faults.get(name, -1) for name in graph.names])
        self.outside = np.zeros(len(graph.names))
        for fault in range(len(graph.names)):
            if fault not in inside:
                absent = graph.log_absent(np.zeros(len(graph.names)), self.outside)
                self.outside[fault] = -math.expm1(absent[fault])

    def run(self) -> Weights:
        """All sets that count."""
        pinned = tuple(sorted(fault for fault, there in self.rules.items() if there))
        free = [fault for fault in self.inside if fault not in self.rules]
        tops: dict[Members, float] = {}
        done: set[Members] = set()
        new = [pinned]
        for _ in range(ROUNDS):
            if not new:
                break
            first = [(each, *self.graph.ways(each)[0]) for each in new]
            tops.update(zip(new, self.weigh(first), strict=True))
            best = max(tops.values())
            front = [t for t, weight in tops.items() if weight > best - FOLLOWED and t not in done]
            front = sorted(front, key=lambda members: -tops[members])[:WIDE]
            done.update(front)
            near = {tuple(sorted({*each} ^ {fault})) for each in front for fault in free}
            new = [t for t in near if t not in tops and len(t) <= LARGEST + len(pinned)]
        counted = [members for members, weight in tops.items() if weight > best - COUNTED]
        stories = [(each, *way) for each in counted for way in self.graph.ways(each)]
        found: dict[Members, list[tuple[Way, float]]] = defaultdict(list)
        for (members, way, _), weight in zip(stories, self.weigh(stories), strict=True):
            found[members].append((way, weight))
        return found

    def weigh(self, stories: Sequence[tuple[Members, Way, float]]) -> list[float]:
        """Logarithm of the chance of stories and of what was measured."""
        weights = np.array([share for _, _, share in stories], float)
        weights += self._chances([members for members, _, _ in stories])
        sizes = np.array([len(members) for members, _, _ in stories])
        for size in sorted(set(sizes.tolist())):
            own = np.flatnonzero(sizes == size).tolist()
            shape = (len(own), size)
            sets = np.array([stories[k][0] for k in own], np.int64).reshape(shape)
            ways = np.array([stories[k][1] for k in own], np.int64).reshape(shape)
            weights[own] += self.heard.weigh(self.rows[sets], *_severities(ways))
        return [float(weight) for weight in weights]

    def _chances(self, sets: Sequence[Members]) -> Floats:
        """Logarithm of the chance that exactly these are there."""
        there = np.zeros((len(sets), len(self.graph.names)))
        for row, members in enumerate(sets):
            there[row, list(members)] = 1.0
        absent = self.graph.log_absent(there, self.outside)[:, self.inside]
        present = np.log(-np.expm1(absent))
        return np.asarray(np.where(there[:, self.inside] > 0, present, absent).sum(axis=1))


def _severities(ways: Places) -> tuple[Floats, Floats]:
    """Expected severities of n stories of k faults, (n, k), and their covariances, (n, k, k)."""
    count, size = ways.shape
    rows = np.arange(count)
    mean, spread = np.zeros((count, size)), np.zeros((count, size, size))
    for place in range(size):
        cause = ways[:, place]
        led = (cause >= 0).astype(float)
        mean[:, place] = np.where(cause < 0, BEGINS[0], HANDED * mean[rows, cause])
        shared = HANDED * led[:, None] * spread[rows, cause, :place]
        spread[:, place, :place] = spread[:, :place, place] = shared
        above = HANDED**2 * spread[rows, cause, cause] + HANDED_SD**2
        spread[:, place, place] = np.where(cause < 0, BEGINS[1] ** 2, above)
    return mean, spread


def _told(search: _Search, weights: Weights) -> Told:
    names = search.graph.names
    best = max(weight for stories in weights.values() for _, weight in stories)
    whole = sum(math.exp(w - best) for stories in weights.values() for _, w in stories)
    odds = np.zeros(len(names))
    begins = np.zeros(len(names))
    led, under = np.zeros((2, len(names), len(names)))
    sets: dict[Members, float] = defaultdict(float)
    for members, stories in weights.items():
        for way, weight in stories:
            chance = math.exp(weight - best) / whole
            sets[members] += chance
            for place, fault in enumerate(members):
                odds[fault] += chance
                line = [members[each] for each in _line(way, place)]
                begins[line[-1]] += chance
                under[line, fault] += chance
                if len(line) > 1:
                    led[fault, line[1]] += chance
    odds = np.minimum(_with_those_outside(search, odds, sets), 1.0)
    return Told(
        odds=dict(zip(names, map(float, odds), strict=True)),
        led={
            name: dict(zip(names, map(float, led[k]), strict=True)) for k, name in enumerate(names)
        },
        under={
            name: dict(zip(names, map(float, under[k]), strict=True))
            for k, name in enumerate(names)
        },
        begins=dict(zip(names, map(float, begins), strict=True)),
    )


def _line(way: Way, place: int) -> Iterator[int]:
    """From a member of a set up to where it began."""
    while place >= 0:
        yield place
        place = way[place]


def _with_those_outside(search: _Search, odds: Floats, sets: Mapping[Members, float]) -> Floats:
    """Odds of those that are in no set: of what can lead to them, and of what they can lead to."""
    graph, inside = search.graph, set(search.inside)
    there = np.zeros((len(sets), len(odds)))
    for row, members in enumerate(sets):
        there[row, list(members)] = 1.0
    chances = np.array(list(sets.values()))
    for fault in range(len(odds)):
        if fault in inside:
            continue
        absent = graph.log_absent(there, odds * search.outside.astype(bool))[:, fault]
        ratio = -np.expm1(absent) / np.exp(absent)
        for effect in np.flatnonzero(graph.strength[fault]):
            if effect in inside:
                ratio = ratio * _answer(graph, there, (fault, int(effect)))
        odds[fault] = float(chances @ (ratio / (1 + ratio)))
    return odds


def _answer(graph: Graph, there: Floats, arrow: tuple[int, int]) -> Floats:
    """How much likelier what is seen of an effect is with a cause than without it, (sets,)."""
    fault, effect = arrow
    without = graph.log_absent(there, np.zeros(len(graph.names)))[:, effect]
    having = without + graph.spared[fault, effect]
    came = np.expm1(having) / np.expm1(without)
    return np.asarray(np.where(there[:, effect] > 0, came, np.exp(having - without)))
