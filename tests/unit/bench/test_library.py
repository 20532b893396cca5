"""The bench of page queries, on a library that is small enough for every run."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench import library as bench

from causeline.model.library import State
from causeline.store.library import load_library
from causeline.store.library_people import load_golfers
from causeline.store.library_readings import ReadingBook

CLIPS = 2000


def test_every_page_is_timed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bench, "CALLS", 2)
    library = load_library(tmp_path / "place")
    assert bench.fill(library, CLIPS) > 5 * CLIPS
    assert len(load_golfers(library)) == CLIPS // bench.CLIPS_OF_A_GOLFER
    assert ReadingBook(library).counts()[State.READY] > 0.9 * CLIPS
    timed = list(bench.measure(library))
    assert [name for name, _, _ in timed] == list(bench.pages(library))
    assert all(0 < median <= high for _, median, high in timed)
    library.close()
