"""The graph as a network of odds: noisy-or with leaks, and what would go if a cause were not there.

A fault is there when it came of itself (its prior) or when a cause that is there brought it about
(the arrow's strength), each independently: Pearl 1988, Probabilistic Reasoning in Intelligent
Systems, 4.3.2. A measure's side of a band is a noisy-or of the faults that show there, and is known
only softly. What would go with a cause is asked of the twin network, in which the cause is taken
away and every other chance falls as it fell (Balke & Pearl 1994, AAAI-94:230-237): a variable is
absent, would stay, or would go.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from causeline.findings.bands import BANDS
from causeline.findings.eliminate import Table, explain_marginals
from causeline.findings.graph import explain_descendants
from causeline.findings.spec import Arrow, Fault
from causeline.quantities.angle import Floats

ABSENT, STAYS, GOES = (False, False), (True, True), (True, False)
"""Whether it is there, and whether it would be without the cause in question."""
State = tuple[bool, bool]


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """Faults, arrows, and what is known of one swing."""

    faults: Sequence[Fault]
    arrows: Sequence[Arrow]
    chances: Mapping[tuple[str, str], float]
    """Band and side to the probability that the true value lies there."""
    ruled: Mapping[str, bool]
    """Faults that somebody pinned (True) or struck (False)."""


def explain_odds(network: Network) -> dict[str, float]:
    """The probability of each fault, given all that is known."""
    found = _marginals(network, None)
    return {name: float(row[1:].sum()) for name, row in found.items()}


def explain_what_goes(network: Network, cause: str) -> dict[str, float]:
    """For the cause and all that can follow: the probability that it is there and would go."""
    found = _marginals(network, cause)
    below = explain_descendants(network.arrows).get(cause, frozenset())
    return {name: float(found[name][-1]) for name in found if name == cause or name in below}


def explain_answers(network: Network, odds: Mapping[str, float]) -> dict[str, dict[str, float]]:
    """For each fault and each of its causes: the share of the fault that the cause answers for.

    Those that are there share it by the strengths of their arrows, and the fault's own coming by
    its prior; in expectation over who is there, each by its odds, taken as independent.
    """
    return {fault.name: _answers(fault, network, odds) for fault in network.faults}


def _answers(fault: Fault, network: Network, odds: Mapping[str, float]) -> dict[str, float]:
    into = [arrow for arrow in network.arrows if arrow.effect == fault.name]
    shares = dict.fromkeys((arrow.cause for arrow in into), 0.0)
    for there in itertools.product((False, True), repeat=len(into)):
        chance = math.prod(
            odds[arrow.cause] if is_there else 1 - odds[arrow.cause]
            for arrow, is_there in zip(into, there, strict=True)
        )
        present = list(itertools.compress(into, there))
        whole = fault.prior + sum(arrow.strength for arrow in present)
        for arrow in present:
            shares[arrow.cause] += chance * arrow.strength / whole
    return shares


def _marginals(network: Network, cause: str | None) -> dict[str, Floats]:
    states = _states(network, cause)
    tables = [_family(fault, network, states) for fault in network.faults]
    tables += _sign_tables(network, states)
    tables += [_ruling(name, there, states) for name, there in network.ruled.items()]
    found, _ = explain_marginals({name: len(own) for name, own in states.items()}, tables)
    return found


def _states(network: Network, cause: str | None) -> dict[str, tuple[State, ...]]:
    below = explain_descendants(network.arrows).get(cause or "", frozenset())
    return {
        fault.name: (ABSENT, GOES)
        if fault.name == cause
        else (ABSENT, STAYS, GOES)
        if fault.name in below
        else (ABSENT, STAYS)
        for fault in network.faults
    }


def _family(fault: Fault, network: Network, states: Mapping[str, tuple[State, ...]]) -> Table:
    """A fault given its causes: P(absent), P(there and stays), P(there and goes)."""
    into = [arrow for arrow in network.arrows if arrow.effect == fault.name]
    own = states[fault.name]
    scope = (*(arrow.cause for arrow in into), fault.name)
    values = np.empty(tuple(len(states[name]) for name in scope))
    spared = np.array([1 - arrow.strength for arrow in into])
    for place in itertools.product(*(range(len(states[arrow.cause])) for arrow in into)):
        parents = np.array(
            [states[a.cause][k] for a, k in zip(into, place, strict=True)], bool
        ).reshape(-1, 2)
        none, none_left = (
            (1 - fault.prior) * float(np.prod(spared[parents[:, world]])) for world in (0, 1)
        )
        odds = {ABSENT: none, STAYS: 1 - none_left, GOES: none_left - none}
        if STAYS not in own:
            odds[GOES] = 1 - none
        values[place] = [odds[state] for state in own]
    return Table(scope, values)


def _sign_tables(network: Network, states: Mapping[str, tuple[State, ...]]) -> list[Table]:
    """For each known side of a band: the likelihood of what was measured, given the faults."""
    shown: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for fault in network.faults:
        for sign in fault.signs:
            shown.setdefault((sign.band, sign.side), []).append((fault.name, sign.shows))
    return [
        _sign_table(shown[key], chance, BANDS[key[0]].rare, states)
        for key, chance in network.chances.items()
        if key in shown
    ]


def _sign_table(
    shown: Sequence[tuple[str, float]],
    chance: float,
    rare: float,
    states: Mapping[str, tuple[State, ...]],
) -> Table:
    scope = tuple(name for name, _ in shown)
    none = np.array(1 - rare)
    for name, shows in shown:
        row = np.array([1 - shows if there else 1.0 for there, _ in states[name]])
        none = np.multiply.outer(none, row)
    return Table(scope, none * (1 - chance) + (1 - none) * chance)


def _ruling(name: str, there: bool, states: Mapping[str, tuple[State, ...]]) -> Table:
    return Table((name,), np.array([float(state[0] == there) for state in states[name]]))
