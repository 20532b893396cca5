"""Stamps that are missing, repeated or out of order are mended, and the sound ones kept."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from causeline.sources.stamps import decode_stamps

RAW = st.lists(st.one_of(st.none(), st.integers(-1000, 1000)), min_size=1, max_size=40)


@pytest.mark.parametrize(
    ("raw", "stamps", "mended"),
    [
        ([0, 10, 20], [0, 10, 20], 0),
        ([-20, -10, 0], [-20, -10, 0], 0),
        ([0, None, 20, 30], [0, 10, 20, 30], 1),
        ([None, 10, 20, 30], [0, 10, 20, 30], 1),
        ([0, 10, 20, None, None], [0, 10, 20, 30, 40], 2),
        ([0, 10, 10, 30], [0, 10, 20, 30], 1),
        ([0, 10, 99999, 30, 40], [0, 10, 20, 30, 40], 1),
        ([0, 1, 1, 2], [0, 1, 2, 3], 2),
        ([None, None, None], [0, 1, 2], 3),
        ([7], [7], 0),
        ([5, 5, 5], [5, 6, 7], 2),
    ],
)
def test_by_hand(raw: list[int | None], stamps: list[int], mended: int) -> None:
    found = decode_stamps(raw)
    assert (found.stamps.tolist(), found.mended) == (stamps, mended)


@given(RAW)
def test_stamps_come_out_strictly_increasing_and_few_are_touched(raw: list[int | None]) -> None:
    found = decode_stamps(raw)
    assert len(found.stamps) == len(raw)
    assert np.all(np.diff(found.stamps) > 0)
    kept = sum(stamp == new for stamp, new in zip(raw, found.stamps.tolist(), strict=True))
    assert kept >= len(raw) - found.mended


@given(st.lists(st.integers(-(10**12), 10**12), min_size=1, max_size=60, unique=True))
def test_good_stamps_are_left_alone(raw: list[int]) -> None:
    found = decode_stamps(sorted(raw))
    assert (found.stamps.tolist(), found.mended) == (sorted(raw), 0)


@given(RAW, st.integers(-(10**9), 10**9))
def test_a_shift_of_all_stamps_shifts_the_answer(raw: list[int | None], shift: int) -> None:
    if all(stamp is None for stamp in raw):
        return
    moved = decode_stamps([None if stamp is None else stamp + shift for stamp in raw])
    assert (moved.stamps - shift).tolist() == decode_stamps(raw).stamps.tolist()
