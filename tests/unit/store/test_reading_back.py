"""A reading file that is read back and saved again says the same."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from causeline.errors import NotThatClip, ReadingFileError
from causeline.model.clip import Hand, View
from causeline.model.motion import Motion, SecondView
from causeline.model.reading import Reading
from causeline.model.tracks import BODY_LANDMARKS
from causeline.store.reading_back import load_reading
from causeline.store.reading_file import save_as_dict, save_reading
from tests.drawn import drawn_reading
from tests.unit.store.readings import readings


def _plain(reading: Reading) -> object:
    swings = tuple(replace(swing, findings=None) for swing in reading.swings)
    return _rounded(save_as_dict(replace(reading, swings=swings)))


def _rounded(content: object) -> object:
    """Mirroring a picture twice costs the last bit of a coordinate."""
    if isinstance(content, float):
        return float(f"{content:.9g}") if abs(content) > 1e-6 else 0.0
    if isinstance(content, dict):
        return {key: _rounded(value) for key, value in content.items()}
    return [_rounded(value) for value in content] if isinstance(content, list) else content


@given(readings())
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_reading_comes_back_as_it_was(tmp_path: Path, reading: Reading) -> None:
    path = tmp_path / "swing.json"
    save_reading(reading, path)
    assert _plain(load_reading(path, reading.clip)) == _plain(reading)


@pytest.mark.parametrize("hand", list(Hand))
def test_tracks_come_back_in_their_own_coordinates(tmp_path: Path, hand: Hand) -> None:
    reading = drawn_reading(hand=hand).reading
    save_reading(reading, tmp_path / "swing.json")
    back = load_reading(tmp_path / "swing.json", reading.clip).swings[0]
    was = reading.swings[0]
    assert back.body.mirrored == (hand is Hand.LEFT)
    assert back.body.xy == pytest.approx(was.body.xy, abs=1e-9)
    assert back.club is not None
    assert was.club is not None
    assert np.allclose(back.club.head, was.club.head, atol=1e-9)


def test_a_motion_comes_back_as_it_was(tmp_path: Path) -> None:
    reading = drawn_reading().reading
    body = reading.swings[0].body
    joints = np.full((len(body), len(BODY_LANDMARKS), 3), 1.2345678)
    joints[0] = np.nan
    turns = np.tile([90.0, 88.0, 45.0], (len(body), 1))
    second = SecondView("other.mov", "0" * 64, View.DOWN_THE_LINE, False)
    motion = Motion(
        body.frames, body.time_s, joints, 0 * joints, turns, 0 * turns + 2, "made up", None, second
    )
    moving = replace(reading, swings=(replace(reading.swings[0], motion=motion),))
    save_reading(moving, tmp_path / "swing.json")
    back = load_reading(tmp_path / "swing.json", reading.clip).swings[0].motion
    assert back is not None
    assert np.allclose(back.joints, joints, atol=1e-5, equal_nan=True)
    assert np.array_equal(back.turns, turns)
    assert (back.method, back.second) == ("made up", second)


def test_a_file_from_before_there_were_motions_still_loads(tmp_path: Path) -> None:
    reading = drawn_reading().reading
    content = save_as_dict(reading)
    assert "motion" not in content["swings"][0]
    (tmp_path / "swing.json").write_text(json.dumps(content))
    assert load_reading(tmp_path / "swing.json", reading.clip).swings[0].motion is None


def test_another_clip_is_told(tmp_path: Path) -> None:
    reading = drawn_reading().reading
    save_reading(reading, tmp_path / "swing.json")
    other = replace(reading.clip, sha256="0" * 64, name="other.mov")
    with pytest.raises(NotThatClip, match=r"other\.mov is not the clip .* Name the clip itself"):
        load_reading(tmp_path / "swing.json", other)


def test_a_file_with_a_hole_is_told(tmp_path: Path) -> None:
    reading = drawn_reading().reading
    content = save_as_dict(reading)
    del content["swings"][0]["tracks"]["body"]["nose"]
    (tmp_path / "swing.json").write_text(json.dumps(content))
    with pytest.raises(ReadingFileError, match=r"something amiss \(KeyError: 'nose'\)"):
        load_reading(tmp_path / "swing.json", reading.clip)
