"""When each frame was taken, in seconds of real time from the first frame.

A clock is made of integer presentation stamps and an exact rational time base: they are the
fact, and frame numbers and seconds are derived. The frame rate is never assumed constant. A clip
that plays a 240 Hz capture at 30 Hz has a `time_scale` of 8, and eight file seconds are one real
second.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from causeline.quantities.angle import Floats

VARIABLE_SHARE = 0.2
"""A clip is called variable when some frame interval differs from the median by more than this."""


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """`stamps` (n,), strictly increasing integers in units of `time_base` file seconds."""

    stamps: NDArray[np.int64]
    time_base: Fraction
    time_scale: Fraction = Fraction(1)

    def __post_init__(self) -> None:
        stamps = np.array(self.stamps, dtype=np.int64)
        if stamps.ndim != 1 or len(stamps) == 0 or np.any(np.diff(stamps) <= 0):
            raise ValueError(
                f"got stamps of shape {stamps.shape}; expected at least one, strictly increasing"
            )
        if self.time_base <= 0 or self.time_scale <= 0:
            raise ValueError(
                f"got time base {self.time_base} and scale {self.time_scale}; expected both above 0"
            )
        stamps.setflags(write=False)
        object.__setattr__(self, "stamps", stamps)

    def __len__(self) -> int:
        return len(self.stamps)

    @property
    def seconds(self) -> Floats:
        """Real seconds of every frame from the first one, shape (n,)."""
        return self.at_stamps(self.stamps)

    def at_stamps(self, stamps: NDArray[np.int64]) -> Floats:
        """Real seconds of any stamps, in the file's time base, from the first frame."""
        step = self._tick_s
        counts = np.asarray(stamps, dtype=np.float64) - float(self.stamps[0])
        return counts * step.numerator / step.denominator

    def frame_nearest(self, seconds: float) -> int:
        """The frame taken nearest to that real time; the earlier one of two equally near."""
        return int(np.argmin(np.abs(self.seconds - seconds)))

    @property
    def frame_interval_s(self) -> float:
        """Usual real time between frames; NaN with a single frame.

        The mean of the intervals that are within `VARIABLE_SHARE` or one tick of the median: the
        mean, because a time base of milliseconds, as in WebM, rounds 1/240 s to 4, 4, 5.
        """
        if len(self) < 2:
            return float("nan")
        return float(np.mean(np.diff(self.stamps)[self._usual])) * float(self._tick_s)

    @property
    def _tick_s(self) -> Fraction:
        return self.time_base / self.time_scale

    @property
    def _usual(self) -> NDArray[np.bool_]:
        gaps = np.diff(self.stamps)
        median = np.quantile(gaps, 0.5, method="lower")
        return np.asarray(np.abs(gaps - median) <= np.maximum(VARIABLE_SHARE * median, 1.0))

    @property
    def rate_hz(self) -> float:
        """Frames in a real second, by the usual interval: the rate of capture."""
        return 1.0 / self.frame_interval_s

    @property
    def file_rate_hz(self) -> float:
        """Frames in a second of playing the file, by the usual interval."""
        return self.rate_hz / float(self.time_scale)

    @property
    def duration_s(self) -> float:
        """Real seconds from the first frame to the last, plus one usual interval."""
        if len(self) == 1:
            return 0.0
        return float(self.seconds[-1]) + self.frame_interval_s

    @property
    def variable(self) -> bool:
        """Whether any interval is off the median by more than `VARIABLE_SHARE` of it and a tick."""
        return len(self) > 2 and not bool(np.all(self._usual))

    def scaled(self, time_scale: Fraction) -> Clock:
        """The same stamps under another time scale."""
        return Clock(self.stamps, self.time_base, time_scale)
