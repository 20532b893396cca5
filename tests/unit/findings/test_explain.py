"""From measures to the chain: the worked case, sound swings, missing evidence, rulings."""

from __future__ import annotations

import pytest

from causeline.errors import SettingError
from causeline.findings import (
    explain_calibration_error,
    explain_findings,
    explain_reliability,
)
from causeline.findings.bands import BANDS
from causeline.findings.catalogue import FAULTS
from causeline.model.clip import View
from causeline.model.findings import ClubSort, Role, Ruling, Say
from causeline.model.measures import Measure
from causeline.model.moments import Moment, MomentName, Moments
from tests.unit.findings.swings import (
    EARLY_EXTENSION,
    LEAD_KNEE,
    OVER_THE_TOP,
    SCENARIO,
    all_refused,
    beyond,
    seen,
)

CHAIN = [
    "over_turn",
    "lead_knee_running_in",
    "club_inside",
    "over_the_top",
    "steep",
    "early_extension",
]


def test_the_worked_case_comes_out_as_a_chain() -> None:
    found = explain_findings(seen(SCENARIO))
    assert [one.name for one in found.findings] == CHAIN
    assert [one.role for one in found.findings] == [Role.CAUSE] + [Role.EFFECT] * 5
    assert found.cause is not None
    assert list(found.cause.explains) == CHAIN[1:]
    extension = found.get("early_extension")
    assert extension is not None
    assert extension.because == "steep"
    assert "make room for a steep club" in extension.sentence


@pytest.mark.parametrize("left_out", ["over_turn", "club_inside", "steep"])
def test_early_extension_is_never_the_cause_in_that_scenario(left_out: str) -> None:
    own = {
        "over_turn": ("shoulder_turn_top", "pelvis_turn_top", "lead_arm_top"),
        "club_inside": ("plane_back", "plane_arm_back"),
        "steep": ("steepening", "plane_arm_down"),
    }[left_out]
    values = {key: value for key, value in SCENARIO.items() if key not in own}
    found = explain_findings(seen(values))
    extension = found.get("early_extension")
    assert extension is not None
    assert extension.role is not Role.CAUSE
    assert found.cause is not extension


@pytest.mark.parametrize("club", [None, *ClubSort])
def test_a_sound_swing_has_no_findings(club: ClubSort | None) -> None:
    found = explain_findings(seen(), club)
    assert found.findings == ()
    assert found.cause is None


def test_what_cannot_be_measured_is_unseen_and_not_absent() -> None:
    found = explain_findings(all_refused())
    assert found.findings == ()
    assert {one.name for one in found.unseen} == {fault.name for fault in FAULTS}
    steep = next(one for one in found.unseen if one.name == "steep")
    assert steep.reason == "The club cannot be made out."
    face = next(one for one in found.unseen if one.name == "face_open")
    assert "the coach can tell" in face.reason
    assert face.probability > 0.01


def test_without_a_view_its_faults_are_unseen() -> None:
    face_on = explain_findings(seen(SCENARIO, (View.FACE_ON,)))
    assert face_on.get("lead_knee_running_in") is not None
    early = next(one for one in face_on.unseen if one.name == "early_extension")
    assert "down-the-line" in early.reason
    line = explain_findings(seen(SCENARIO, (View.DOWN_THE_LINE,)))
    assert line.get("early_extension") is not None
    assert any(one.name == "lead_knee_running_in" for one in line.unseen)


def test_two_views_say_more_than_one() -> None:
    both = explain_findings(seen(SCENARIO))
    one = explain_findings(seen(SCENARIO, (View.DOWN_THE_LINE,)))
    assert both.get("lead_knee_running_in") is not None
    assert one.get("lead_knee_running_in") is None


def test_evidence_carries_value_band_frame_and_distance() -> None:
    moments = Moments((Moment(MomentName.IMPACT, 1.0, 0.002, 240, "the strike"),))
    found = explain_findings(seen(EARLY_EXTENSION), moments={View.DOWN_THE_LINE: moments})
    finding = found.get("early_extension")
    assert finding is not None
    assert finding.role is Role.ALONE
    one = next(e for e in finding.evidence if e.measure == "pelvis_toward_ball_percent"
               and e.moment is MomentName.IMPACT)  # fmt: skip
    band = BANDS["pelvis_ball_impact"]
    assert (one.low, one.high, one.frame) == (None, band.high, 240)
    # 0.6 of the full distance outside, the ± 0.05 of it: 12 standard deviations.
    assert one.outside == pytest.approx(12.0)
    assert one.speaks_for


def test_a_wide_uncertainty_says_little() -> None:
    sure = seen(LEAD_KNEE)
    unsure = {
        view: [
            Measure(one.name, one.moment, one.value, 40 * one.sd, one.unit, one.method)
            for one in measures
            if isinstance(one, Measure)
        ]
        for view, measures in sure.items()
    }
    name = "lead_knee_running_in"
    assert explain_findings(sure).probability(name) > 0.9
    assert explain_findings(unsure).probability(name) < 0.5


