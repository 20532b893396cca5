"""Frames that show the same picture as the one before, as re-encoded copies hold them.

A copy made at another rate holds each picture twice, or in an uneven but regular pattern (3:2, 4
in 5). Only the pattern gives it away: a golfer who stands still also makes pictures that hardly
differ. So the pattern is looked for where something moves, and carried over to where nothing does.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Clip
from causeline.quantities.angle import Floats

GREY_SIDE = 96
"""Longest side of the small grey pictures that are compared, in pixels."""
_TOP_SHARE = 0.02
"""The change is the mean over this share of the pixels, those that change most: an arm moves, not
the picture."""
_LOGARITHM = np.log(np.arange(256, dtype=np.float32) + 16.0)
"""Of each grey level; 16 is added so that noise in the shadows counts little."""
LEAST_MOVEMENT = 0.06
"""Change (natural logarithm of brightness) below which nothing is said to move: 8 grey levels in
128. Compression alone gives up to 0.03 in a still scene at messenger bit rates, 0.07 at worst."""
_OF_LIVELIEST, _LIVELIEST = 0.25, 10
"""What counts is what moves at least this share as much as the 10th liveliest frame: in a clip of a
swing, the swing. A cut or a flash is fewer frames than that."""
_REACH = 4
"""Frames on either side in which a fresh picture is looked for: up to 4 copies in a row."""
_SAME = 0.2
"""A repeat changes less than this share of what the fresh frames on both sides change."""
_FRESH = 0.5
"""Above this share a frame is fresh, whatever the pattern says."""
_LEAST_REPEATS = 4
_LONGEST_PERIOD = 12
_AGREEMENT = 0.8
_CALM = 8
"""Frames on end without movement after which a pass need not look at each."""
Marks = NDArray[np.bool_]


def decode_change(before: NDArray[np.uint8], after: NDArray[np.uint8]) -> float:
    """How much two small grey pictures differ, (h, w) each: 0 for the same picture.

    Logarithm of brightness, with the median of each line taken off: lamps that flicker change
    whole lines of a rolling shutter together and are no movement.
    """
    change = _LOGARITHM.take(after) - _LOGARITHM.take(before)
    change = np.abs(change - _medians(change)).ravel()
    top = max(1, round(_TOP_SHARE * change.size))
    return float(np.partition(change, -top)[-top:].mean())


def _medians(lines: NDArray[np.float32]) -> NDArray[np.float32]:
    """The median of each line, (h, 1); by sorting, three times as fast as the library's own."""
    lines, half = np.sort(lines, axis=1), lines.shape[1] // 2
    low = lines[:, half - 1 + lines.shape[1] % 2, None]
    return np.asarray((low + lines[:, half, None]) / 2)


def decode_repeats(changes: Floats, spared: Marks | None = None) -> Marks:
    """Which frames repeat the one before, (n,), from the change of each from the one before, (n,).

    NaN where the change is not known (the first frame, a frame after one that was lost): no mark,
    unless frames were `spared` there, (n,), because nothing moved: those follow the pattern.
    """
    share, lively = _share_of_beside(changes)
    same = lively & (share <= _SAME)
    if same.sum() < _LEAST_REPEATS:
        return np.zeros(len(changes), dtype=bool)
    template = _template(lively, same)
    if template is None:
        return _evenly_spaced(same)
    fresh = lively & (share > _FRESH)
    known = np.isfinite(changes) | _beside(spared) if spared is not None else np.isfinite(changes)
    return np.asarray(np.resize(template, len(changes)) & ~fresh & known, dtype=bool)


class RepeatWatch:
    """Looks at each frame of a decode pass and knows afterwards what repeats and what was lost."""

    def __init__(self, clip: Clip, wanted: range | None = None) -> None:
        """`wanted` is the range of the pass, whatever its step; without it, the whole clip."""
        span = range(len(clip.clock)) if wanted is None else wanted
        self._seen = np.ones(len(clip.clock), dtype=bool)
        self._seen[span.start : span.stop] = False
        self._spared = np.zeros(len(clip.clock), dtype=bool)
        self._changes = np.full(len(clip.clock), np.nan)
        self._last: tuple[int, NDArray[np.uint8]] | None = None
        self._calm = 0

    def spares(self, index: int) -> bool:
        """Whether nothing has moved for some frames: repeats are not to be told there anyway."""
        self._spared[index] = self._calm >= _CALM
        return bool(self._spared[index])

    def see(self, index: int, grey: NDArray[np.uint8]) -> None:
        """Take note of one decoded frame; `grey` is (h, w), small, the same size each time."""
        if self._last is not None:
            change = decode_change(self._last[1], grey)
            self._calm = self._calm + 1 if change < LEAST_MOVEMENT else 0
            if self._last[0] == index - 1:
                self._changes[index] = change
        self._seen[index] = True
        self._last = (index, grey)

    def pass_over(self, frames: range) -> None:
        """Take note that nothing moves in these, which are not decoded."""
        self._spared[frames.start : frames.stop] = True

    def marked(self, clip: Clip) -> Clip:
        """The clip with its repeats marked, and frames that did not come added to `damaged`.

        A frame that was spared is not missed.
        """
        lost = int(np.count_nonzero(~self._seen & ~self._spared))
        repeats = decode_repeats(self._changes, self._spared)
        return replace(clip, repeated=repeats, damaged=clip.damaged + lost)


def _share_of_beside(changes: Floats) -> tuple[Floats, Marks]:
    """Each change as a share of the largest on either side, the smaller; and where those move."""
    known = np.nan_to_num(changes, nan=0.0)
    largest = np.lib.stride_tricks.sliding_window_view(np.pad(known, _REACH), _REACH).max(axis=1)
    beside = np.minimum(largest[: len(known)], largest[_REACH + 1 :])
    liveliest = np.sort(known)[-_LIVELIEST:][0]
    least = max(LEAST_MOVEMENT, _OF_LIVELIEST * float(liveliest))
    return known / np.maximum(beside, least), (beside >= least) & np.isfinite(changes)


def _beside(spared: Marks) -> Marks:
    """The spared frames, and the one after each: its change is not known either."""
    return spared | np.concatenate([[False], spared[:-1]])


def _template(lively: Marks, same: Marks) -> Marks | None:
    """One period of the pattern, if one and the same holds in all that moves."""
    at, marks = np.flatnonzero(lively), same[lively]
    for period in range(2, _LONGEST_PERIOD + 1):
        count = np.bincount(at % period, minlength=period)
        repeats = np.bincount(at % period, weights=marks, minlength=period)
        template = repeats > count / 2
        agreed = np.where(template, repeats, count - repeats)
        enough = len(at) >= 2 * period and np.all(count > 0)
        if enough and template.any() and np.all(agreed >= _AGREEMENT * count):
            return np.asarray(template, dtype=bool)
    return None


def _evenly_spaced(same: Marks) -> Marks:
    """Only those repeats that come at even steps, within a frame, in runs of four or more."""
    at = np.flatnonzero(same)
    marks = np.zeros(len(same), dtype=bool)
    steps = np.diff(at)
    for first in range(len(at) - _LEAST_REPEATS + 1):
        run = steps[first : first + _LEAST_REPEATS - 1]
        if run.max() - run.min() <= 1 and run.max() <= _LONGEST_PERIOD:
            marks[at[first : first + _LEAST_REPEATS]] = True
    return marks
