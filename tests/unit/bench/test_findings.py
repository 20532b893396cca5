"""The findings' bench counts by hand what it prints."""

from __future__ import annotations

from bench.findings import BOTH, TRUE, Side, by_views, lines_of
from bench.findings_plot import plot_of

from causeline.findings.reliability import explain_reliability
from causeline.model.clip import View
from causeline.model.measures import Measure
from causeline.model.moments import MomentName

TOP = MomentName.TOP
TRUE_TURN = {
    View.FACE_ON: (
        Measure("shoulder_turn", TOP, 125.0, 0.001, "°", "true"),
        Measure("pelvis_turn", TOP, 62.0, 0.001, "°", "true"),
    )
}


def _sides() -> list[Side]:
    cause = (("over_turn", "cause"), ("early_extension", "effect"))
    return [
        Side("planted_000", "face-on", cause, "driver", View.FACE_ON, (), (), TRUE_TURN),
        Side(
            "planted_000", "down-the-line", cause, "driver", View.DOWN_THE_LINE, (), (), TRUE_TURN
        ),
        Side("sound_000", "face-on", (), "wedge", None, (), (), {}),
    ]


def test_views_are_explained_alone_and_together() -> None:
    told = by_views(_sides())
    assert list(told) == ["down-the-line", "face-on", TRUE, BOTH]
    assert told[TRUE][0].first == "over_turn"
    assert [one.cause for one in told["face-on"]] == ["over_turn", None]
    assert told["face-on"][1].findings is None


def test_without_measures_nothing_is_found_and_the_cause_is_missed() -> None:
    lines = "\n".join(lines_of("face-on", by_views(_sides())["face-on"]))
    assert "planted cause: 0 of 1 (0%)" in lines
    assert "above 0.5: 0 of 1 (0%)" in lines
    assert "| over_turn | 1 | 0 | nothing 1 |" in lines


def test_the_plot_has_a_mark_for_each_tenth_and_each_reading() -> None:
    bins = explain_reliability([0.05, 0.95, 0.97], [False, True, True])
    picture = plot_of({"one": bins, "other": bins})
    assert picture.count('class="bar"') == 4
    assert picture.count('class="square"') == 2 + 1  # the legend's own