def test_a_shorter_swing_of_the_arms_needs_less_turn() -> None:
    turn = {"shoulder_turn_top": 74.0, "pelvis_turn_top": 25.0}
    full = explain_findings(seen({**turn, "lead_arm_top": 125.0}))
    short = explain_findings(seen({**turn, "lead_arm_top": 90.0}))
    assert full.get("short_of_turn") is not None
    assert short.get("short_of_turn") is None


def test_a_direction_is_counted_the_short_way_round() -> None:
    """The shaft past level at the top: -55 is 305, 29 past the band's end at 276."""
    assert explain_findings(seen({"shaft_top": -55.0})).probability("past_level") > 0.5
    assert explain_findings(seen({"shaft_top": -110.0})).probability("past_level") < 0.1


def test_a_pinned_fault_is_there_and_the_reason_is_kept() -> None:
    ruling = Ruling("weak_grip", Say.PRESENT, "I see two fingers' room", "coach")
    found = explain_findings(seen(OVER_THE_TOP), rulings=[ruling])
    grip = found.get("weak_grip")
    assert grip is not None
    assert grip.rulings == (ruling,)
    assert grip.probability == pytest.approx(1.0)
    before = explain_findings(seen(OVER_THE_TOP)).probability("face_open")
    assert found.probability("face_open") > before


def test_a_struck_cause_gives_way_to_the_next() -> None:
    struck = Ruling("over_turn", Say.ABSENT, "her shoulders are that supple")
    found = explain_findings(seen(SCENARIO), rulings=[struck])
    assert found.struck == (struck,)
    assert found.get("over_turn") is None
    assert found.cause is not None
    assert found.cause.name == "club_inside"


def test_the_latest_ruling_holds() -> None:
    rulings = [Ruling("slice", Say.PRESENT, "today"), Ruling("slice", Say.ABSENT, "no, a fade")]
    assert explain_findings(seen(), rulings=rulings).get("slice") is None


def test_rulings_on_nothing_are_refused() -> None:
    with pytest.raises(SettingError, match=r"docs/faults\.md"):
        explain_findings(seen(), rulings=[Ruling("tea", Say.PRESENT, "why not")])
    with pytest.raises(ValueError, match="without a reason"):
        Ruling("slice", Say.PRESENT, " ")


def test_bands_follow_the_club() -> None:
    lean = {"shaft_lean_impact": -3.0}
    iron = explain_findings(seen(lean), ClubSort.IRON).probability("hands_behind")
    driver = explain_findings(seen(lean), ClubSort.DRIVER).probability("hands_behind")
    assert iron > driver


def test_severity_grows_with_the_distance() -> None:
    small, large = (
        explain_findings(seen({k: beyond(k, "low", share) for k in LEAD_KNEE}))
        for share in (0.3, 0.9)
    )
    one, other = small.get("lead_knee_running_in"), large.get("lead_knee_running_in")
    assert one is not None
    assert other is not None
    assert one.severity == pytest.approx(0.3)
    assert other.severity == pytest.approx(0.9)


def test_reliability_by_hand() -> None:
    bins = explain_reliability([0.05, 0.05, 0.95, 1.0], [False, True, True, True])
    assert [(b.low, b.count, b.true) for b in bins] == [(0.0, 2, 0.5), (0.9, 2, 1.0)]
    assert bins[0].said == pytest.approx(0.05)
    assert explain_calibration_error(bins) == pytest.approx((0.45 + 0.025) / 2)
    assert explain_calibration_error(()) == 0.0
    with pytest.raises(ValueError, match="as many of each"):
        explain_reliability([0.5], [])


def test_nothing_is_found_where_every_value_lies_inside_its_band() -> None:
    """However near the ends: bands are wide, and being different is no fault."""
    near = {
        key: end
        for key, band in BANDS.items()
        for end in (band.low, band.high)
        if end is not None and key in SCENARIO
    }
    assert explain_findings(seen(near)).findings == ()


def test_an_effect_with_two_causes_follows_from_the_likelier_one() -> None:
    """Over the top with both the club laid off and too little turn: neither alone explains it."""
    values = {
        **OVER_THE_TOP,
        "plane_top": beyond("plane_top", "low", 0.8),
        "shoulder_turn_top": beyond("shoulder_turn_top", "low", 0.8),
        "pelvis_turn_top": beyond("pelvis_turn_top", "low", 0.8),
    }
    found = explain_findings(seen(values))
    over = found.get("over_the_top")
    assert over is not None
    assert over.because in ("laid_off", "short_of_turn")
    assert found.findings[0].name == over.because
