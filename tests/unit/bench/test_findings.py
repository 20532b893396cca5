"""The findings' bench counts by hand what it prints."""

from __future__ import annotations

from bench.findings import BOTH, Side, by_views, lines_of

from causeline.model.clip import View


def _sides() -> list[Side]:
    cause = (("over_turn", "cause"), ("early_extension", "effect"))
    return [
        Side("planted_000", "face-on", cause, "driver", View.FACE_ON, ()),
        Side("planted_000", "down-the-line", cause, "driver", View.DOWN_THE_LINE, ()),
        Side("sound_000", "face-on", (), "wedge", None, ()),
    ]


def test_views_are_explained_alone_and_together() -> None:
    told = by_views(_sides())
    assert list(told) == ["down-the-line", "face-on", BOTH]
    assert [one.cause for one in told["face-on"]] == ["over_turn", None]
    assert told["face-on"][1].findings is None


def test_without_measures_nothing_is_found_and_the_cause_is_missed() -> None:
    lines = "\n".join(lines_of("face-on", by_views(_sides())["face-on"]))
    assert "planted cause: 0 of 1 (0%)" in lines
    assert "above 0.5: 0 of 1 (0%)" in lines
    assert "| over_turn | 1 | 0 | nothing 1 |" in lines
