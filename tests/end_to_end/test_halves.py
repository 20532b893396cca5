"""A reading in two halves: what was seen, kept in a file, and judged without the clip."""

from __future__ import annotations

from pathlib import Path

import pytest

from causeline.errors import SettingError
from causeline.model.clip import Hand, View
from causeline.quantities.uncertain import Uncertain
from causeline.reading.run import Settings, run_judging, run_reading, run_seeing
from causeline.store.reading_file import save_reading
from causeline.store.seen_file import load_seen, save_seen
from tests.end_to_end.scripted import PATH, Heard, doors_on, small
from tests.motions.puppet import Puppet

GOLFER = Puppet(camera=small(), rate_hz=60.0)


def test_judging_a_saved_file_gives_the_reading_of_the_clip(tmp_path: Path) -> None:
    result = run_reading(PATH, doors_on(GOLFER), Settings(), Heard([]))
    save_seen(tmp_path / "seen.npz", result.seen)
    save_reading(result.reading, tmp_path / "clip.json")
    save_reading(run_judging(load_seen(tmp_path / "seen.npz")), tmp_path / "seen.json")
    assert (tmp_path / "seen.json").read_text() == (tmp_path / "clip.json").read_text()


def test_the_coach_may_change_view_hand_and_height_afterwards() -> None:
    seen = run_seeing(PATH, doors_on(GOLFER))
    changed = Settings(View.DOWN_THE_LINE, Hand.LEFT, stature_m=Uncertain(1.7, 0.01))
    reading = run_judging(seen, changed)
    assert (reading.view.name, reading.hand.name) == ("down-the-line", "left")
    assert (reading.view.confidence, reading.hand.confidence) == (1.0, 1.0)
    assert reading.swings[0].body.mirrored
    assert not run_judging(seen).swings[0].body.mirrored


def test_another_capture_rate_needs_the_clip() -> None:
    seen = run_seeing(PATH, doors_on(GOLFER))
    with pytest.raises(SettingError, match="the clip itself again"):
        run_judging(seen, Settings(capture_hz=120.0))
    given = Settings(capture_hz=60.0)
    assert run_judging(run_seeing(PATH, doors_on(GOLFER), given), given).swings
