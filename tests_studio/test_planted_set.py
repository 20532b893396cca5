"""The findings' set: one cause a swing with its effects, or none; seeds nobody else uses."""

from __future__ import annotations

from pathlib import Path

import pytest
from studio import accuracy_cast, accuracy_set
from studio.accuracy_set import performance_name, plans, shots_of
from studio.planted_set import CAUSES, FIRST_SEED, LEAST_LENGTH, draw_planted, planted_plans


def test_each_swing_has_one_cause_and_all_else_comes_from_it() -> None:
    planned = planted_plans(2 * len(CAUSES), 0)
    seen = []
    for plan in planned:
        golfer = draw_planted(plan)
        (cause,) = [fault for fault in golfer.swing.faults if fault["role"] == "cause"]
        effects = [fault for fault in golfer.swing.faults if fault is not cause]
        assert cause["because"] is None
        assert cause["severity"] >= 0.5
        assert effects
        assert all(fault["role"] == "effect" for fault in effects)
        assert golfer.length >= LEAST_LENGTH
        seen.append(cause["name"])
    assert seen == [*CAUSES, *CAUSES]


def test_sound_swings_have_no_fault_and_differ() -> None:
    golfers = [draw_planted(plan) for plan in planted_plans(0, 10)]
    assert all(golfer.swing.faults == () for golfer in golfers)
    assert len({golfer.build.stature_m for golfer in golfers}) == 10
    assert len({golfer.club.kind for golfer in golfers}) == 5


def test_seeds_and_names_are_its_own() -> None:
    planned = planted_plans(300, 150) + planted_plans(300, 150, seed=3)
    assert min(plan.seed for plan in planned) == FIRST_SEED
    assert len({plan.seed for plan in planned}) == len(planned)
    assert max(plan.seed for plan in plans(900, 20)) < FIRST_SEED
    assert performance_name(planned[0]) == "planted_000"
    assert performance_name(planned[300]) == "sound_000"


def test_clips_are_60_hz_540p_in_two_views_and_the_same_by_seed() -> None:
    wanted = shots_of(planted_plans(6, 3))
    assert len(wanted) == 18
    assert {shot.filming.size for shot in wanted} == {"540p"}
    assert {shot.filming.rate_hz for shot in wanted} == {60.0}
    assert {shot.filming.recording.slow_factor for shot in wanted if shot.filming.recording} == {1}
    assert wanted == shots_of(planted_plans(6, 3))


def test_posing_only_poses_and_does_so_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["--planted", "1", "--pose-only", "--out", str(tmp_path / "out")]
    asked += ["--performances", str(tmp_path / "posed"), "--workers", "1"]
    assert accuracy_set.main(asked) == 0
    assert "planted_000" in capsys.readouterr().out
    assert sorted(path.name for path in (tmp_path / "posed").iterdir()) == [
        "planted_000.body.npz", "planted_000.npz", "planted_000.who",
    ]  # fmt: skip
    monkeypatch.setattr(accuracy_cast, "perform_all", None)
    assert accuracy_set.main(asked) == 0
    assert not (tmp_path / "out").exists()
