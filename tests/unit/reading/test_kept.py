"""Small frames kept on the way through a pass: all of them, or decoded once more."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from causeline.model.clip import Frame
from causeline.reading.kept import KeptFrames
from causeline.sources.packing import PackedFrame, decode_packed

FRAME_BYTES = 4 * 4 * 3 // 2


def _frames() -> Iterator[Frame]:
    return (Frame(k, np.full((8, 8, 3), k, np.uint8)) for k in range(5))


def _half(frame: Frame) -> PackedFrame:
    return decode_packed(Frame(frame.index, frame.picture[::2, ::2].copy(), frame.shrink / 2))


@pytest.mark.parametrize(
    ("most_bytes", "decoded"), [(5 * FRAME_BYTES, 0), (5 * FRAME_BYTES - 1, 1)]
)
def test_the_frames_come_again_small_whether_they_were_kept_or_not(
    most_bytes: int, decoded: int
) -> None:
    calls: list[int] = []

    def decode() -> Iterator[Frame]:
        calls.append(1)
        return _frames()

    kept = KeptFrames(5, _half, most_bytes)
    assert [frame.picture.shape for frame in kept.passing(_frames())] == [(8, 8, 3)] * 5
    again = list(kept.again(decode))
    assert [(f.index, f.shrink, int(f.picture[0, 0, 0])) for f in again] == [
        (k, 0.5, k) for k in range(5)
    ]
    assert len(calls) == decoded


def test_a_pass_without_frames_gives_none_again() -> None:
    kept = KeptFrames(5, _half)
    assert list(kept.passing(iter(()))) == []
    assert list(kept.again(_frames)) == []
