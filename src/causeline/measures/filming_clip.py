"""Advice from the file alone: frame rate, stamps, slow motion, damage."""

from __future__ import annotations

from collections.abc import Callable

from causeline.measures.timing import GRADED_FROM_HZ, measure_ratio_spread
from causeline.model.clip import Clip, ScaleFrom
from causeline.model.filming import Advice, Severity
from causeline.quantities.uncertain import Uncertain

ENOUGH_HZ = 110.0
"""A swing wants about 100 Hz, impact excluded (Bartlett 2007, p. 128); a 120 Hz clip passes."""

BETTER_HZ = 240.0
REPEATED_SHARE = 0.05
DAMAGE_SPOILS_SHARE = 0.1
CLUBHEAD_M_S = 45.0
"""A full swing with a driver: common practice."""

_TYPICAL = (0.0, 0.8, 0.8 + 0.267)  # start, top, impact: 24 and 8 frames at 30 Hz
"""Grober & Cholewicki 2006, arXiv:physics/0611291."""

ClipCheck = Callable[[Clip], Advice | None]


def _frame_rate(clip: Clip) -> Advice | None:
    rate = clip.capture_rate_hz
    if not rate < ENOUGH_HZ:
        return None
    now, then = (_tempo_sd(hz) for hz in (rate, BETTER_HZ))
    slow = rate < GRADED_FROM_HZ
    lost = " That is too few for the tempo to be graded." if slow else ""
    return Advice(
        "frame_rate",
        Severity.COSTS if slow else Severity.NOTE,
        f"You filmed {rate:.0f} frames a second.{lost} The club travels about "
        f"{CLUBHEAD_M_S / rate:.1f} m from one frame to the next, so impact falls between two, and "
        f"a tempo near 3 is unsure by about ±{now:.1g}. Use slow motion ({BETTER_HZ:.0f} frames a "
        f"second): ±{then:.1g}.",
    )


def _tempo_sd(rate_hz: float) -> float:
    """Spread of a typical ratio when each moment is anywhere in the right frame or a neighbour."""
    sd = (1 / 12 + 2 / 3) ** 0.5 / rate_hz
    return measure_ratio_spread(*(Uncertain(at, sd) for at in _TYPICAL))[1]


def _slow_motion(clip: Clip) -> Advice | None:
    if clip.time_scale_from is not ScaleFrom.INFERRED:
        return None
    return Advice(
        "slow_motion_inferred",
        Severity.COSTS,
        "The file does not say how much it was slowed down; about "
        f"{float(clip.clock.time_scale):g} times fits a swing. Times in seconds are left out. Send "
        "the clip as the phone saved it, or give the rate at which you filmed.",
    )


def _variable_rate(clip: Clip) -> Advice | None:
    if not clip.clock.variable:
        return None
    return Advice(
        "variable_rate",
        Severity.NOTE,
        "The time between frames changes within the clip, as phones do in poor light. It was timed "
        "by the stamp of each frame, so nothing is lost; more light keeps it even.",
    )


def _repeated_frames(clip: Clip) -> Advice | None:
    share = float(clip.repeated.mean())
    if share <= REPEATED_SHARE:
        return None
    return Advice(
        "repeated_frames",
        Severity.COSTS,
        f"{share:.0%} of the frames only repeat the one before: the clip was converted or edited "
        "after filming. Send the original file from the phone.",
    )


def _damaged(clip: Clip) -> Advice | None:
    if clip.damaged == 0:
        return None
    much = clip.damaged > DAMAGE_SPOILS_SHARE * len(clip.clock)
    return Advice(
        "damaged_file",
        Severity.SPOILS if much else Severity.COSTS,
        f"The file is damaged: {clip.damaged} of its frames cannot be read. Copy it from the phone "
        "again, by cable or as a file, not through a messenger.",
    )


def _mended(clip: Clip) -> Advice | None:
    if clip.mended == 0:
        return None
    return Advice(
        "times_filled_in",
        Severity.COSTS,
        f"The file does not say when {clip.mended} of its frames were taken; their times were "
        "filled in evenly. Send the original file from the phone.",
    )


CLIP_CHECKS: tuple[ClipCheck, ...] = (
    _frame_rate,
    _slow_motion,
    _variable_rate,
    _repeated_frames,
    _damaged,
    _mended,
)
