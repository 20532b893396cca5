"""Bucket elimination against plain enumeration, and against pgmpy."""

from __future__ import annotations

import itertools
import warnings

import numpy as np
import pytest

from causeline.findings.catalogue import FAULTS
from causeline.findings.eliminate import Table, explain_marginals
from causeline.findings.graph import ARROWS
from causeline.findings.network import (
    Network,
    explain_answers,
    explain_odds,
    explain_what_goes,
)
from causeline.findings.spec import Arrow, Fault, Sign
from causeline.model.moments import MomentName

CHANCES = {
    ("hands_loop", "high"): 0.9, ("head_loop", "high"): 0.8, ("steepening", "high"): 0.97,
    ("pelvis_ball_impact", "high"): 0.99, ("plane_back", "low"): 0.7, ("tempo", "low"): 0.4,
    ("shoulder_turn_top", "high"): 0.2, ("pelvis_target_top", "low"): 0.02,
    ("pelvis_target_impact", "low"): 0.6, ("posture_top", "low"): 0.1,
}  # fmt: skip


def _enumerated(sizes: dict[str, int], tables: list[Table]) -> dict[str, list[float]]:
    names = list(sizes)
    sums = {name: [0.0] * sizes[name] for name in names}
    for states in itertools.product(*(range(sizes[name]) for name in names)):
        at = dict(zip(names, states, strict=True))
        weight = float(np.prod([t.values[tuple(at[one] for one in t.scope)] for t in tables]))
        for name in names:
            sums[name][at[name]] += weight
    return {name: [one / sum(row) for one in row] for name, row in sums.items()}


@pytest.mark.parametrize("seed", range(6))
def test_marginals_are_those_of_the_whole_table(seed: int) -> None:
    rng = np.random.default_rng(seed)
    sizes = {name: int(rng.integers(2, 4)) for name in "abcdefg"}
    scopes = [rng.choice(list(sizes), size=3, replace=False) for _ in range(7)]
    tables = [
        Table(tuple(scope), rng.uniform(0, 1, [sizes[name] for name in scope])) for scope in scopes
    ]
    tables += [Table((name,), np.ones(size)) for name, size in sizes.items()]
    found, log_sum = explain_marginals(sizes, tables)
    for name, row in _enumerated(sizes, tables).items():
        assert found[name] == pytest.approx(row, abs=1e-12)
    assert np.isfinite(log_sum)


def test_evidence_that_cannot_be_is_refused() -> None:
    tables = [Table(("a",), np.array([1.0, 0.0])), Table(("a",), np.array([0.0, 1.0]))]
    with pytest.raises(ValueError, match="no possible state"):
        explain_marginals({"a": 2}, tables)


def _small() -> Network:
    """Cause → middle → end, and cause → end, with a sign at the end."""
    first = MomentName.TOP
    faults = (
        Fault("cause", "Cause", first, "x", "y", 0.1, (Sign("tempo", "low", 0.5),)),
        Fault("middle", "Middle", first, "x", "y", 0.05),
        Fault("end", "End", first, "x", "y", 0.02, (Sign("hands_loop", "high", 0.9),)),
    )
    arrows = (
        Arrow("cause", "middle", 0.5, "-"),
        Arrow("middle", "end", 0.6, "-"),
        Arrow("cause", "end", 0.3, "-"),
    )
    return Network(faults, arrows, {}, {})


def test_odds_without_evidence_by_hand() -> None:
    odds = explain_odds(_small())
    middle = 0.1 * (1 - 0.95 * 0.5) + 0.9 * 0.05
    assert odds["cause"] == pytest.approx(0.1)
    assert odds["middle"] == pytest.approx(middle)


