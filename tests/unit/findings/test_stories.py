"""Stories by hand, against plain enumeration in pgmpy, and against SciPy's Student distribution."""

from __future__ import annotations

import itertools
import math
import warnings

import numpy as np
import pytest
from scipy.stats import multivariate_t

from causeline.findings import stories
from causeline.findings.bands import BANDS
from causeline.findings.catalogue import FAULTS
from causeline.findings.expected import EXPECTED
from causeline.findings.graph import ARROWS
from causeline.findings.likelihood import FREEDOM, WEIGHT, Heard, explain_heard
from causeline.findings.spec import Arrow, Fault
from causeline.findings.stories import Graph, explain_stories
from causeline.model.clip import View
from causeline.model.measures import Measure
from causeline.model.moments import MomentName
from tests.unit.findings.swings import beyond, seen

SILENT = Heard({}, np.zeros((1, 1)), np.zeros(1), 0.0, 0)
SOME = (
    "over_turn", "club_inside", "across_the_line", "over_the_top", "steep",
    "club_below_trail_forearm", "early_extension",
)  # fmt: skip
"""Faults of the graph that hang together, few enough to write out all their sets."""


def _small() -> Graph:
    """Cause → middle → end, and cause → end."""
    first = MomentName.TOP
    faults = (
        Fault("cause", "Cause", first, "x", "y", 0.1),
        Fault("middle", "Middle", first, "x", "y", 0.05),
        Fault("end", "End", first, "x", "y", 0.02),
    )
    arrows = (
        Arrow("cause", "middle", 0.5, "-"),
        Arrow("middle", "end", 0.6, "-"),
        Arrow("cause", "end", 0.3, "-"),
    )
    return Graph(faults, arrows)


def test_odds_without_evidence_by_hand() -> None:
    told = explain_stories(_small(), SILENT, {})
    assert told.odds["cause"] == pytest.approx(0.1)
    assert told.odds["middle"] == pytest.approx(0.1 * (1 - 0.95 * 0.5) + 0.9 * 0.05)


def test_a_ruling_is_certain() -> None:
    told = explain_stories(_small(), SILENT, {"cause": True, "end": False})
    assert told.odds["cause"] == pytest.approx(1.0)
    assert told.odds["end"] == pytest.approx(0.0)
    # Middle: 0.525 with the cause; the end is spared 0.98 x 0.7, and 0.4 of that with the middle.
    expected = 0.525 * 0.4 / (0.525 * 0.4 + 0.475)
    assert told.odds["middle"] == pytest.approx(expected)


def test_what_it_came_of_is_shared_by_the_strengths() -> None:
    """All three pinned: the end came of the middle, the cause or itself, as 0.6 : 0.3 : 0.02."""
    told = explain_stories(_small(), SILENT, dict.fromkeys(("cause", "middle", "end"), True))
    assert told.led["end"]["middle"] == pytest.approx(0.6 / 0.92)
    assert told.led["middle"]["cause"] == pytest.approx(0.5 / 0.55)
    # What goes back to the cause: itself, the middle, and the end by either of the ways.
    end = (0.3 + 0.6 * 0.5 / 0.55) / 0.92
    assert told.under["cause"]["end"] == pytest.approx(end)
    assert told.begins["cause"] == pytest.approx(1 + 0.5 / 0.55 + end)
    assert sum(told.begins.values()) == pytest.approx(3.0)


def _some() -> tuple[Graph, Heard]:
    """A part of the graph, and measures that leave it in doubt."""
    faults = tuple(fault for fault in FAULTS if fault.name in SOME)
    arrows = tuple(one for one in ARROWS if one.cause in SOME and one.effect in SOME)
    keys = ("hands_loop", "head_loop", "plane_back", "pelvis_ball_impact", "plane_top")
    sides = [("hands_loop", "high"), ("plane_back", "low"), ("pelvis_ball_impact", "high")]
    values = {key: beyond(key, side, 0.5) for key, side in sides}
    measures = [
        Measure(one.name, one.moment, one.value, 15 * one.sd, one.unit, "invented")
        for one in seen(values)[View.DOWN_THE_LINE]
        if isinstance(one, Measure)
        and any((BANDS[k].measure, BANDS[k].moment) == (one.name, one.moment) for k in keys)
    ]
    heard = explain_heard({View.DOWN_THE_LINE: measures}, None)
    rows = {name: row for name, row in heard.faults.items() if name in SOME}
    return Graph(faults, arrows), Heard(rows, heard.moves, heard.along, heard.whole, heard.count)


