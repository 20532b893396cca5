"""What must hold for any swing: order does not matter, evidence for an effect helps its cause."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from causeline.findings import explain_findings
from causeline.findings.bands import BANDS
from causeline.findings.graph import explain_descendants
from causeline.model.findings import Role, Ruling, Say
from tests.unit.findings.swings import SCENARIO, all_refused, beyond, seen

EFFECTS = {
    "over_the_top": ("hands_loop", "high", "short_of_turn"),
    "early_extension": ("pelvis_ball_impact", "high", "club_below_trail_forearm"),
    "hanging_back": ("pelvis_target_finish", "low", "reverse_tilt"),
    "standing_up": ("pelvis_rise_down", "high", "steep"),
}
"""An effect, a side of a band that only it shows or its kin, and a cause of it."""

KEYS = st.sets(st.sampled_from(sorted(SCENARIO)), max_size=6)


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(sorted(EFFECTS)), share=st.floats(0.2, 1.0), present=KEYS)
def test_evidence_for_an_effect_hardly_ever_lowers_its_cause(
    name: str, share: float, present: set[str]
) -> None:
    """Values vary together: one may speak for a rival of the cause, by 0.05 at most."""
    key, side, cause = EFFECTS[name]
    values = {each: SCENARIO[each] for each in present if each != key}
    before = explain_findings(seen(values)).probability(cause)
    after = explain_findings(seen({**values, key: beyond(key, side, share)})).probability(cause)
    assert after >= before - 0.05


@settings(max_examples=15, deadline=None)
@given(present=KEYS, seed=st.randoms(use_true_random=False))
def test_the_order_of_the_measures_does_not_matter(present: set[str], seed: object) -> None:
    swing = seen({each: SCENARIO[each] for each in present})
    turned = {view: list(reversed(measures)) for view, measures in swing.items()}
    one, other = explain_findings(swing), explain_findings(turned)
    assert [f.name for f in one.findings] == [f.name for f in other.findings]
    assert dict(one.odds) == pytest.approx(dict(other.odds))


@settings(max_examples=25, deadline=None)
@given(
    values=st.dictionaries(
        st.sampled_from(sorted(BANDS)), st.floats(-3, 3), min_size=1, max_size=12
    )
)
def test_whatever_is_measured_the_chain_hangs_together(values: dict[str, float]) -> None:
    """Any values, from far below the band to far above it."""
    swing = seen({key: _across(key, share) for key, share in values.items()})
    found = explain_findings(swing)
    below, names = explain_descendants(), {one.name for one in found.findings}
    for one in found.findings:
        assert 0.5 < one.probability <= 1.0
        assert 0.0 <= one.severity <= 1.0
        assert 0.0 <= one.explained_share <= 1.0 + 1e-9
        assert set(one.explains) <= names & below.get(one.name, frozenset())
        assert (one.role is Role.EFFECT) == (one.because is not None)
        assert one.because is None or one.because in names
        assert one.role is not Role.ALONE or one.explains == ()
    if found.cause is not None:
        assert found.cause.role is not Role.EFFECT


@pytest.mark.parametrize("fault", ["over_turn", "over_the_top", "weak_grip", "sway"])
def test_a_pinned_fault_makes_what_follows_likelier(fault: str) -> None:
    """Where nothing is measured: a sign that two faults share may be explained away."""
    free = explain_findings(all_refused())
    pinned = explain_findings(all_refused(), rulings=[Ruling(fault, Say.PRESENT, "seen")])
    for name in explain_descendants()[fault]:
        assert pinned.probability(name) > free.probability(name)


def _across(key: str, share: float) -> float:
    """-1 and 1 are the ends of the band, or half its `full` distance about its only end."""
    low, high = BANDS[key].ends(None)
    full = BANDS[key].full
    if low is not None and high is not None:
        return (low + high) / 2 + share * (high - low) / 2
    return (low if low is not None else high or 0.0) + share * full / 2
