"""The day on which a film was recorded, as its own container tells it.

The movie header's time is seconds since 1904-01-01 in UTC: ISO/IEC 14496-12, 8.2.2; the bytes are
looked at here by themselves.
"""

from __future__ import annotations

import struct
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from causeline.sources.decode import PyavClips
from causeline.sources.fence_wire import clip_from_wire, clip_to_wire
from causeline.sources.recorded import decode_recorded
from tests.clips import Recipe, numbered_pictures, write_clip

APPLE = "com.apple.quicktime.creationdate"
TAGGED = {"movflags": "use_metadata_tags"}
MAC = datetime(1904, 1, 1, tzinfo=UTC)
NOW = datetime(2026, 5, 10, tzinfo=UTC)


def header_time(path: Path) -> datetime:
    """The movie header's own time of creation, from its bytes."""
    data = path.read_bytes()
    at = data.index(b"mvhd") + 4
    wide = data[at] == 1
    (seconds,) = struct.unpack_from(">Q" if wide else ">I", data, at + 4)
    return MAC + timedelta(seconds=seconds)


def test_the_movie_header_s_time_is_read_and_goes_through_the_fence(tmp_path: Path) -> None:
    recipe = Recipe(tags={"creation_time": "2026-05-04T22:30:00Z"})
    path = write_clip(tmp_path / "a.mp4", numbered_pictures(4), recipe)
    clip = PyavClips().probe(path)
    assert clip.recorded_at == header_time(path) == datetime(2026, 5, 4, 22, 30, tzinfo=UTC)
    through = clip_from_wire(*clip_to_wire(clip))
    assert through.recorded_at == clip.recorded_at
    assert through.recorded_on("UTC", NOW) == date(2026, 5, 4)
    assert through.recorded_on("Europe/Dublin", NOW) == date(2026, 5, 4)
    assert through.recorded_on("Europe/Athens", NOW) == date(2026, 5, 5)


def test_apple_s_local_time_goes_before_the_header_s(tmp_path: Path) -> None:
    """An exported film has the day of the export in its header, and this one of the recording."""
    tags = {APPLE: "2026-04-20T18:05:11+0200", "creation_time": "2026-05-04T09:00:00Z"}
    path = write_clip(tmp_path / "a.mov", numbered_pictures(4), Recipe(tags=tags, container=TAGGED))
    found = PyavClips().probe(path).recorded_at
    assert found == datetime(2026, 4, 20, 16, 5, 11, tzinfo=UTC)


def test_a_film_that_does_not_say_is_not_guessed(tmp_path: Path) -> None:
    clip = PyavClips().probe(write_clip(tmp_path / "a.mp4", numbered_pictures(4)))
    assert clip.recorded_at is None
    assert clip.recorded_on("UTC", NOW) is None
    assert clip_from_wire(*clip_to_wire(clip)).recorded_at is None


@pytest.mark.parametrize("told", ["", "yesterday", "1904-01-01T00:00:00Z", "1970-01-01T00:00:00Z",
                                  "2000-01-01T00:00:12Z", "2026-13-40T00:00:00Z"])  # fmt: skip
def test_a_clock_that_was_never_set_is_not_believed(told: str) -> None:
    assert decode_recorded({"creation_time": told}) is None


def test_a_day_that_has_not_come_is_not_believed(tmp_path: Path) -> None:
    recipe = Recipe(tags={"creation_time": "2031-05-04T10:00:00Z"})
    clip = PyavClips().probe(write_clip(tmp_path / "a.mp4", numbered_pictures(4), recipe))
    assert clip.recorded_at is not None
    assert clip.recorded_on("UTC", NOW) is None