def test_what_goes_with_a_cause_by_hand() -> None:
    """Of the middle: there by the arrow (0.5) and not of itself (0.95), where the cause is."""
    goes = explain_what_goes(_small(), "cause")
    assert goes["cause"] == pytest.approx(0.1)
    assert goes["middle"] == pytest.approx(0.1 * 0.95 * 0.5)
    # The end: there, and not without the cause. With the cause and a middle that is there of
    # itself (0.05): 0.98 x 0.4 x 0.3; with one that goes (0.95 x 0.5): 0.98 x (1 - 0.4 x 0.7);
    # with none (0.95 x 0.5): 0.98 x 0.3.
    end = 0.1 * 0.98 * (0.05 * 0.4 * 0.3 + 0.475 * (1 - 0.4 * 0.7) + 0.475 * 0.3)
    assert goes["end"] == pytest.approx(end)


def test_a_ruling_is_certain() -> None:
    network = _small()
    pinned = Network(network.faults, network.arrows, {}, {"cause": True, "end": False})
    odds = explain_odds(pinned)
    assert odds["cause"] == pytest.approx(1.0)
    assert odds["end"] == pytest.approx(0.0)


def test_the_odds_of_the_whole_graph_are_those_of_pgmpy() -> None:
    """An outside engine on the same graph: tables written out by hand, soft evidence as factors."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # pgmpy warns of its own next version at import
        from pgmpy.factors.discrete import DiscreteFactor, TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork
    model = DiscreteBayesianNetwork([(a.cause, a.effect) for a in ARROWS])
    model.add_nodes_from([fault.name for fault in FAULTS])
    for fault in FAULTS:
        into = [a for a in ARROWS if a.effect == fault.name]
        none = []
        for states in itertools.product((0, 1), repeat=len(into)):
            spared = [1 - a.strength for a, there in zip(into, states, strict=True) if there]
            none.append((1 - fault.prior) * float(np.prod(spared)))
        causes = [a.cause for a in into]
        model.add_cpds(
            TabularCPD(
                fault.name, 2, [none, [1 - one for one in none]], causes or None,
                [2] * len(causes) or None,
            )
        )  # fmt: skip
    for place, ((band, side), chance) in enumerate(CHANCES.items()):
        shown = [
            (fault.name, sign.shows) for fault in FAULTS for sign in fault.signs
            if (sign.band, sign.side) == (band, side)
        ]  # fmt: skip
        rare = 0.08 if band == "tempo" else 0.01
        row = []
        for states in itertools.product((0, 1), repeat=len(shown)):
            spared = [1 - shows for (_, shows), there in zip(shown, states, strict=True) if there]
            outside = 1 - (1 - rare) * float(np.prod(spared))
            row.append(outside * chance + (1 - outside) * (1 - chance))
        # Soft evidence: a child that is seen, with this row as its chance of being there.
        node = f"seen {place}"
        model.add_node(node)
        model.add_edges_from([(name, node) for name, _ in shown])
        model.add_cpds(
            TabularCPD(node, 2, [[1 - one for one in row], row], [n for n, _ in shown],
                       [2] * len(shown))
        )  # fmt: skip
    engine = VariableElimination(model)
    evidence = {f"seen {place}": 1 for place in range(len(CHANCES))}
    odds = explain_odds(Network(FAULTS, ARROWS, CHANCES, {}))
    for name in ("over_turn", "club_inside", "over_the_top", "steep", "early_extension", "slice",
                 "quick_transition", "standing_up"):  # fmt: skip
        asked = engine.query([name], evidence, show_progress=False)
        assert isinstance(asked, DiscreteFactor)
        assert odds[name] == pytest.approx(float(asked.values[1]), abs=1e-9)


def test_what_a_cause_answers_for_by_hand() -> None:
    """The end (prior 0.02) with the middle (0.6) surely there and the cause (0.3) at even odds."""
    answers = explain_answers(_small(), {"cause": 0.5, "middle": 1.0, "end": 1.0})
    assert answers["end"]["cause"] == pytest.approx(0.5 * 0.3 / 0.92)
    assert answers["end"]["middle"] == pytest.approx(0.5 * 0.6 / 0.62 + 0.5 * 0.6 / 0.92)
    assert answers["cause"] == {}
