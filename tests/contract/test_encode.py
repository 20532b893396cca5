"""The film as phones want it: H.264 baseline, 4:2:0, even rate, the index in front, small."""

from __future__ import annotations

import io
from collections.abc import Iterator

import av
import numpy as np
import pytest

from causeline.model.clip import Picture
from causeline.sources.encode import MOST_BYTES, encode_film

RNG = np.random.default_rng(3)


def _pictures(count: int, noise: bool = False) -> Iterator[Picture]:
    for place in range(count):
        picture = np.full((320, 180, 3), 240, np.uint8)
        picture[:, : 2 + place] = (30, 90, 160)
        if noise:
            picture = RNG.integers(0, 255, (640, 480, 3), dtype=np.uint8)
        yield picture


def test_every_picture_is_there_at_its_time() -> None:
    data = encode_film(_pictures(40), 40, 25)
    with av.open(io.BytesIO(data), "r") as file:
        stream = file.streams.video[0]
        assert (stream.codec_context.name, stream.codec_context.profile) == (
            "h264",
            "Constrained Baseline",
        )
        assert stream.codec_context.pix_fmt == "yuv420p"
        assert stream.average_rate == 25
        frames = list(file.decode(stream))
    assert [round(float(frame.time or 0) * 25) for frame in frames] == list(range(40))
    shown = frames[20].to_ndarray(format="rgb24", src_colorspace="ITU709")
    assert np.abs(shown[160, 8].astype(int) - (30, 90, 160)).max() < 12
    assert np.abs(shown[160, 120].astype(int) - 240).max() < 6


def test_the_index_comes_before_the_pictures() -> None:
    """ISO/IEC 14496-12: a player that has `moov` needs no end of the file to begin."""
    data = encode_film(_pictures(10), 10, 25)
    assert 0 < data.index(b"moov") < data.index(b"mdat")


def test_what_does_not_compress_still_keeps_to_the_size() -> None:
    data = encode_film(_pictures(250, noise=True), 250, 2)
    assert len(data) < MOST_BYTES


def test_a_film_without_pictures_is_no_film() -> None:
    with pytest.raises(ValueError, match="without a picture"):
        encode_film(iter(()), 0, 25)
