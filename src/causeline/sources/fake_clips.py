"""Clips made of arrays: the fake that tests, demos and benches read instead of files."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from causeline.model.clip import Clip, Frame, Picture, ScaleFrom, Sound
from causeline.model.seams import FrameWatch
from causeline.quantities.clock import Clock
from causeline.sources.decode import decode_end, decode_size, decode_wanted
from causeline.sources.repeats import GREY_SIDE


class FakeClips:
    """Plays pictures, each (h, w, 3) RGB and all of one size; every path is this clip."""

    def __init__(
        self,
        pictures: Sequence[Picture] | NDArray[np.uint8],
        clock: Clock | None = None,
        sound: Sound | None = None,
        undecodable: frozenset[int] = frozenset(),
    ) -> None:
        """Without a `clock`, 30 frames per second; frames in `undecodable` are left out."""
        self._pictures = pictures
        self._clock = clock or Clock(np.arange(len(pictures), dtype=np.int64), Fraction(1, 30))
        self._sound = sound
        self._undecodable = undecodable
        if len(pictures) != len(self._clock):
            raise ValueError(f"got {len(pictures)} pictures for {len(self._clock)} stamps")

    def probe(self, path: Path) -> Clip:
        """A clip of the pictures' own size, named as the path."""
        height, width = self._pictures[0].shape[:2]
        return Clip(
            name=path.name,
            sha256="0" * 64,
            width=width,
            height=height,
            clock=self._clock,
            rotation_deg=0,
            codec="none",
            time_scale_from=ScaleFrom.REAL_TIME,
            repeated=np.zeros(len(self._clock), dtype=bool),
            has_audio=self._sound is not None,
        )

    def frames(
        self,
        path: Path,  # noqa: ARG002 - the seam's own shape
        clip: Clip,
        wanted: Sequence[int],
        longest_side: int | None = None,
        watch: FrameWatch | None = None,
    ) -> Iterator[Frame]:
        """The wanted pictures in order; `watch` sees every frame of the range."""
        wanted = decode_wanted(wanted, len(self._clock), longest_side)
        width, height, shrink = decode_size(clip, longest_side)
        for index in range(min(wanted, default=0), decode_end(wanted)):
            if index in self._undecodable:
                continue
            if watch is not None:
                watch.see(index, self._grey(index, clip))
            if index in wanted:
                yield Frame(index, _resized(self._pictures[index], width, height), shrink)

    def sound(
        self,
        path: Path,  # noqa: ARG002 - the seam's own shape
        clip: Clip,  # noqa: ARG002
        start_s: float = 0.0,
        stop_s: float | None = None,
    ) -> Sound | None:
        """The part of the sound between two file seconds."""
        if self._sound is None:
            return None
        rate, begins = self._sound.rate_hz, self._sound.starts_s
        first = max(0, round((start_s - begins) * rate))
        last = None if stop_s is None else max(first, round((stop_s - begins) * rate))
        samples = self._sound.samples[first:last]
        return replace(self._sound, samples=samples, starts_s=begins + first / rate)

    def _grey(self, index: int, clip: Clip) -> NDArray[np.uint8]:
        width, height, _ = decode_size(clip, GREY_SIDE)
        image = Image.fromarray(self._pictures[index]).convert("L")
        return np.array(image.resize((width, height), Image.Resampling.BOX))


def _resized(picture: Picture, width: int, height: int) -> Picture:
    if picture.shape[:2] == (height, width):
        return picture.copy()
    return np.array(Image.fromarray(picture).resize((width, height), Image.Resampling.BOX))
