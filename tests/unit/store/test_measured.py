"""A reading's measures alone say the same as the whole reading file."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Any

import pytest

from causeline.errors import ReadingFileError
from causeline.model.clip import View
from causeline.model.library import ClipEntry
from causeline.store.measured import load_swung, save_measured_dict
from causeline.store.reading_file import save_as_dict
from tests.drawn import drawn_reading
from tests.kept_course import reading_content

DAY = date(2026, 4, 6)


def _whole() -> dict[str, Any]:
    content: dict[str, Any] = json.loads(
        json.dumps(save_as_dict(drawn_reading(View.FACE_ON).reading))
    )
    return content


def test_the_small_file_gives_the_same_swings() -> None:
    whole = _whole()
    small = json.loads(json.dumps(save_measured_dict(whole)))
    assert load_swung(small, DAY) == load_swung(whole, DAY)
    assert save_measured_dict(small) == small
    assert len(json.dumps(small)) < len(json.dumps(whole)) / 5


def test_the_golfers_place_in_the_picture_is_told() -> None:
    (swing,) = load_swung(_whole(), DAY)
    assert swing.placed is not None
    assert 0.3 < swing.placed.size < 0.9
    assert 0.5 < swing.placed.y < 1.0


def test_without_address_the_place_is_not_known() -> None:
    whole = _whole()
    whole["swings"][0]["moments"] = []
    (swing,) = load_swung(save_measured_dict(whole), DAY)
    assert swing.placed is None


@pytest.mark.parametrize("missing", ["clip", "swings"])
def test_a_reading_with_something_amiss_is_told(missing: str) -> None:
    whole = _whole()
    del whole[missing]
    with pytest.raises(ReadingFileError, match="something amiss"):
        load_swung(whole, DAY)


def test_the_made_up_readings_of_tests_are_small_ones() -> None:
    """So that what they lack is what the small file lacks too."""
    clip = ClipEntry("c", "g", "0" * 64, "a.mov", 1, datetime(2026, 4, 6, tzinfo=UTC))
    content = json.loads(json.dumps(reading_content(clip, [-9.0])))
    assert save_measured_dict(content) == content