def test_odds_are_those_of_pgmpy(monkeypatch: pytest.MonkeyPatch) -> None:
    """An outside engine: the graph's tables written out, what was measured as one more factor.

    All sets counted, the odds are the same; with those left out that hardly matter, 0.03 off.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # pgmpy warns of its own next version at import
        from pgmpy.factors.discrete import DiscreteFactor, TabularCPD
        from pgmpy.models import DiscreteBayesianNetwork
    graph, heard = _some()
    quick = explain_stories(graph, heard, {})
    for limit in ("FOLLOWED", "COUNTED", "WIDE", "WAYS"):
        monkeypatch.setattr(stories, limit, 1000)
    arrows = [one for one in ARROWS if one.cause in SOME and one.effect in SOME]
    model = DiscreteBayesianNetwork([(a.cause, a.effect) for a in arrows])
    for fault in (one for one in FAULTS if one.name in SOME):
        into = [a for a in arrows if a.effect == fault.name]
        none = [
            (1 - fault.prior)
            * math.prod(1 - a.strength for a, there in zip(into, states, strict=True) if there)
            for states in itertools.product((0, 1), repeat=len(into))
        ]
        causes = [a.cause for a in into]
        model.add_cpds(
            TabularCPD(
                fault.name, 2, [none, [1 - one for one in none]], causes or None,
                [2] * len(causes) or None,
            )
        )  # fmt: skip
    names = list(graph.names)
    chances = [
        _chance_of(graph, heard, [n for n, there in zip(names, states, strict=True) if there])
        for states in itertools.product((0, 1), repeat=len(names))
    ]
    joint = DiscreteFactor(names, [2] * len(names), chances)
    for table in model.get_cpds():
        joint = joint * table.to_factor()
    joint.normalize()
    told = explain_stories(graph, heard, {})
    middling = 0
    for name in SOME:
        others = [each for each in names if each != name]
        outside = float(joint.marginalize(others, inplace=False).values[1])
        assert told.odds[name] == pytest.approx(outside, abs=1e-6)
        assert quick.odds[name] == pytest.approx(outside, abs=0.03)
        middling += 0.04 < outside < 0.96
    assert middling >= 3


def _chance_of(graph: Graph, heard: Heard, there: list[str]) -> float:
    """Of what was measured, given exactly these faults: over every way in which they came about."""
    members = tuple(sorted(graph.place[name] for name in there))
    rows = np.array([[heard.faults.get(graph.names[k], -1) for k in members]], int)
    total = 0.0
    for way, share in graph.ways(members):
        mean, spread = _by_hand(way)
        total += math.exp(
            share + float(heard.weigh(rows.reshape(1, -1), mean[None], spread[None])[0])
        )
    return total


def _by_hand(way: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Severities: 0.65 ± 0.2 where one begins; of a cause's 0.75, ± 0.22."""
    size = len(way)
    adds, own = np.eye(size), np.zeros(size)
    start = np.zeros(size)
    for place, cause in enumerate(way):
        start[place] = 0.65 if cause < 0 else 0.0
        own[place] = 0.2 if cause < 0 else 0.22
        if cause >= 0:
            adds[place] += 0.75 * adds[cause]
    return adds @ start, adds @ np.diag(own**2) @ adds.T


def test_the_measures_chance_is_a_student_distribution_of_scipy() -> None:
    keys = ("pelvis_target_top", "side_bend_top", "head_target_top")
    rng = np.random.default_rng(1)
    off = rng.normal(0, 1.5, len(keys))
    values = [EXPECTED[key].mean + away for key, away in zip(keys, off, strict=True)]
    measures = [
        Measure(BANDS[key].measure, BANDS[key].moment, value, 1e-9, "", "invented")
        for key, value in zip(keys, values, strict=True)
    ]
    heard = explain_heard({View.FACE_ON: measures}, None)
    spread = np.array([EXPECTED[key].spread for key in keys])
    shape = spread @ spread.T + np.diag([EXPECTED[key].alone ** 2 for key in keys])
    adds = np.array([EXPECTED[key].moved.get("sway", 0.0) for key in keys])
    sound = multivariate_t.logpdf(off, np.zeros(3), shape, int(FREEDOM))
    swayed = multivariate_t.logpdf(
        off, 0.65 * adds, shape + 0.04 * np.outer(adds, adds), int(FREEDOM)
    )
    row = np.array([[heard.faults["sway"]]])
    ours = heard.weigh(row, np.array([[0.65]]), np.array([[[0.04]]]))[0]
    none = heard.weigh(np.zeros((1, 0), int), np.zeros((1, 0)), np.zeros((1, 0, 0)))[0]
    assert ours - none == pytest.approx(WEIGHT * (swayed - sound), abs=1e-6)
