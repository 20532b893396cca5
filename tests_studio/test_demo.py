"""The scenario: who, when, with what wrong, and that its files say so."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from studio.demo import MOST_BYTES, PHONES, shots
from studio.demo_cast import PARTS
from studio.faults import fault_of, told
from studio.truth import load_truth

CLIPS = Path(__file__).parents[1] / "demo" / "clips"
CHAIN = {
    "over_turn": None,
    "lead_knee_running_in": "over_turn",
    "club_inside": "over_turn",
    "over_the_top": "club_inside",
    "steep": "over_the_top",
    "early_extension": "steep",
}
"""The scenario's first swing: fault and what it comes from."""


def truth_of(name: str) -> dict[str, Any]:
    (path,) = CLIPS.glob(f"{name}.truth.json*")
    return load_truth(path)


def test_every_clip_of_the_scenario_has_its_phone_and_its_files() -> None:
    names = [shot.name for shot in shots()]
    assert sorted(names) == sorted(PHONES)
    assert {path.name for path in CLIPS.iterdir()} == {
        f"{name}{end}" for name in names for end in (".mp4", ".truth.json.gz")
    }
    assert sum(path.stat().st_size for path in CLIPS.iterdir()) <= MOST_BYTES


def test_one_golfer_is_left_handed_and_looks_go_by_the_day() -> None:
    by_name = {shot.name: shot for shot in shots()}
    left = {name.split("_")[0] for name, shot in by_name.items() if shot.filming.left_handed}
    assert left == {"nell"}
    first, second = (
        by_name[f"ivo_2026-04-06_{view}"].filming for view in ("face_on", "down_the_line")
    )
    assert (
        first.clothes == second.clothes != by_name["ivo_2026-05-04_down_the_line"].filming.clothes
    )
    assert len({shot.filming.phone for shot in by_name.values()}) == len(by_name)


@pytest.mark.parametrize("view", ["face_on", "down_the_line"])
def test_the_first_swing_carries_one_cause_and_its_chain(view: str) -> None:
    faults = {fault["name"]: fault for fault in truth_of(f"ivo_2026-04-06_{view}")["faults"]}
    assert [name for name, fault in faults.items() if fault["role"] == "cause"] == ["over_turn"]
    for name, because in CHAIN.items():
        assert faults[name]["because"] == because
    assert {fault["role"] for name, fault in faults.items() if name != "over_turn"} == {"effect"}


@pytest.mark.parametrize("name", sorted(PHONES))
def test_a_clip_s_truth_tells_what_was_planted(name: str) -> None:
    planted = told(PARTS[PHONES[name].performance].faults)
    assert truth_of(name)["faults"] == [dict(fault) for fault in planted]


def test_one_changes_one_does_not_and_one_practised_something_else() -> None:
    severe = {
        name: {drawn.name: drawn.severity for drawn in part.faults} for name, part in PARTS.items()
    }
    assert severe["ivo_later"]["over_turn"] < 0.2 * severe["ivo_first"]["over_turn"]
    assert severe["nell_later"]["sway"] == pytest.approx(severe["nell_first"]["sway"], abs=0.05)
    assert severe["dara_later"] == severe["dara_first"]
    assert PARTS["dara_later"].length > PARTS["dara_first"].length + 0.1
    assert all(fault_of(name) for faults in severe.values() for name in faults)
